//! Whether what was built does what was designed, judged fairly: every number
//! with its uncertainty, and "not proven" where that does not decide.
//!
//! One topic to a file. [`condensate`] is what counts for a unit's removal;
//! [`air_side`] only cross-checks it. [`gum`] carries uncertainties through any
//! function.

pub mod air_side;
pub mod condensate;
pub mod drainage;
pub mod electrical;
pub mod gum;
pub mod level;
pub mod psychrometer;
pub mod salts;
pub mod short_circuit;
pub mod steadiness;

use quantity::{Finding, Source, Text, Working};

/// A number with its standard uncertainty, in the same unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The number.
    pub value: f64,
    /// Its standard uncertainty.
    pub standard_uncertainty: f64,
}

impl Estimate {
    /// A number and its standard uncertainty.
    pub const fn new(value: f64, standard_uncertainty: f64) -> Self {
        Self {
            value,
            standard_uncertainty,
        }
    }

    /// Twice the standard uncertainty: about 95 of 100 true values lie within.
    pub const fn expanded(&self) -> f64 {
        COVERAGE * self.standard_uncertainty
    }
}

/// Coverage factor: expanded over standard uncertainty.
pub const COVERAGE: f64 = 2.0;

/// The guide that uncertainties are reckoned by.
pub(crate) const GUM: Source = Source::published(
    "JCGM 100:2008, Evaluation of measurement data (GUM)",
    "5.1.2, 5.2.2; coverage factor 2",
);

/// What a test says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It is as it shall be.
    Pass,
    /// It is not.
    Fail,
    /// What was measured does not decide.
    NotProven,
}

impl Verdict {
    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Fail => "fail",
            Self::NotProven => "not proven",
        }
    }

    /// The graver of two: fail before not proven before pass.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        match (self, other) {
            (Self::Fail, _) | (_, Self::Fail) => Self::Fail,
            (Self::NotProven, _) | (_, Self::NotProven) => Self::NotProven,
            (Self::Pass, Self::Pass) => Self::Pass,
        }
    }
}

/// A verdict with what it rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct Judgement {
    /// The verdict.
    pub verdict: Verdict,
    /// What was measured against what, in a sentence.
    pub said: Text,
    /// What would prove it, where it is not proven.
    pub would_prove: Vec<Text>,
    /// How the numbers came about.
    pub workings: Vec<Working>,
    /// What is wrong, why, and what to do.
    pub findings: Vec<Finding>,
}

impl Judgement {
    /// A verdict without more to it.
    pub const fn plain(verdict: Verdict, said: Text) -> Self {
        Self {
            verdict,
            said,
            would_prove: Vec::new(),
            workings: Vec::new(),
            findings: Vec::new(),
        }
    }

    /// This and another as one; what is said is said one after the other.
    #[must_use]
    pub fn and(mut self, other: Self) -> Self {
        self.verdict = self.verdict.and(other.verdict);
        if !other.said.is_empty() {
            self.said = if self.said.is_empty() {
                other.said
            } else {
                self.said.words("; ").and(&other.said)
            };
        }
        self.would_prove.extend(other.would_prove);
        self.workings.extend(other.workings);
        self.findings.extend(other.findings);
        self
    }
}
