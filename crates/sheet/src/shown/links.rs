//! Which working a cell of a table comes from.
//!
//! A working is made beside the arithmetic, so its result and the number in a
//! table are the same to the last bit. A number that a person may have written
//! (whole millimetres, sixteenths of an inch) can be the same by chance; there
//! the working must name what the row is about.

use quantity::{Dim, Part, Value, Working};

use crate::report::{Cell, Table};

/// The number of the working of each cell, row by row and then of the sums.
pub(super) fn of_table(table: &Table, workings: &[Working]) -> Vec<Vec<Option<usize>>> {
    if workings.is_empty() {
        return Vec::new();
    }
    let rows = table.rows.iter().chain(&table.total);
    rows.map(|row| {
        let about = row.first().map(words).unwrap_or_default();
        row.iter()
            .map(|cell| match cell {
                Cell::Value(value) => of_value(*value, &about, workings),
                _ => None,
            })
            .collect()
    })
    .collect()
}

/// The number of the working that gave a value, in a row about something.
fn of_value(value: Value, about: &str, workings: &[Working]) -> Option<usize> {
    if value.si == 0.0 || !value.si.is_finite() {
        return None;
    }
    let same = |w: &&(usize, &Working)| {
        w.1.result.dim == value.dim && w.1.result.si.to_bits() == value.si.to_bits()
    };
    let all: Vec<(usize, &Working)> = workings.iter().enumerate().collect();
    let candidates: Vec<&(usize, &Working)> = all.iter().filter(same).collect();
    let named = candidates.iter().find(|(_, w)| names(&w.name, about));
    match named {
        Some((i, _)) => Some(i + 1),
        None if is_round(value) => None,
        None => candidates.first().map(|(i, _)| i + 1),
    }
}

/// Whether a name holds this word or these words, whole.
fn names(name: &str, about: &str) -> bool {
    let is_word = |c: char| c.is_alphanumeric() || c == '-';
    !about.is_empty()
        && name.match_indices(about).any(|(i, _)| {
            let before = name[..i].chars().next_back();
            let after = name[i + about.len()..].chars().next();
            !before.is_some_and(is_word) && !after.is_some_and(is_word)
        })
}

/// Whether a person may have written this number.
fn is_round(value: Value) -> bool {
    let whole = |x: f64| (x - x.round()).abs() < 1e-6;
    let sixteenths = value.dim == Dim::Length && whole(value.si / 0.0254 * 16.0);
    sixteenths || whole(value.si * 1000.0)
}

/// The words of a cell.
fn words(cell: &Cell) -> String {
    match cell {
        Cell::Text(text) => text
            .parts()
            .iter()
            .map(|part| match part {
                Part::Words(words) => words.as_ref(),
                Part::Place(place) => place.0.as_ref(),
                Part::Value(_) => "",
            })
            .collect::<String>()
            .trim()
            .to_owned(),
        _ => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use quantity::{Equation, Source};

    use super::*;
    use crate::report::Column;

    fn working(name: &'static str, si: f64) -> Working {
        Working {
            name: name.into(),
            symbol: "y".into(),
            equation: Equation::Algebra("a".into()),
            inputs: Vec::new(),
            result: Value::new(si, Dim::Length),
            source: Source::assumed("test"),
        }
    }

    #[test]
    fn cells_find_the_working_that_made_them_and_no_other() {
        let third = 1.0 / 3.0;
        let workings = [
            working("reach of D1", third),
            working("reach of D2", third),
            working("height of D1", 2.5),
        ];
        let cell = |si: f64| Cell::from(Value::new(si, Dim::Length));
        let table = Table {
            columns: vec![Column::words("Unit"), Column::of("Length", Dim::Length)],
            rows: vec![
                vec!["D2".into(), cell(third)],
                vec!["D3".into(), cell(third)],
                vec!["D1".into(), cell(2.5)],
                // Written by a person, and the same by chance.
                vec!["D3".into(), cell(2.5)],
                vec!["D1".into(), cell(third + 1e-12)],
                vec!["D1".into(), cell(0.0)],
                vec![
                    "D1".into(),
                    Cell::from(Value::new(third, Dim::TemperatureDifference)),
                ],
            ],
            ..Table::default()
        };
        let found: Vec<Option<usize>> = of_table(&table, &workings).iter().map(|r| r[1]).collect();
        let expected = [Some(2), Some(1), Some(3), None, None, None, None];
        assert_eq!(found, expected);
    }

    #[test]
    fn names_are_whole() {
        assert!(names("load of D1 on its rods", "D1"));
        assert!(!names("load of D11", "D1") && !names("load of D1-4", "D1"));
        assert!(!names("load", ""));
    }
}
