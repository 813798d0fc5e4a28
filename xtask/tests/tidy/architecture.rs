//! ARCHITECTURE.md stays true.

use std::collections::BTreeSet;

use crate::root;

fn page() -> String {
    std::fs::read_to_string(root().join("ARCHITECTURE.md")).unwrap()
}

/// Crates of the project that a manifest names under `[dependencies]`.
fn used(crate_name: &str) -> BTreeSet<String> {
    let path = root().join("crates").join(crate_name).join("Cargo.toml");
    let text = std::fs::read_to_string(path).unwrap();
    let part = text.split("[dependencies]").nth(1).unwrap();
    let part = part.split("[dev-dependencies]").next().unwrap();
    part.lines()
        .filter_map(|l| l.strip_suffix(".workspace = true"))
        .map(str::to_owned)
        .collect()
}

#[test]
fn arrows_are_those_of_the_manifests() {
    let text = page();
    let block = text.split("## Arrows").nth(1).unwrap();
    let block = block.split("```").nth(1).unwrap();
    let mut seen = 0;
    for line in block.lines().filter(|l| l.contains(": uses ")) {
        let (name, uses) = line.split_once(": uses ").unwrap();
        let said: BTreeSet<String> = uses
            .split(", ")
            .filter(|u| *u != "nothing")
            .map(str::to_owned)
            .collect();
        assert_eq!(said, used(name), "{name}");
        seen += 1;
    }
    let crates = std::fs::read_dir(root().join("crates")).unwrap().count();
    assert_eq!(seen, crates);
}

#[test]
fn paths_exist() {
    let text = page();
    let quoted = text.split('`').skip(1).step_by(2);
    let roots = ["crates/", "cases/", "decisions/", "catalog/", "xtask"];
    let mut seen = 0;
    for path in quoted.filter(|q| roots.iter().any(|r| q.starts_with(r)) && !q.contains('*')) {
        assert!(root().join(path).exists(), "{path}");
        seen += 1;
    }
    assert!(10 < seen, "{seen}");
}
