//! The verbs of the installation: each gives text and JSON that keeps to its
//! schema, draws what it says, and says where it cannot.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::schema::violations;
use common::{EIGHT, drywright, files_below};
use serde_json::Value;

const PLACED: &str = r#"
[[unit]]
tag = "D1"
model = "generic-150"
at = ["12 ft", "8 ft", "11 ft"]
facing = "+x"
[[drain]]
name = "floor drain"
at = ["22 ft", "3 ft", "0 ft"]
[[panel]]
name = "LP-1"
at = ["0 ft", "14 ft", "5 ft"]
voltage = "240 V"
phases = 1
main = "100 A"
[structure]
kind = "steel joist"
spacing = "4 ft"
runs = "y"
[[controller]]
tag = "C1"
model = "generic-pair-remote"
at = ["0 ft", "12 ft", "5 ft"]
"#;

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(
        folder.path().join("a.room.toml"),
        format!("{EIGHT}{PLACED}"),
    )
    .unwrap();
    folder
}

#[test]
fn every_step_speaks_draws_and_keeps_to_its_schema() {
    let folder = folder();
    let at = folder.path();
    let schema = drywright(at, &["schema", "step"]).out;
    let schema: Value = serde_json::from_str(&schema).unwrap();
    for (verb, step, said) in [
        ("place", "placement", "D1"),
        ("hang", "hanging", "rod"),
        ("drain", "drain", "floor drain"),
        ("power", "power", "LP-1"),
        ("control", "control", "C1"),
    ] {
        let ran = drywright(at, &[verb, "a.room.toml", "-o", "drawn", "--units", "us"]);
        assert!(ran.code == 0 || ran.code == 1, "{verb}: {}", ran.err);
        assert!(ran.out.contains(said), "{verb}: {}", ran.out);
        let drawn = at.join("drawn").join(format!("{step}-1.svg"));
        assert!(drawn.exists(), "{verb}: {:?}", files_below(at));
        let ran = drywright(at, &[verb, "a.room.toml", "--json"]);
        let document: Value = serde_json::from_str(&ran.out).unwrap();
        assert_eq!(violations(&schema, &document), [""; 0], "{verb}");
        assert_eq!(document["step"], step);
        assert_eq!(document["units"][0]["tag"], "D1");
        assert!(!document["tables"].as_array().unwrap().is_empty(), "{verb}");
        let stops = document["findings"]
            .as_array()
            .unwrap()
            .iter()
            .any(|f| f["severity"] == "stop");
        assert_eq!(ran.code, i32::from(stops), "{verb}");
    }
}

#[test]
fn places_are_suggested_and_the_same_again() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let text = format!("{EIGHT}[selection]\nmodels = [\"generic-150\"]\n");
    std::fs::write(at.join("a.room.toml"), text).unwrap();
    let args = ["place", "a.room.toml", "--suggest", "--json"];
    let first = drywright(at, &args);
    assert_eq!(first.code, 0, "{}", first.err);
    assert_eq!(first.out, drywright(at, &args).out);
    let document: Value = serde_json::from_str(&first.out).unwrap();
    let schema = drywright(at, &["schema", "suggestions"]).out;
    let schema: Value = serde_json::from_str(&schema).unwrap();
    assert_eq!(violations(&schema, &document), [""; 0]);
    let best = document["suggestions"].as_array().unwrap();
    assert!(!best.is_empty());

    // What is printed to be pasted is read, and stands where it was put.
    let shown = drywright(at, &["place", "a.room.toml", "--suggest"]).out;
    let (_, paste) = shown.split_once("checked on site:").unwrap();
    let text = std::fs::read_to_string(at.join("a.room.toml")).unwrap();
    std::fs::write(at.join("b.room.toml"), format!("{text}{paste}")).unwrap();
    let placed = drywright(at, &["place", "b.room.toml", "--json"]);
    let placed: Value = serde_json::from_str(&placed.out).unwrap();
    let units = placed["units"].as_array().unwrap();
    assert_eq!(units.len(), best[0]["units"].as_array().unwrap().len());
    for (unit, suggested) in units.iter().zip(best[0]["units"].as_array().unwrap()) {
        assert_eq!(unit["placed_by"], "survey");
        for i in 0..3 {
            let off = unit["at_m"][i].as_f64().unwrap() - suggested["at_m"][i].as_f64().unwrap();
            assert!(off.abs() < 0.0051, "{off}");
        }
    }
}

#[test]
fn a_wiring_as_it_was_done_is_held_against_the_plan() {
    let folder = folder();
    let at = folder.path();
    let check = |list: &str| {
        std::fs::write(at.join("wires.txt"), list).unwrap();
        drywright(at, &["control", "a.room.toml", "--as-wired", "wires.txt"])
    };
    let swapped = check("D1:D1 - C1:L1\n");
    assert!(swapped.out.contains("D2"), "{}", swapped.out);
    let elsewhere = check("D1:D1 - C1:L1\nD1:D2 - C1:Z9\n");
    assert!(elsewhere.out.contains("Z9"), "{}", elsewhere.out);
    let unreadable = check("D1 to C1\n");
    assert_eq!(unreadable.code, 2);
    assert!(
        unreadable.err.contains("wires.txt: line 1") && unreadable.err.contains("allowed"),
        "{}",
        unreadable.err
    );
    let missing = drywright(at, &["control", "a.room.toml", "--as-wired", "none.txt"]);
    assert_eq!(missing.code, 2);
    assert!(missing.err.contains("none.txt"), "{}", missing.err);
}

#[test]
fn a_blank_survey_is_a_pdf() {
    let folder = tempfile::tempdir().unwrap();
    let ran = drywright(folder.path(), &["survey", "form.pdf", "--units", "us"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let pdf = std::fs::read(folder.path().join("form.pdf")).unwrap();
    assert!(pdf.starts_with(b"%PDF-"));
    assert_eq!(files_below(folder.path()).len(), 1);
}

/// Rooms of one folder that name one panel and one drain main are added up.
#[test]
fn what_rooms_share_is_added_up() {
    let folder = tempfile::tempdir().unwrap();
    let room = |name: &str| {
        format!(
            "[room]\nname = \"{name}\"\nlength = \"10 m\"\nwidth = \"7 m\"\nheight = \"4 m\"\n\
             [light]\npower = \"8 kW\"\non = \"06:00\"\nphotoperiod = \"12 h\"\n\
             [crop]\nkind = \"tall flowering\"\ncanopy = \"40 m2\"\n\
             [target.lights_on]\ndry_bulb = \"24..27 °C\"\nrh = \"50..60 %\"\n\
             [[unit]]\ntag = \"D1\"\nmodel = \"generic-70\"\n\
             [[panel]]\nname = \"LP-1\"\nat = [\"0 m\", \"3 m\", \"1.5 m\"]\nvoltage = \"240 V\"\nphases = 1\nmain = \"13 A\"\n\
             [[drain]]\nat = [\"9 m\", \"3 m\", \"0 m\"]\nmain = \"north\"\n"
        )
    };
    for name in ["A", "B"] {
        std::fs::write(folder.path().join(format!("{name}.room.toml")), room(name)).unwrap();
    }
    for (verb, check) in [
        ("power", "panel_overloaded"),
        ("drain", "main_size_unknown"),
    ] {
        let ran = drywright(folder.path(), &[verb, ".", "--json"]);
        // Either room alone has enough; both together have not.
        assert_eq!(ran.code, 1, "{}", ran.err);
        let found: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
        let checks: Vec<&str> = found["findings"]
            .as_array()
            .unwrap()
            .iter()
            .map(|f| f["check"].as_str().unwrap())
            .collect();
        assert!(checks.contains(&check), "{checks:?}");
        let alone = drywright(folder.path(), &[verb, "A.room.toml", "--json"]);
        assert_eq!(alone.code, 0, "{}{}", alone.out, alone.err);
    }
}
