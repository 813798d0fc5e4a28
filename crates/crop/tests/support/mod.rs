//! Reads the check files beside the tests.

use std::collections::HashMap;
use std::path::Path;

use air::MoistAir;

/// One row of a check file, by column name.
pub(crate) struct Row(HashMap<String, String>);

impl Row {
    pub(crate) fn text(&self, column: &str) -> &str {
        self.0
            .get(column)
            .unwrap_or_else(|| panic!("no column {column}"))
    }

    pub(crate) fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse()
            .unwrap_or_else(|_| panic!("column {column}: {text:?} is no number"))
    }
}

/// All rows of `tests/<file>`; an empty file is a fault.
pub(crate) fn rows(file: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests")
        .join(file);
    let mut reader = csv::Reader::from_path(path).unwrap();
    let head = reader.headers().unwrap().clone();
    let rows: Vec<Row> = reader
        .records()
        .map(|record| {
            let record = record.unwrap();
            Row(head
                .iter()
                .zip(record.iter())
                .map(|(column, text)| (column.to_owned(), text.to_owned()))
                .collect())
        })
        .collect();
    assert!(!rows.is_empty(), "{file} has no rows");
    rows
}

/// Air at sea level.
pub(crate) fn air(dry_bulb_c: f64, rel_humidity_pct: f64) -> MoistAir {
    MoistAir::from_rel_humidity(dry_bulb_c, rel_humidity_pct / 100.0, 101_325.0).unwrap()
}

/// The largest error seen so far and where, to be printed at the end.
pub(crate) struct Largest {
    what: &'static str,
    error: f64,
    at: String,
}

impl Largest {
    pub(crate) fn new(what: &'static str) -> Self {
        Self {
            what,
            error: 0.0,
            at: String::new(),
        }
    }

    /// Fails where `error` is beyond `tolerance`.
    pub(crate) fn check(&mut self, at: &str, error: f64, tolerance: f64) {
        assert!(
            error.abs() <= tolerance,
            "{} at {at}: error {error}, allowed {tolerance}",
            self.what
        );
        if error.abs() >= self.error {
            self.error = error.abs();
            self.at = at.to_owned();
        }
    }

    pub(crate) fn print(&self) {
        println!(
            "largest error, {}: {:.3e} at {}",
            self.what, self.error, self.at
        );
    }
}
