//! decisions/0002-dependencies.md names every library that a manifest names,
//! and where; and no other.

use std::collections::{BTreeMap, BTreeSet};

use toml_edit::{DocumentMut, TableLike};

use crate::{crate_names, root};

/// Where each library is used: crates whose program code uses it, and those
/// of which only tests, benches and examples do.
type Uses = BTreeMap<String, (BTreeSet<String>, BTreeSet<String>)>;

/// Adds what the manifest of `crate_name` names, but for crates of the project.
fn add_manifest(uses: &mut Uses, crate_name: &str, manifest: &str) {
    let manifest: DocumentMut = manifest.parse().unwrap();
    let of = |key: &str| {
        let table = manifest.get(key).and_then(|item| item.as_table_like());
        table.map(libraries).unwrap_or_default()
    };
    for name in of("dependencies")
        .into_iter()
        .chain(of("build-dependencies"))
    {
        uses.entry(name)
            .or_default()
            .0
            .insert(crate_name.to_owned());
    }
    for name in of("dev-dependencies") {
        uses.entry(name)
            .or_default()
            .1
            .insert(crate_name.to_owned());
    }
    assert!(!manifest.contains_key("target"), "{crate_name}");
}

fn libraries(table: &dyn TableLike) -> Vec<String> {
    let from_outside = |item: &toml_edit::Item| {
        let table = item.as_table_like();
        !table.is_some_and(|t| t.contains_key("workspace") || t.contains_key("path"))
    };
    table
        .iter()
        .filter(|(_, item)| from_outside(item))
        .map(|(name, _)| name.to_owned())
        .collect()
}

/// Reads the rows `| library, library | crate, crate; tests of crate | why |`.
fn read_note(note: &str) -> Uses {
    let mut uses = Uses::new();
    let rows = note.lines().filter(|line| line.starts_with('|')).skip(2);
    for row in rows {
        let cells: Vec<&str> = row.trim_matches('|').split('|').map(str::trim).collect();
        let [names, places, why] = cells[..] else {
            panic!("three cells are needed: {row}");
        };
        assert!(!why.is_empty(), "no reason is given: {row}");
        let (crates, tests) = match places.split_once("tests of ") {
            Some((crates, tests)) => (crates.trim_end_matches([';', ' ']), tests),
            None => (places, ""),
        };
        let set = |text: &str| -> BTreeSet<String> {
            text.split(", ")
                .filter(|c| !c.is_empty())
                .map(str::to_owned)
                .collect()
        };
        for name in names.split(", ") {
            let before = uses.insert(name.to_owned(), (set(crates), set(tests)));
            assert!(before.is_none(), "{name} is named twice");
        }
    }
    uses
}

/// What the note and the manifests disagree about.
fn faults(said: &Uses, used: &Uses) -> Vec<String> {
    let names: BTreeSet<&String> = said.keys().chain(used.keys()).collect();
    names
        .into_iter()
        .filter(|name| said.get(*name) != used.get(*name))
        .map(|name| {
            format!(
                "{name}: note {:?}, manifests {:?}",
                said.get(name),
                used.get(name)
            )
        })
        .collect()
}

#[test]
fn a_library_that_one_side_lacks_is_found() {
    let note = "| library | where | why |\n| --- | --- | --- |\n\
                | csv, serde | app; tests of air | reads tables |\n";
    let manifest = "[dependencies]\ncsv = \"1\"\nair.workspace = true\n\
                    serde = { version = \"1\" }\n";
    let tests = "[dev-dependencies]\ncsv = \"1\"\nserde = \"1\"\n";
    let mut used = Uses::new();
    add_manifest(&mut used, "app", manifest);
    add_manifest(&mut used, "air", tests);
    let said = read_note(note);
    assert_eq!(faults(&said, &used), [""; 0]);

    let mut more = used.clone();
    add_manifest(&mut more, "job", "[dependencies]\nlog = \"1\"\n");
    assert!(faults(&said, &more)[0].starts_with("log: note None"));
    used.remove("serde");
    assert!(faults(&said, &used)[0].ends_with("manifests None"));
    add_manifest(&mut used, "air", "[dependencies]\nserde = \"1\"\n");
    assert_eq!(faults(&said, &used).len(), 1, "the wrong crate");
}

#[test]
fn the_note_names_what_the_manifests_name() {
    let mut used = Uses::new();
    for name in crate_names() {
        let path = root().join("crates").join(&name).join("Cargo.toml");
        add_manifest(&mut used, &name, &std::fs::read_to_string(path).unwrap());
    }
    let path = root().join("xtask/Cargo.toml");
    add_manifest(&mut used, "xtask", &std::fs::read_to_string(path).unwrap());
    let note = std::fs::read_to_string(root().join("decisions/0002-dependencies.md")).unwrap();
    assert_eq!(faults(&read_note(&note), &used), [""; 0]);
}
