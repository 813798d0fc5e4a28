//! How many findings there are, by severity: shape, word and number.

use job::Design;
use maud::{Markup, html};
use quantity::Severity;

/// Findings by severity.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Tally {
    stop: usize,
    fix: usize,
    note: usize,
}

impl Tally {
    /// Those of a design.
    pub(crate) fn of(design: &Design) -> Self {
        let mut tally = Self::default();
        for finding in design.findings() {
            match finding.severity {
                Severity::Stop => tally.stop += 1,
                Severity::Fix => tally.fix += 1,
                Severity::Note => tally.note += 1,
            }
        }
        tally
    }

    /// These and others.
    pub(crate) const fn and(self, other: Self) -> Self {
        Self {
            stop: self.stop + other.stop,
            fix: self.fix + other.fix,
            note: self.note + other.note,
        }
    }

    /// As a line.
    pub(crate) fn line(self) -> Markup {
        html! {
            span.tally {
                span.stop { (mark("stop")) " Stop " (self.stop) } " "
                span.fix { (mark("fix")) " Fix " (self.fix) } " "
                span.note { (mark("note")) " Note " (self.note) }
            }
        }
    }
}

/// Shape of a severity; the word stands beside it.
pub(crate) fn mark(severity: &str) -> Markup {
    let shape = match severity {
        "stop" => "■",
        "fix" => "▲",
        _ => "○",
    };
    html! { span aria-hidden="true" { (shape) } }
}
