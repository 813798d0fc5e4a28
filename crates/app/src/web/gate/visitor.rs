//! One visitor.

use quantity::UnitSystem;
use serde::{Deserialize, Serialize};

use super::super::refused::Refused;
use super::keep::now_s;
use super::secret;

/// From where someone came in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) enum Kind {
    /// The machine that runs the program; may do everything.
    Laptop,
    /// A phone that was paired; may not delete jobs, nor change who is let in.
    Phone,
}

/// How pages look.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) enum Theme {
    /// Black on white, for daylight and print.
    #[default]
    Light,
    /// Light on dark.
    Dark,
    /// Dim and without a white area, for rooms in their dark period.
    LightsOff,
}

impl Theme {
    /// The word in the page's `data-theme`.
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Light => "light",
            Self::Dark => "dark",
            Self::LightsOff => "lights-off",
        }
    }

    /// The colour of the desk in this theme, for the browser's own frame.
    pub(crate) const fn ground(self) -> &'static str {
        match self {
            Self::Light => "#eceae4",
            Self::Dark => "#0c0e10",
            Self::LightsOff => "#000000",
        }
    }

    /// The theme of a word.
    pub(crate) fn of(word: &str) -> Option<Self> {
        [Self::Light, Self::Dark, Self::LightsOff]
            .into_iter()
            .find(|t| t.word() == word)
    }
}

/// Units of a visitor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) enum Units {
    /// Metric.
    Metric,
    /// US.
    Us,
}

impl From<Units> for UnitSystem {
    fn from(units: Units) -> Self {
        match units {
            Units::Metric => Self::Metric,
            Units::Us => Self::Us,
        }
    }
}

/// One visitor and what they chose.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(crate) struct Session {
    /// Names it in lists; no secret.
    pub(crate) id: String,
    /// Hash of the cookie.
    pub(super) token_hash: String,
    /// From where.
    pub(crate) kind: Kind,
    /// What it is called in lists.
    pub(crate) name: String,
    /// When it was last seen \[s since 1970\].
    pub(crate) last_seen_s: u64,
    /// When its cookie was last renewed and this was last kept \[s since 1970\].
    #[serde(default)]
    pub(super) renewed_s: u64,
    /// Units for the whole session; none: those of the site file.
    pub(crate) units: Option<Units>,
    /// How pages look.
    pub(crate) theme: Theme,
    /// What forms drawn for it carry; made from its cookie, never kept.
    #[serde(skip)]
    pub(crate) form_token: String,
}

impl Session {
    pub(super) fn new(token_hash: String, kind: Kind, name: String) -> Self {
        let now = now_s();
        Self {
            id: id_of(&token_hash),
            token_hash,
            kind,
            name,
            last_seen_s: now,
            renewed_s: now,
            units: None,
            theme: Theme::default(),
            form_token: String::new(),
        }
    }

    /// What only the machine that runs the program may do.
    pub(crate) fn only_here(&self) -> Result<(), Refused> {
        match self.kind {
            Kind::Laptop => Ok(()),
            Kind::Phone => Err(Refused::NotAllowed(
                "This is done on the machine that runs the program, not from a phone.",
            )),
        }
    }

    /// Units to show: the visitor's, else these.
    pub(crate) fn units_or(&self, other: UnitSystem) -> UnitSystem {
        self.units.map_or(other, Into::into)
    }
}

/// A name for whoever has this cookie; no way back leads to the cookie.
pub(super) fn id_of(token_hash: &str) -> String {
    secret::hash(token_hash)[..12].to_owned()
}
