//! Numbers of reference libraries; see README.md in this folder.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(clippy::print_stdout, reason = "the largest errors are worth reading")]

mod points;
mod states;

/// The largest error of a column, in the column's own measure and as a share
/// of what is allowed.
pub(crate) struct Worst {
    column: String,
    error: f64,
    allowed: f64,
    at: String,
    compared: usize,
    failed: Vec<String>,
}

/// How an error is measured.
#[derive(Clone, Copy)]
pub(crate) enum Allowed {
    /// As a share of the expected number.
    Share(f64),
    /// In the unit of the column.
    Absolute(f64),
    /// As a share of the expected number, but never less than so much of it.
    ShareOrAbsolute(f64, f64),
}

impl Worst {
    pub(crate) fn of(column: impl Into<String>) -> Self {
        Self {
            column: column.into(),
            error: 0.0,
            allowed: f64::NAN,
            at: String::new(),
            compared: 0,
            failed: Vec::new(),
        }
    }

    /// Compares one number; the verdict comes with [`Worst::verdict`].
    pub(crate) fn compare(&mut self, row: &str, got: f64, want: f64, allowed: Allowed) {
        let off = (got - want).abs();
        // Error and limit in one measure: a share where a share decides.
        let (error, limit) = match allowed {
            Allowed::Share(share) => (off / want.abs(), share),
            Allowed::Absolute(absolute) => (off, absolute),
            Allowed::ShareOrAbsolute(share, absolute) if share * want.abs() < absolute => {
                (off, absolute)
            }
            Allowed::ShareOrAbsolute(share, _) => (off / want.abs(), share),
        };
        self.compared += 1;
        if error.is_nan() || limit < error {
            self.failed
                .push(format!("{row}: got {got}, expected {want}"));
        }
        if self.compared == 1 || self.error / self.allowed < error / limit {
            self.error = error;
            self.allowed = limit;
            self.at = row.to_owned();
        }
    }

    /// Prints the largest error and fails if any number was off by more than allowed.
    pub(crate) fn verdict(self) {
        println!(
            "{:<32} largest error {:.2e} of {:.1e} allowed, at {} ({} compared)",
            self.column, self.error, self.allowed, self.at, self.compared
        );
        assert!(0 < self.compared, "{}: nothing was compared", self.column);
        assert!(
            self.failed.is_empty(),
            "{}:\n{}",
            self.column,
            self.failed.join("\n")
        );
    }
}

/// Rows of a file beside this one, by column name.
pub(crate) fn rows(text: &str) -> Vec<std::collections::HashMap<String, String>> {
    csv::Reader::from_reader(text.as_bytes())
        .deserialize()
        .map(|row| row.unwrap())
        .collect()
}

pub(crate) fn number(row: &std::collections::HashMap<String, String>, column: &str) -> f64 {
    row[column]
        .parse()
        .unwrap_or_else(|e| panic!("{column}: {e}"))
}
