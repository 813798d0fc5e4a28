//! Unit factors against another library's.

use quantity::{Dim, read};

#[test]
fn factors_agree_with_pint() {
    let mut rows = csv::Reader::from_path("tests/cross/units_pint.csv").unwrap();
    let mut count = 0;
    for row in rows.records() {
        let row = row.unwrap();
        let dim = Dim::ALL.into_iter().find(|d| format!("{d:?}") == row[0]);
        let value = read(&row[1], dim.unwrap()).unwrap();
        let expected: f64 = row[2].parse().unwrap();
        let tolerance: f64 = row[3].parse().unwrap();
        let error = (value.si / expected - 1.0).abs();
        assert!(error <= tolerance, "{} is off by {error:e}", &row[1]);
        count += 1;
    }
    assert_eq!(count, 36);
}
