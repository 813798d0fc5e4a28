//! A surveyed or assumed input, and which of the two it is.

use std::sync::Arc;

use serde::Serialize;

use crate::Source;

/// A place in a file that a person wrote.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Line {
    /// File name as the person knows it.
    pub file: Arc<str>,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

/// Where an input comes from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// Written in a file by the person who surveyed.
    Surveyed(Line),
    /// A default of this program, with its source.
    Assumed(Source),
}

/// An input with its origin: no default is invisible.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Given<T> {
    /// The input.
    pub value: T,
    /// Where it comes from.
    pub origin: Origin,
}

impl<T> Given<T> {
    /// An assumed input.
    pub const fn assumed(value: T, source: Source) -> Self {
        Self {
            value,
            origin: Origin::Assumed(source),
        }
    }

    /// Whether it was assumed.
    pub const fn is_assumed(&self) -> bool {
        matches!(self.origin, Origin::Assumed(_))
    }

    /// The same input with its value passed through `f`.
    pub fn map<U>(self, f: impl FnOnce(T) -> U) -> Given<U> {
        Given {
            value: f(self.value),
            origin: self.origin,
        }
    }

    /// The source of this input, for a [`crate::Working`].
    pub fn source(&self) -> Source {
        match &self.origin {
            Origin::Surveyed(l) => Source::measured("survey", format!("{}:{}", l.file, l.line)),
            Origin::Assumed(s) => s.clone(),
        }
    }
}
