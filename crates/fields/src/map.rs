//! Rows of numbers whose units stand in the column heads.

use serde::Serialize;

use crate::table::Column;

/// A table of numbers in SI.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Map {
    /// Names of the columns that the file gives, in the order of the file.
    pub columns: Vec<&'static str>,
    /// Rows; each has one number per column.
    pub rows: Vec<Vec<f64>>,
}

impl Map {
    /// The numbers of one column, if the file gives it.
    pub fn column(&self, name: &str) -> Option<Vec<f64>> {
        let i = self.columns.iter().position(|c| *c == name)?;
        Some(self.rows.iter().map(|r| r[i]).collect())
    }
}

/// The column that a head names, and the unit that follows the name.
///
/// The longest name wins, so that "water removed" is not read as "water".
pub(crate) fn match_head<'h>(
    head: &'h str,
    columns: &'static [Column],
) -> Option<(&'static Column, &'h str)> {
    columns
        .iter()
        .filter_map(|c| {
            let start = head.get(..c.name.len())?;
            let rest = head.get(c.name.len()..)?;
            let ends = rest.is_empty() || rest.starts_with([' ', '(', '[', ',']);
            (ends && start.eq_ignore_ascii_case(c.name)).then_some((c, rest))
        })
        .max_by_key(|(c, _)| c.name.len())
        .map(|(c, rest)| (c, rest.trim_matches([' ', '(', ')', '[', ']', ','])))
}
