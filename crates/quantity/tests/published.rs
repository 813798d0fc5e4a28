//! Spellings and factors against their published definitions.

use quantity::{Dim, read};

fn dim_named(name: &str) -> Dim {
    *Dim::ALL
        .iter()
        .find(|d| format!("{d:?}") == name)
        .unwrap_or_else(|| panic!("no kind is called {name}"))
}

/// Half a unit of the last digit of a number as printed, `2.54e-2`.
fn half_last_digit(printed: &str) -> f64 {
    let (mantissa, exponent) = printed.split_once('e').expect("a power of ten");
    let decimals = mantissa.split_once('.').expect("a point").1.len();
    let exponent: i32 = exponent.parse().expect("a whole power");
    0.5 * 10f64.powi(exponent - i32::try_from(decimals).expect("few decimals"))
}

#[test]
fn every_spelling_means_its_published_value() {
    let mut rows = csv::Reader::from_path("tests/published/units.csv").unwrap();
    let mut largest = 0.0_f64;
    let mut count = 0;
    let mut wrong = Vec::new();
    for row in rows.records() {
        let row = row.unwrap();
        let (dim, text, printed) = (dim_named(&row[0]), &row[1], &row[2]);
        let expected: f64 = printed.parse().unwrap();
        let tolerance = match &row[3] {
            "rounded" => half_last_digit(printed),
            "exact" => 1e-12 * expected.abs(),
            other => panic!("no precision is called {other}"),
        };
        match read(text, dim) {
            Ok(value) if (value.si - expected).abs() <= tolerance => {
                if &row[3] == "exact" {
                    largest = largest.max((value.si / expected - 1.0).abs());
                }
            }
            other => wrong.push(format!("{dim:?} {text}: {other:?}, {expected}")),
        }
        count += 1;
    }
    println!("{count} rows, largest relative error of exact rows {largest:e}");
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(count > 150, "{count} rows");
}

#[test]
fn every_kind_has_a_row() {
    let mut rows = csv::Reader::from_path("tests/published/units.csv").unwrap();
    let seen: Vec<Dim> = rows.records().map(|r| dim_named(&r.unwrap()[0])).collect();
    let missing: Vec<_> = Dim::ALL.iter().filter(|d| !seen.contains(d)).collect();
    // Degrees of angle are checked in tests/print.rs; they need π.
    assert_eq!(missing, [&Dim::Angle]);
}
