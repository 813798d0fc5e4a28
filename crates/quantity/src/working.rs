//! How a number came about.

use std::borrow::Cow;

use serde::Serialize;

use crate::Value;

/// What a number or a rule rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SourceKind {
    /// A published document that can be looked up.
    Published,
    /// The trade does so; no published source.
    CommonPractice,
    /// Chosen here, with the reason in `cite`.
    Assumed,
    /// Measured or surveyed on this job.
    Measured,
    /// Recalled from a document that was not looked up again.
    Memory,
}

/// Where a number or a rule comes from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Source {
    /// What kind of source it is.
    pub kind: SourceKind,
    /// Authors, title, year; or the reason for an assumption.
    pub cite: Cow<'static, str>,
    /// Equation, table, page or line in it; may be empty.
    pub place_in_it: Cow<'static, str>,
}

impl Source {
    /// A published document and the place in it.
    pub const fn published(cite: &'static str, place_in_it: &'static str) -> Self {
        Self::fixed(SourceKind::Published, cite, place_in_it)
    }

    /// A rule of the trade without a published source.
    pub const fn common_practice(what: &'static str) -> Self {
        Self::fixed(SourceKind::CommonPractice, what, "")
    }

    /// A choice made in this program, with its reason.
    pub const fn assumed(reason: &'static str) -> Self {
        Self::fixed(SourceKind::Assumed, reason, "")
    }

    /// A document recalled, not looked up.
    pub const fn memory(cite: &'static str, place_in_it: &'static str) -> Self {
        Self::fixed(SourceKind::Memory, cite, place_in_it)
    }

    /// Measured or surveyed on this job: what, and where it is written.
    pub fn measured(
        what: impl Into<Cow<'static, str>>,
        place_in_it: impl Into<Cow<'static, str>>,
    ) -> Self {
        Self {
            kind: SourceKind::Measured,
            cite: what.into(),
            place_in_it: place_in_it.into(),
        }
    }

    const fn fixed(kind: SourceKind, cite: &'static str, place_in_it: &'static str) -> Self {
        Self {
            kind,
            cite: Cow::Borrowed(cite),
            place_in_it: Cow::Borrowed(place_in_it),
        }
    }
}

/// How a result follows from its inputs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Equation {
    /// Right-hand side in plain ASCII over the inputs' symbols, all in SI
    /// (°C for temperatures), e.g. `"m_da * (W_in - W_out)"`. Tests evaluate
    /// it and compare with the result. Functions allowed: exp, ln, sqrt, min,
    /// max; operators `+ - * / ^`.
    Algebra(Cow<'static, str>),
    /// The result of a named procedure (solver, simulation, weighted draws).
    Procedure(Cow<'static, str>),
}

/// One input of a [`Working`].
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Input {
    /// What it is, in words.
    pub name: Cow<'static, str>,
    /// Its symbol in the equation: a letter, then letters, digits, `_`.
    pub symbol: Cow<'static, str>,
    /// Its value.
    pub value: Value,
    /// How it came about itself, if it was computed.
    pub from: Option<Box<Working>>,
    /// Where it comes from, if it was given.
    pub source: Option<Source>,
}

impl Input {
    /// An input that was given, with its source.
    pub fn given(
        name: impl Into<Cow<'static, str>>,
        symbol: impl Into<Cow<'static, str>>,
        value: Value,
        source: Source,
    ) -> Self {
        Self {
            name: name.into(),
            symbol: symbol.into(),
            value,
            from: None,
            source: Some(source),
        }
    }

    /// An input that is itself the result of a working, under its own symbol.
    pub fn computed(working: Working) -> Self {
        Self {
            name: working.name.clone(),
            symbol: working.symbol.clone(),
            value: working.result,
            from: Some(Box::new(working)),
            source: None,
        }
    }
}

/// How one number came about: made beside the arithmetic that made the number.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Working {
    /// What the result is, in words.
    pub name: Cow<'static, str>,
    /// Symbol of the result.
    pub symbol: Cow<'static, str>,
    /// How it follows.
    pub equation: Equation,
    /// From what.
    pub inputs: Vec<Input>,
    /// The result.
    pub result: Value,
    /// Source of the equation.
    pub source: Source,
}
