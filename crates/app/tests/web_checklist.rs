//! The list of what the web app must do names tests that exist, each question
//! once.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::path::{Path, PathBuf};

/// The file that a test of the list is in, from the part before `::`.
fn file(named: &str) -> PathBuf {
    let app = Path::new(env!("CARGO_MANIFEST_DIR"));
    match named.strip_suffix(".rs") {
        None => app.join("tests").join(format!("{named}.rs")),
        Some(_) if named.starts_with("job/") || named.starts_with("sheet/") => {
            app.join("..").join(named)
        }
        Some(_) if named.starts_with("record/") => app.join("src").join(named),
        Some(_) => app.join("src/web").join(named),
    }
}

#[test]
fn every_question_is_answered_by_tests_that_exist() {
    let list = include_str!("web_checklist.md");
    let rows = list.lines().filter_map(|l| l.strip_prefix("| "));
    let rows: Vec<(usize, &str)> = rows
        .filter_map(|row| {
            let (number, rest) = row.split_once(" | ")?;
            Some((number.parse().ok()?, rest))
        })
        .collect();
    let numbers: Vec<usize> = rows.iter().map(|r| r.0).collect();
    assert_eq!(numbers, (1..=40).collect::<Vec<_>>());
    for (number, row) in rows {
        let (_, shown) = row.rsplit_once(" | ").unwrap();
        let tests: Vec<&str> = shown.split('`').filter(|t| t.contains("::")).collect();
        assert!(!tests.is_empty(), "{number}: {row}");
        for test in tests {
            let (named, function) = test.split_once("::").unwrap();
            let path = file(named);
            let text = std::fs::read_to_string(&path);
            let text = text.unwrap_or_else(|e| panic!("{number}: {}: {e}", path.display()));
            let is_there = text.contains(&format!("#[test]\nfn {function}("))
                || text.contains(&format!("#[test]\n    fn {function}("));
            assert!(
                is_there,
                "{number}: no test {function} in {}",
                path.display()
            );
        }
    }
}
