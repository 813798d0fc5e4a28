//! Numbers that others printed; see README.md in this folder.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(clippy::print_stdout, reason = "the largest errors are worth reading")]

mod tables;
mod worked_examples;

/// The largest share of its tolerance that an error has taken up, by column.
pub(crate) struct Worst {
    column: &'static str,
    share: f64,
    at: String,
    failed: Vec<String>,
}

impl Worst {
    pub(crate) fn of(column: &'static str) -> Self {
        Self {
            column,
            share: 0.0,
            at: String::new(),
            failed: Vec::new(),
        }
    }

    /// Compares one number; the verdict comes with [`Worst::verdict`].
    pub(crate) fn compare(&mut self, row: &str, got: f64, want: f64, tolerance: f64) {
        let error = got - want;
        let share = error.abs() / tolerance;
        let line = format!(
            "{row}: got {got}, printed {want}, off by {error:.3e}, allowed {tolerance:.3e}"
        );
        if share.is_nan() || 1.0 < share {
            self.failed.push(line.clone());
        }
        if self.share <= share {
            self.share = share;
            self.at = line;
        }
    }

    /// Prints the largest error and fails if any number was off by more than allowed.
    pub(crate) fn verdict(self) {
        println!(
            "{}: largest error {:.0} % of the tolerance; {}",
            self.column,
            100.0 * self.share,
            self.at
        );
        assert!(!self.at.is_empty(), "{}: nothing was compared", self.column);
        assert!(
            self.failed.is_empty(),
            "{}:\n{}",
            self.column,
            self.failed.join("\n")
        );
    }
}
