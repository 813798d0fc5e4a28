//! What is printed is what was computed: every algebraic working of every room
//! under `cases/` is evaluated and must give its result.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use equipment::Catalog;
use exmex::Express;
use job::{Effort, Silent};
use quantity::{Equation, Working};
use room::Room;

fn toml_below(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            toml_below(&path, found);
        } else if path.extension().is_some_and(|e| e == "toml") {
            found.push(path);
        }
    }
    found.sort();
}

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap()
}

/// How often each equation was evaluated.
type Evaluated = BTreeMap<String, usize>;

/// Evaluates a working and those inside it.
fn evaluate(working: &Working, room: &str, evaluated: &mut Evaluated) {
    assert!(!working.source.cite.is_empty(), "{room}: {}", working.name);
    for inner in working.inputs.iter().filter_map(|i| i.from.as_deref()) {
        evaluate(inner, room, evaluated);
    }
    let rhs = match &working.equation {
        Equation::Procedure(name) => {
            assert!(!name.is_empty(), "{room}: {}", working.name);
            return;
        }
        Equation::Algebra(rhs) => rhs,
    };
    let expression =
        exmex::parse::<f64>(rhs).unwrap_or_else(|e| panic!("{room}: {}: {rhs}: {e}", working.name));
    let values: Vec<f64> = expression
        .var_names()
        .iter()
        .map(|name| {
            let input = working.inputs.iter().find(|i| i.symbol == name.as_str());
            let input = input.unwrap_or_else(|| panic!("{}: no input {name}", working.name));
            input.value.si
        })
        .collect();
    let found = expression.eval(&values).unwrap();
    let expected = working.result.si;
    assert!(
        (found - expected).abs() <= 1e-6 * expected.abs().max(1e-12),
        "{room}: {}: {rhs} gives {found}, shown is {expected}",
        working.name
    );
    *evaluated.entry(rhs.to_string()).or_default() += 1;
}

#[test]
fn every_algebraic_working_gives_its_result() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let mut machines = Vec::new();
    toml_below(&root.join("catalog"), &mut machines);
    toml_below(&root.join("cases/published/catalog"), &mut machines);
    let machines: Vec<(String, String)> = machines
        .iter()
        .map(|p| (p.display().to_string(), text(p)))
        .collect();
    let catalog = Catalog::read(&machines).unwrap();
    let mut rooms = Vec::new();
    toml_below(&root.join("cases"), &mut rooms);
    rooms.retain(|p| p.to_string_lossy().ends_with(".room.toml"));
    assert!(17 < rooms.len());
    let mut evaluated = Evaluated::new();
    for path in rooms {
        let name = path.display().to_string();
        let site_path = path.with_file_name("site.toml");
        let site = site_path.exists().then(|| text(&site_path));
        let room = Room::read(
            site.as_deref().map(|s| ("site.toml", s)),
            (&name, &text(&path)),
        );
        let mut room = room.unwrap_or_else(|p| panic!("{p:?}"));
        // Two models show every kind of working; more only take time.
        room.selection.models.truncate(2);
        let load = job::load::hourly(&room, Effort::Preview).unwrap();
        let selection =
            job::selection::choose(&room, &load, &catalog, Effort::Preview, &Silent).unwrap();
        for working in load.workings.iter().chain(&selection.workings) {
            evaluate(working, &name, &mut evaluated);
        }
    }
    let all: usize = evaluated.values().sum();
    assert!(500 < all && 25 < evaluated.len(), "{all} of {evaluated:#?}");
}
