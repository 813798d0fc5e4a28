//! Tables in words, with the widths that their columns need.

use quantity::UnitSystem;

use super::{ShownColumn, ShownTable, quantity, words};
use crate::drawing::{Letters, Role, font};
use crate::report::{Align, Cell, Column, Table};

/// A table as words.
pub fn table(t: &Table, units: UnitSystem) -> ShownTable {
    let mut columns: Vec<ShownColumn> = t
        .columns
        .iter()
        .map(|c| ShownColumn {
            head: match c.dim.map(|d| d.unit(c.units.unwrap_or(units))) {
                Some(unit) if !unit.is_empty() => format!("{}, {unit}", words(&c.head, units)),
                _ => words(&c.head, units),
            },
            align: match c.align {
                Align::Left => "left",
                Align::Right => "right",
            },
            least_mm: 0.0,
            wished_mm: 0.0,
        })
        .collect();
    let row = |cells: &Vec<Cell>| {
        t.columns
            .iter()
            .enumerate()
            .map(|(i, c)| cells.get(i).map_or(String::new(), |x| cell(x, c, units)))
            .collect::<Vec<_>>()
    };
    let mut rows: Vec<Vec<String>> = t.rows.iter().map(row).collect();
    let mut total = t.total.as_ref().map(row);
    for (i, c) in t.columns.iter().enumerate() {
        if c.dim.is_some() {
            let column = rows
                .iter_mut()
                .chain(total.as_mut())
                .map(|r| &mut r[i])
                .collect();
            pad_decimals(column);
        }
    }
    for (i, c) in columns.iter_mut().enumerate() {
        let cells = rows.iter().map(|r| (r[i].as_str(), Role::Text));
        let sums = total.iter().map(|r| (r[i].as_str(), Role::TextStrong));
        let (head, strong) = (c.head.as_str(), Role::TextStrong);
        c.least_mm = longest_word_mm(head, strong);
        c.wished_mm = in_two_lines_mm(head, strong);
        for (cell, role) in cells.chain(sums) {
            c.least_mm = c.least_mm.max(longest_word_mm(cell, role));
            c.wished_mm = c.wished_mm.max(font::width_mm(cell, Letters::Note, role));
        }
    }
    ShownTable {
        caption: words(&t.caption, units),
        columns,
        rows,
        total,
        workings: Vec::new(),
    }
}

/// Width of the longest piece that holds together.
fn longest_word_mm(text: &str, role: Role) -> f64 {
    text.split(' ')
        .map(|word| font::width_mm(word, Letters::Note, role))
        .fold(0.0, f64::max)
}

/// The least width in which a text stands in two lines; in one if it is short.
fn in_two_lines_mm(text: &str, role: Role) -> f64 {
    const SHORT: usize = 12;
    let width = |s: &str| font::width_mm(s, Letters::Note, role);
    if text.chars().count() <= SHORT {
        return width(text);
    }
    text.match_indices(' ')
        .map(|(i, _)| width(&text[..i]).max(width(&text[i + 1..])))
        .fold(width(text), f64::min)
}

/// Puts figure spaces behind numbers with fewer decimals, so that right
/// alignment puts the decimal points under each other without claiming digits
/// that are not known.
pub(crate) fn pad_decimals(column: Vec<&mut String>) {
    let tail = |s: &str| s.rfind('.').map_or(0, |i| s.len() - i - 1);
    let is_number = |s: &str| s.ends_with(|c: char| c.is_ascii_digit());
    let most = column
        .iter()
        .filter(|s| is_number(s))
        .map(|s| tail(s))
        .max()
        .unwrap_or(0);
    for s in column {
        if is_number(s) {
            let missing = most - tail(s);
            if missing > 0 {
                if tail(s) == 0 {
                    // Width of the point itself.
                    s.push('\u{2008}');
                }
                s.extend(std::iter::repeat_n('\u{2007}', missing));
            }
        }
    }
}

fn cell(cell: &Cell, column: &Column, units: UnitSystem) -> String {
    let units = column.units.unwrap_or(units);
    match cell {
        Cell::Text(t) => whole_if_short(words(t, units)),
        Cell::Value(v) if !v.si.is_finite() => "?".to_owned(),
        Cell::Value(v) if column.dim == Some(v.dim) => v.number(units),
        Cell::Value(v) => quantity(v, units),
        Cell::Blank => String::new(),
        Cell::NotApplicable => "–".to_owned(),
        Cell::Unknown => "?".to_owned(),
    }
}

/// A cell of few words is not broken into lines.
fn whole_if_short(text: String) -> String {
    const SHORT: usize = 15;
    if text.chars().count() <= SHORT {
        text.replace(' ', "\u{a0}")
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use quantity::{Dim, Value};

    use super::*;

    #[test]
    fn columns_know_what_they_need() {
        let t = Table {
            columns: vec![
                Column::words("Set"),
                Column::of("Lights on", Dim::WaterRate),
            ],
            rows: vec![vec![
                "1 × generic-150 + 2 × generic-70".into(),
                Value::new(1e-3, Dim::WaterRate).into(),
            ]],
            ..Table::default()
        };
        let shown = table(&t, UnitSystem::Us);
        let [set, water] = shown.columns.as_slice() else {
            panic!("two columns");
        };
        let width = |s: &str| font::width_mm(s, Letters::Note, Role::Text);
        assert!((set.least_mm - width("1\u{a0}×\u{a0}generic-150")).abs() < 1e-9);
        assert!((set.wished_mm - width(&shown.rows[0][0])).abs() < 1e-9);
        let whole = font::width_mm(&water.head, Letters::Note, Role::TextStrong);
        assert!(water.least_mm <= water.wished_mm && water.wished_mm < whole);
    }

    #[test]
    fn decimals_line_up_without_new_digits() {
        let mut all = ["12".to_owned(), "3.25".to_owned(), "–".to_owned()];
        pad_decimals(all.iter_mut().collect());
        assert_eq!(all[0], "12\u{2008}\u{2007}\u{2007}");
        assert_eq!(all[1], "3.25");
        assert_eq!(all[2], "–");
    }
}
