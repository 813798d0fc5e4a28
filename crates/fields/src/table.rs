//! The table of fields itself.

use quantity::{Dim, Source, UnitSystem, Value};

/// One kind of file: its sections and their fields.
#[derive(Debug)]
pub struct Format {
    /// Short name of the file kind, as in "room file".
    pub name: &'static str,
    /// One or two sentences for the head of the manual and the schema.
    pub help: &'static str,
    /// The sections, in the order of the manual.
    pub sections: &'static [Section],
}

/// How often a section may stand in a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Repeat {
    /// Once. Read as if it stood there even when it does not, so that its
    /// defaults arrive and its required fields are asked for.
    Once,
    /// Once or not at all: its fields are asked for only if it stands there.
    Optional,
    /// Any number of times, as `[[key]]`.
    Many,
}

/// One section of a file.
#[derive(Debug)]
pub struct Section {
    /// Key in the file; dotted for a nested table ("target.lights_on"); empty
    /// for the keys before the first section.
    pub key: &'static str,
    /// Heading in the manual.
    pub title: &'static str,
    /// What it holds, for a person.
    pub help: &'static str,
    /// How often it may stand in a file.
    pub repeat: Repeat,
    /// Its fields.
    pub fields: &'static [Field],
}

/// One field of a section.
#[derive(Debug)]
pub struct Field {
    /// Key in the file.
    pub key: &'static str,
    /// What it holds and its physical range.
    pub kind: Kind,
    /// Whether it must be there, and what is taken if it is not.
    pub need: Need,
    /// What it is, for a person.
    pub help: &'static str,
}

/// One word of a choice and what it means.
pub type Word = (&'static str, &'static str);

/// What a field holds. Limits are in SI (°C for temperature), both inclusive.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// A number with its unit.
    Quantity {
        /// Kind of quantity.
        dim: Dim,
        /// Least value allowed.
        min: f64,
        /// Greatest value allowed.
        max: f64,
    },
    /// A number or a range, with its unit: `"3.0..4.5 L/day"`.
    Band {
        /// Kind of quantity.
        dim: Dim,
        /// Least value allowed.
        min: f64,
        /// Greatest value allowed.
        max: f64,
    },
    /// Words.
    Text,
    /// One of these words.
    Choice(&'static [Word]),
    /// Time of day, `"07:00"`.
    Clock,
    /// Calendar day, `"2026-03-01"`.
    Date,
    /// A whole number without unit.
    Count {
        /// Least count allowed.
        min: u32,
        /// Greatest count allowed.
        max: u32,
    },
    /// Three lengths from the room's corner: `["12 ft", "3 ft", "11 ft"]`.
    Point,
    /// A list of one kind; a single item may stand without brackets.
    List(&'static Kind),
    /// Rows of numbers. The section also has the key `columns`, a list of
    /// column heads that carry the unit: `columns = ["dry bulb °F", "RH %"]`.
    Map(&'static [Column]),
}

/// One column that a [`Kind::Map`] may have.
#[derive(Debug)]
pub struct Column {
    /// Name, the first words of the column head; the unit follows it.
    pub name: &'static str,
    /// Kind of quantity.
    pub dim: Dim,
    /// Least value allowed, SI.
    pub min: f64,
    /// Greatest value allowed, SI.
    pub max: f64,
    /// Whether the map must have it.
    pub required: bool,
}

/// Whether a field must be there.
#[derive(Clone, Debug)]
pub enum Need {
    /// It must be there.
    Required,
    /// It may be left out; then nothing is known.
    Optional,
    /// It may be left out; then this is taken, and shown as assumed.
    Default {
        /// The default as a person would write it; read by the same reader.
        text: &'static str,
        /// What the default rests on.
        source: Source,
    },
}

impl Need {
    /// A default with what it rests on.
    pub const fn default(text: &'static str, source: Source) -> Self {
        Self::Default { text, source }
    }
}

impl Field {
    /// A field of a table.
    pub const fn new(key: &'static str, kind: Kind, need: Need, help: &'static str) -> Self {
        Self {
            key,
            kind,
            need,
            help,
        }
    }
}

impl Kind {
    /// A number with its unit, between two SI limits.
    pub const fn quantity(dim: Dim, min: f64, max: f64) -> Self {
        Self::Quantity { dim, min, max }
    }

    /// A number or range with its unit, between two SI limits.
    pub const fn band(dim: Dim, min: f64, max: f64) -> Self {
        Self::Band { dim, min, max }
    }

    /// A whole number between two limits.
    pub const fn count(min: u32, max: u32) -> Self {
        Self::Count { min, max }
    }
}

impl Column {
    /// A column that the map must have.
    pub const fn required(name: &'static str, dim: Dim, min: f64, max: f64) -> Self {
        Self {
            name,
            dim,
            min,
            max,
            required: true,
        }
    }

    /// A column that the map may have.
    pub const fn optional(name: &'static str, dim: Dim, min: f64, max: f64) -> Self {
        Self {
            name,
            dim,
            min,
            max,
            required: false,
        }
    }
}

impl Format {
    /// The section with this key.
    pub fn section(&self, key: &str) -> Option<&'static Section> {
        self.sections.iter().find(|s| s.key == key)
    }
}

impl Section {
    /// The field with this key.
    pub fn field(&self, key: &str) -> Option<&'static Field> {
        self.fields.iter().find(|f| f.key == key)
    }

    /// `room.length`, or `length` in the keys before the first section.
    pub(crate) fn dotted(&self, key: &str) -> String {
        if self.key.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.key)
        }
    }

    /// Whether a key stands beside the fields because a map needs it.
    pub(crate) fn is_map_head(&self, key: &str) -> bool {
        key == "columns" && self.fields.iter().any(|f| matches!(f.kind, Kind::Map(_)))
    }
}

/// A range in both unit systems: `1 m to 30 m (3 ft 3 in to 98 ft)`.
pub fn limits(dim: Dim, min: f64, max: f64) -> String {
    let span = |system| format!("{} to {}", limit(dim, min, system), limit(dim, max, system));
    let (metric, us) = (span(UnitSystem::Metric), span(UnitSystem::Us));
    if metric == us {
        metric
    } else {
        format!("{metric} ({us})")
    }
}

/// A limit with as few digits as say it. Limits are round numbers in metric
/// units; in US units one percent is near enough for a message.
fn limit(dim: Dim, si: f64, system: UnitSystem) -> String {
    const MOST_DIGITS: u8 = 4;
    let near = match system {
        UnitSystem::Metric => 1e-6,
        UnitSystem::Us => 0.01,
    };
    let shown = |digits| Value::new(si, dim).digits(digits).show(system);
    let says_it = |text: &String| {
        quantity::read(text, dim).is_ok_and(|v| (v.si - si).abs() <= near * si.abs())
    };
    (1..MOST_DIGITS)
        .map(shown)
        .find(says_it)
        .unwrap_or_else(|| shown(MOST_DIGITS))
}
