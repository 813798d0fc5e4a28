//! What is printed is what was computed: every equation text of the workings
//! of every room under `cases/`, evaluated over its printed inputs and compared
//! with its result, down to the last input.
//!
//! A second evaluator (the `exmex` crate) stands outside the arithmetic that
//! made the results. Equations that belong to one crate are checked there at
//! more points; here it is whether a whole job hands them the right inputs.

#![allow(clippy::unwrap_used, reason = "a test may panic")]

use std::fs;
use std::path::{Path, PathBuf};

use equipment::Catalog;
use exmex::Express as _;
use job::{Effort, Silent, load, selection};
use quantity::{Equation, Source, Working};
use room::Room;

/// Largest difference, relative to the printed result.
const TOLERANCE: f64 = 1e-6;

/// What was seen of a tree of workings.
#[derive(Debug, Default)]
struct Seen {
    algebra: usize,
    procedures: usize,
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Entries of a folder, sorted; none where there is no folder.
fn entries(folder: &Path) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = fs::read_dir(folder)
        .into_iter()
        .flatten()
        .map(|e| e.unwrap().path())
        .collect();
    found.sort();
    found
}

fn rooms_below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for path in entries(folder) {
        if path.is_dir() {
            found.extend(rooms_below(&path));
        } else if path.to_string_lossy().ends_with(".room.toml") {
            found.push(path);
        }
    }
    found
}

fn text_of(path: &Path) -> (String, String) {
    (path.display().to_string(), fs::read_to_string(path).unwrap())
}

fn room_at(path: &Path) -> Room {
    let site = path.with_file_name("site.toml");
    let site = site.exists().then(|| text_of(&site));
    let site = site.as_ref().map(|(n, t)| (n.as_str(), t.as_str()));
    let (name, text) = text_of(path);
    Room::read(site, (&name, &text)).unwrap_or_else(|p| panic!("{name}: {p:?}"))
}

/// The machines of the project and those of the job folder.
fn catalog_for(room: &Path) -> Catalog {
    let files: Vec<(String, String)> = [root().join("catalog"), room.with_file_name("catalog")]
        .iter()
        .flat_map(|folder| entries(folder))
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .map(|p| text_of(&p))
        .collect();
    Catalog::read(&files).unwrap_or_else(|p| panic!("{}: {p:?}", room.display()))
}

fn is_named(source: &Source) -> bool {
    !source.cite.trim().is_empty()
}

/// Evaluates a working and all that it stands on.
fn evaluate(working: &Working, place: &str, seen: &mut Seen) {
    let name = &working.name;
    assert!(is_named(&working.source), "{place}: {name} has no source");
    assert!(!working.inputs.is_empty(), "{place}: {name} has no inputs");
    assert!(working.result.si.is_finite(), "{place}: {name}");
    for input in &working.inputs {
        match (&input.from, &input.source) {
            (Some(from), None) => {
                assert_eq!(from.result, input.value, "{place}: {name}: {}", input.name);
                evaluate(from, place, seen);
            }
            (None, Some(source)) => {
                assert!(is_named(source), "{place}: {name}: {}", input.name);
            }
            _ => panic!("{place}: {name}: {} is given or computed", input.name),
        }
    }
    match &working.equation {
        Equation::Procedure(what) => {
            assert!(!what.trim().is_empty(), "{place}: {name}");
            seen.procedures += 1;
        }
        Equation::Algebra(text) => {
            compare(working, text, place);
            seen.algebra += 1;
        }
    }
}

/// Compares an equation text, evaluated over its inputs, with the result.
fn compare(working: &Working, text: &str, place: &str) {
    let name = &working.name;
    assert!(text.is_ascii(), "{place}: {name}: {text}");
    let expression =
        exmex::parse::<f64>(text).unwrap_or_else(|e| panic!("{place}: {name}: {text}: {e}"));
    // The evaluator takes values in the sorted order of its symbols.
    let values: Vec<f64> = expression
        .var_names()
        .iter()
        .map(|symbol| {
            let mut same = working.inputs.iter().filter(|i| i.symbol == *symbol);
            let input = same
                .next()
                .unwrap_or_else(|| panic!("{place}: {name}: {symbol} of {text} is no input"));
            assert!(
                same.all(|other| other.value == input.value),
                "{place}: {name}: {symbol} of {text} stands for two values"
            );
            input.value.si
        })
        .collect();
    let printed = expression.eval(&values).unwrap();
    let result = working.result.si;
    assert!(
        (printed - result).abs() <= TOLERANCE * result.abs().max(f64::MIN_POSITIVE),
        "{place}: {name}: {text} gives {printed}, not {result}"
    );
}

#[test]
fn workings_of_every_case_give_their_results() {
    let rooms = rooms_below(&root().join("cases"));
    assert!(rooms.len() >= 18, "{} rooms", rooms.len());
    let mut all = Seen::default();
    for path in &rooms {
        let place = path.display().to_string();
        let room = room_at(path);
        let load = load::hourly(&room, Effort::Preview).unwrap();
        let catalog = catalog_for(path);
        let selection =
            selection::choose(&room, &load, &catalog, Effort::Preview, &Silent).unwrap();
        // A constant gain is its own working; a room with a crop has more.
        assert!(
            room.crop.is_none() || !load.workings.is_empty(),
            "{place}: a crop and no working"
        );
        assert!(
            selection.chosen.is_none() || !selection.workings.is_empty(),
            "{place}: a chosen set and no working"
        );
        let mut seen = Seen::default();
        for working in load.workings.iter().chain(&selection.workings) {
            evaluate(working, &place, &mut seen);
        }
        println!("{place}: {seen:?}");
        all.algebra += seen.algebra;
        all.procedures += seen.procedures;
    }
    println!("{all:?}");
    assert!(all.algebra > 200, "{all:?}");
}
