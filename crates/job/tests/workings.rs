//! What is printed is what was computed: every algebraic working is evaluated
//! and must give its result, and every number shown opens to its working.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use common::read;
use equipment::Catalog;
use exmex::Express;
use job::load::{LoadSource, SOURCES};
use job::{Effort, Load, Silent};
use quantity::{Equation, Input, Working};
use room::{Period, Room};

const EVERYTHING: &str = include_str!("rooms/everything.room.toml");

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

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap()
}

/// Rooms under `cases/`, each with its site.
fn cases() -> Vec<(String, Room)> {
    let mut paths = Vec::new();
    toml_below(&root().join("cases"), &mut paths);
    paths.retain(|p| p.to_string_lossy().ends_with(".room.toml"));
    paths
        .iter()
        .map(|path| {
            let name = path.display().to_string();
            let site_path = path.with_file_name("site.toml");
            let site = site_path.exists().then(|| text(&site_path));
            let site = site.as_deref().map(|s| ("site.toml", s));
            let room = Room::read(site, (&name, &text(path)));
            (name, room.unwrap_or_else(|p| panic!("{p:?}")))
        })
        .collect()
}

fn catalog() -> Catalog {
    let mut machines = Vec::new();
    toml_below(&root().join("catalog"), &mut machines);
    toml_below(&root().join("cases/published/catalog"), &mut machines);
    let machines: Vec<(String, String)> = machines
        .iter()
        .map(|p| (p.display().to_string(), text(p)))
        .collect();
    Catalog::read(&machines).unwrap()
}

/// How often each equation was evaluated.
type Evaluated = BTreeMap<String, usize>;

/// Evaluates a working and those inside it.
fn evaluate(working: &Working, room: &str, evaluated: &mut Evaluated) {
    assert!(!working.source.cite.is_empty(), "{room}: {}", working.name);
    for input in &working.inputs {
        assert!(
            input.from.is_some() || input.source.is_some(),
            "{room}: {}: {} comes from nowhere",
            working.name,
            input.name
        );
    }
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
            let mut inputs = working.inputs.iter().filter(|i| i.symbol == name.as_str());
            let input = inputs.next();
            let input = input.unwrap_or_else(|| panic!("{}: no input {name}", working.name));
            assert!(inputs.next().is_none(), "{}: two {name}", working.name);
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

/// A first look at the load of every room tells all that the long one does: the
/// workings are of the likely case.
#[test]
fn every_working_of_a_load_gives_its_result() {
    let mut rooms = cases();
    assert!(17 < rooms.len());
    rooms.push(("everything".into(), read(EVERYTHING)));
    let mut evaluated = Evaluated::new();
    for (name, room) in rooms {
        let load = job::load::hourly(&room, Effort::Preview).unwrap();
        assert!(!load.workings.is_empty(), "{name}");
        for working in &load.workings {
            evaluate(working, &name, &mut evaluated);
        }
    }
    let all: usize = evaluated.values().sum();
    assert!(
        1000 < all && 40 < evaluated.len(),
        "{all} of {evaluated:#?}"
    );
}

/// One room with each kind of record, and rooms at two altitudes: more would
/// evaluate the same equations again.
#[test]
fn every_working_of_a_selection_gives_its_result() {
    let catalog = catalog();
    let kinds = [
        "generic-30",      // rating only
        "generic-70",      // curve
        "generic-150",     // table
        "generic-90-cold", // table, colder
    ];
    let mut evaluated = Evaluated::new();
    for altitude in ["0 m", "1600 m"] {
        for kind in kinds {
            let sheet = common::Sheet::leafy()
                .without("site", "pressure")
                .set("site", "altitude", &format!("\"{altitude}\""))
                .set("selection", "models", &format!("[\"{kind}\"]"));
            let mut room = sheet.room();
            // What is asked of one unit does not depend on how many there are.
            room.selection.max_count.value = 1;
            let load = job::load::hourly(&room, Effort::Draft).unwrap();
            let selection =
                job::selection::choose(&room, &load, &catalog, Effort::Draft, &Silent).unwrap();
            let counts = selection.workings.iter().filter(|w| w.symbol == "N");
            assert_eq!(counts.count(), 2, "{kind}: with lights on and off");
            for working in &selection.workings {
                evaluate(working, kind, &mut evaluated);
            }
            for (moment, period) in [
                (&selection.capacities[0].lights_on, Period::LightsOn),
                (&selection.capacities[0].lights_off, Period::LightsOff),
            ] {
                let shown = |si: f64| {
                    let same = |w: &&Working| (w.result.si / si - 1.0).abs() < 1e-6;
                    selection.workings.iter().any(|w| same(&w))
                };
                assert!(shown(moment.removal_kg_per_s), "{kind} {period:?}");
                assert!(shown(moment.power_w), "{kind} {period:?}");
                assert!(shown(moment.sensible_w), "{kind} {period:?}");
                assert!(shown(moment.energy_factor_kg_per_j), "{kind} {period:?}");
            }
        }
    }
    assert!(12 < evaluated.len(), "{evaluated:#?}");
}

fn loaded() -> Load {
    job::load::hourly(&read(EVERYTHING), Effort::Draft).unwrap()
}

/// The sum of a period, and its inputs by symbol.
fn sum_of<'a>(load: &'a Load, symbol: &str) -> &'a Working {
    load.workings.iter().find(|w| w.symbol == symbol).unwrap()
}

/// The periods' sums are the numbers shown, and each source that gives anything
/// is opened in them: by an equation, or by a procedure over an opened likely
/// case.
#[test]
fn every_source_opens_to_its_working() {
    let load = loaded();
    let mut opened = std::collections::BTreeSet::new();
    for (period, tag) in [
        (Period::LightsOn, "on"),
        (Period::Transition, "after"),
        (Period::LightsOff, "off"),
    ] {
        let span = &load.period(period).unwrap().mean;
        for (letter, shown, source_of) in [
            (
                "w",
                span.water_kg_per_s.likely,
                (|s| s.mean_water_kg_per_s) as fn(&job::load::SourceLoad) -> f64,
            ),
            ("Q", span.sensible_w.likely, |s| s.mean_sensible_w),
        ] {
            let sum = sum_of(&load, &format!("{letter}_{tag}"));
            assert_eq!(sum.result.si, shown);
            let giving = span.sources.iter().filter(|s| source_of(s) != 0.0);
            for source in giving {
                let value = source_of(source);
                let input = sum
                    .inputs
                    .iter()
                    .find(|i| i.value.si == value || (i.value.si / value - 1.0).abs() < 1e-9);
                let input: &Input =
                    input.unwrap_or_else(|| panic!("{period:?}: {:?}", source.source));
                let from = input.from.as_deref().unwrap();
                let open = match &from.equation {
                    Equation::Algebra(_) => true,
                    Equation::Procedure(_) => from.inputs.iter().any(|i| i.from.is_some()),
                };
                assert!(open, "{period:?}: {letter} of {:?}", source.source);
                opened.insert((letter, source.source as usize));
            }
        }
    }
    let of = |letter| {
        SOURCES
            .into_iter()
            .filter(|s| opened.contains(&(letter, *s as usize)))
            .collect::<Vec<_>>()
    };
    let dry = [LoadSource::Lights, LoadSource::Fans, LoadSource::Envelope];
    let wet: Vec<LoadSource> = SOURCES.into_iter().filter(|s| !dry.contains(s)).collect();
    assert_eq!(of("w"), wet);
    assert_eq!(of("Q"), SOURCES);
    assert_eq!(
        sum_of(&load, "m_day").result.si,
        load.water_kg_per_day.likely
    );
}

/// What no draw changes, at a target that stands still, is its equation to the
/// last digit: no procedure stands between.
#[test]
fn what_is_not_drawn_is_its_equation() {
    let load = loaded();
    for (letter, other) in [("w", ["open", "hung"]), ("Q", ["fans", "walls"])] {
        let sum = sum_of(&load, &format!("{letter}_on"));
        for source in other.iter().chain(&["wash", "people", "burner", "other"]) {
            let symbol = format!("{letter}_{source}");
            let input = sum.inputs.iter().find(|i| i.symbol == symbol.as_str());
            let input = input.unwrap_or_else(|| panic!("no {symbol}"));
            let from = input.from.as_deref().unwrap();
            assert!(matches!(from.equation, Equation::Algebra(_)), "{from:#?}");
        }
    }
}

/// Shares and rates of the typical day follow from its sums.
#[test]
fn every_working_of_a_day_gives_its_result() {
    let (name, room) = cases()
        .into_iter()
        .find(|(name, _)| name.ends_with("veg-1.room.toml"))
        .unwrap();
    let catalog = catalog();
    let design = job::design(
        &room,
        &catalog,
        &job::Inputs::default(),
        Effort::Preview,
        &Silent,
    );
    let day = design.unwrap().day;
    let mut evaluated = Evaluated::new();
    let all = job::day::workings(&room, &day);
    for working in &all {
        evaluate(working, &name, &mut evaluated);
    }
    let water = || all.iter().filter(|w| w.name.starts_with("water by"));
    let left: f64 = water().map(|w| w.result.si).sum();
    let most = water().map(|w| w.result.si).fold(0.0, f64::max);
    assert!(
        10 < all.len() && left.abs() < 0.02 * most,
        "{left} of {most}"
    );
}
