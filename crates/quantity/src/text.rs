//! A sentence whose units are chosen only when it is shown.

use std::borrow::Cow;

use serde::Serialize;

use crate::Value;

/// A part of a room or job, by the name that a person would say
/// ("unit D1", "canopy", "north wall").
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(transparent)]
pub struct Place(pub Cow<'static, str>);

impl Place {
    /// A place with this name.
    pub fn new(name: impl Into<Cow<'static, str>>) -> Self {
        Self(name.into())
    }
}

/// One piece of a [`Text`].
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// Words as they are.
    Words(Cow<'static, str>),
    /// A quantity, shown in the user's units.
    Value(Value),
    /// The name of a place.
    Place(Place),
}

/// Words, values and places in a row.
///
/// ```
/// use quantity::{Dim, Text, Value};
/// let t = Text::from("the room reaches ")
///     .value(Value::new(0.684, Dim::RelHumidity))
///     .words(" at lights-off");
/// assert_eq!(t.parts().len(), 3);
/// ```
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(transparent)]
pub struct Text(Vec<Part>);

impl Text {
    /// An empty text.
    pub const fn new() -> Self {
        Self(Vec::new())
    }

    /// Adds words.
    #[must_use]
    pub fn words(mut self, words: impl Into<Cow<'static, str>>) -> Self {
        self.0.push(Part::Words(words.into()));
        self
    }

    /// Adds a value.
    #[must_use]
    pub fn value(mut self, value: Value) -> Self {
        self.0.push(Part::Value(value));
        self
    }

    /// Adds the name of a place.
    #[must_use]
    pub fn place(mut self, place: Place) -> Self {
        self.0.push(Part::Place(place));
        self
    }

    /// Adds another text.
    #[must_use]
    pub fn and(mut self, text: &Self) -> Self {
        self.0.extend_from_slice(&text.0);
        self
    }

    /// The parts in order.
    pub fn parts(&self) -> &[Part] {
        &self.0
    }

    /// Whether nothing was said.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl From<&'static str> for Text {
    fn from(words: &'static str) -> Self {
        Self::new().words(words)
    }
}

impl From<String> for Text {
    fn from(words: String) -> Self {
        Self::new().words(words)
    }
}
/// A number of things in words: "1 unit", "3 units". Plain English plurals only.
pub fn counted(count: usize, noun: &str) -> String {
    if count == 1 {
        format!("1 {noun}")
    } else {
        format!("{count} {noun}s")
    }
}
