//! What `--json` prints: one document, alone on standard output, as the
//! printed schema says.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::schema::violations;
use common::{EIGHT, drywright};
use serde_json::Value;

#[test]
fn results_keep_to_their_schemas() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let one = "[[unit]]\ntag = \"D1\"\nmodel = \"generic-150\"\n";
    std::fs::write(at.join("a.room.toml"), format!("{EIGHT}{one}")).unwrap();
    let select = "[selection]\nmodels = [\"generic-150\"]\n";
    std::fs::write(at.join("b.room.toml"), format!("{EIGHT}{select}")).unwrap();
    for (name, args) in [
        ("air", &["air", "--dry-bulb", "24 C", "--rh", "60 %"][..]),
        (
            "air",
            &[
                "air",
                "--dry-bulb",
                "24 C",
                "--rh",
                "60 %",
                "--leaf",
                "22 C",
            ],
        ),
        ("check", &["check", "a.room.toml"]),
        ("load", &["load", "a.room.toml"]),
        ("day", &["day", "a.room.toml"]),
        ("selection", &["select", "b.room.toml", "--preview"]),
        ("catalog", &["catalog", "list"]),
    ] {
        let ran = drywright(at, &[args, &["--json"]].concat());
        assert!(ran.code == 0 || ran.code == 1, "{args:?}: {}", ran.err);
        let document: Value = serde_json::from_str(&ran.out).unwrap();
        let named = document["schema"].as_str().unwrap();
        assert!(named.starts_with(&format!("drywright/{name}/")), "{named}");
        let schema = drywright(at, &["schema", name]).out;
        let schema: Value = serde_json::from_str(&schema).unwrap();
        assert_eq!(violations(&schema, &document), [""; 0], "{args:?}");
    }
}

/// The checker itself must be able to fail.
#[test]
fn a_document_that_strays_is_found() {
    let here = tempfile::tempdir().unwrap();
    let read = |args: &[&str]| -> Value {
        serde_json::from_str(&drywright(here.path(), args).out).unwrap()
    };
    let schema = read(&["schema", "air"]);
    let good = read(&["air", "--dry-bulb", "24 C", "--rh", "60 %", "--json"]);
    for (key, value) in [
        ("dry_bulb_c", Value::from("24 C")),
        ("dry_bulb_f", Value::from(75.2)),
    ] {
        let mut bad = good.clone();
        bad[key] = value;
        assert_eq!(violations(&schema, &bad).len(), 1, "{key}");
    }
    let mut bad = good;
    bad.as_object_mut().unwrap().remove("vpd_kpa");
    assert_eq!(violations(&schema, &bad), ["$: lacks \"vpd_kpa\""]);
}

/// Units of the terminal do not touch JSON.
#[test]
fn json_is_the_same_in_all_units() {
    let here = tempfile::tempdir().unwrap();
    let args = ["air", "--dry-bulb", "80 °F", "--rh", "60 %", "--json"];
    let metric = drywright(here.path(), &args).out;
    let us = drywright(here.path(), &[&args[..], &["--units", "us"]].concat()).out;
    assert_eq!(metric, us);
}
