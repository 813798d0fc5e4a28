//! Why a text is no quantity of the kind that is asked.

use serde::Serialize;
use thiserror::Error;

use crate::face::face;
use crate::number::{LARGEST, SMALLEST};
use crate::units::units;
use crate::{Dim, UnitSystem};

/// Longest piece of the user's text that is quoted back.
const QUOTE_CHARS: usize = 48;

/// What is wrong with a text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Why {
    /// Nothing is written.
    Empty,
    /// No number where one is needed; what stands there.
    NoNumber(String),
    /// A number without its unit.
    UnitMissing,
    /// A unit where a bare number is asked.
    UnitNotWanted(String),
    /// A unit that is not known, and the nearest that would do.
    UnknownUnit {
        /// As written.
        unit: String,
        /// A spelling that is near and allowed.
        nearest: Option<String>,
    },
    /// A unit of another kind of quantity.
    OtherKind {
        /// As written.
        unit: String,
        /// What it measures.
        kind: Dim,
    },
    /// An R-value where a U-value is asked.
    Resistance,
    /// A comma that may be a decimal point or may separate thousands.
    AmbiguousNumber {
        /// The number if the comma is a decimal point.
        point: String,
        /// The number if the comma separates thousands.
        thousands: String,
    },
    /// NaN or infinity.
    NotFinite,
    /// Larger or smaller than can be reckoned with in every unit of its kind.
    OutOfReach,
    /// A count that is not a whole number from 0.
    NotWhole,
    /// Something more after the quantity.
    MoreText(String),
    /// Several parts that are not like "12 ft 6 in".
    Parts,
    /// A range where one number is asked.
    RangeNotWanted,
    /// A range without its first or last number, or with more than three.
    RangeShape,
    /// A range that runs downwards.
    RangeReversed,
}

/// A text that could not be read as a quantity: what was read, what was
/// asked, why it failed, what is allowed, how it would be written.
///
/// It prints as one sentence; the parts are there for a reader of files that
/// lays them out over lines.
///
/// ```
/// use quantity::{Dim, read};
/// let e = read("3 kg", Dim::Length).unwrap_err();
/// assert_eq!(
///     e.to_string(),
///     "\"3 kg\" is not a length: kg is a mass; \
///      write it like \"11.1 m\" or \"36 ft 6 in\""
/// );
/// assert!(e.allowed().contains(&"ft"));
/// ```
#[derive(Clone, Debug, PartialEq, Eq, Error, Serialize)]
#[error("\"{read}\" is not {}: {}; {}", self.expected(), self.why_text(), self.hint())]
pub struct ReadError {
    read: String,
    dim: Dim,
    why: Why,
}

impl ReadError {
    pub(crate) fn new(text: &str, dim: Dim, why: Why) -> Self {
        Self {
            read: quote(text),
            dim,
            why,
        }
    }

    /// What was read, shortened if it is long, without control characters.
    pub fn read(&self) -> &str {
        &self.read
    }

    /// The kind of quantity that was asked.
    pub const fn dim(&self) -> Dim {
        self.dim
    }

    /// The kind of quantity that was asked, in words: "a length".
    pub const fn expected(&self) -> &'static str {
        face(self.dim).noun
    }

    /// Why it failed.
    pub const fn why(&self) -> &Why {
        &self.why
    }

    /// Why it failed, in words, without capital and full stop.
    pub fn why_text(&self) -> String {
        match &self.why {
            Why::Empty => "nothing is written".to_owned(),
            Why::NoNumber(found) if found.is_empty() => "a number is missing".to_owned(),
            Why::NoNumber(found) => format!("\"{found}\" is no number"),
            Why::UnitMissing => "its unit is missing".to_owned(),
            Why::UnitNotWanted(unit) => format!("a bare number is asked, without \"{unit}\""),
            Why::UnknownUnit { unit, nearest } => match nearest {
                Some(near) => format!("the unit \"{unit}\" is not known, perhaps \"{near}\""),
                None => format!("the unit \"{unit}\" is not known"),
            },
            Why::OtherKind { unit, kind } => format!("{unit} is {}", face(*kind).noun),
            Why::Resistance => "it is an R-value".to_owned(),
            Why::AmbiguousNumber { point, thousands } => {
                format!("the comma can be read as {point} or as {thousands}")
            }
            Why::NotFinite => "it is not a finite number".to_owned(),
            Why::OutOfReach => format!(
                "the number is too large or too small to reckon with; \
                 allowed is 0, or {SMALLEST:e} to {LARGEST:e} in size, in whichever unit"
            ),
            Why::NotWhole => "a count is a whole number from 0 up".to_owned(),
            Why::MoreText(more) => format!("one quantity is asked, and \"{more}\" follows"),
            Why::Parts => "its parts do not go from a larger unit down to a smaller".to_owned(),
            Why::RangeNotWanted => "a single value is asked, not a range".to_owned(),
            Why::RangeShape => "a range has two or three numbers with \"..\" between".to_owned(),
            Why::RangeReversed => "the range runs from high to low".to_owned(),
        }
    }

    /// How to mend it, without capital and full stop.
    pub fn hint(&self) -> String {
        match &self.why {
            Why::AmbiguousNumber { point, thousands } => {
                format!("write {point} or {thousands}, without the comma")
            }
            Why::Resistance => {
                format!("divide 1 by it and {}", self.example_hint())
            }
            Why::RangeShape | Why::RangeReversed => {
                "write the low number first, like \"3.0..4.5\", then the unit".to_owned()
            }
            Why::Parts => "write whole larger units first, like \"12 ft 6 in\"".to_owned(),
            _ => self.example_hint(),
        }
    }

    /// The units allowed; none where a bare number is asked.
    pub fn allowed(&self) -> Vec<&'static str> {
        units(self.dim).iter().map(|u| u.shown).collect()
    }

    /// How such a quantity is written in this unit system.
    pub const fn example(&self, system: UnitSystem) -> &'static str {
        face(self.dim).side(system).example
    }

    fn example_hint(&self) -> String {
        let metric = self.example(UnitSystem::Metric);
        let us = self.example(UnitSystem::Us);
        if metric == us {
            format!("write it like \"{metric}\"")
        } else {
            format!("write it like \"{metric}\" or \"{us}\"")
        }
    }
}

/// `text` fit to stand in a message.
pub(crate) fn quote(text: &str) -> String {
    let text = text.trim();
    let mut quoted: String = text
        .chars()
        .take(QUOTE_CHARS)
        .map(|c| if c.is_control() { '\u{FFFD}' } else { c })
        .collect();
    if text.chars().nth(QUOTE_CHARS).is_some() {
        quoted.push('…');
    }
    quoted
}
