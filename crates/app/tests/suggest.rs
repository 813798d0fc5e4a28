//! Places are suggested for every invented job, or it is said why there are
//! none.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::path::{Path, PathBuf};

use common::{drywright, files_below, root};
use serde_json::Value;

/// Room files of whole jobs: those that lie beside the file of their site.
fn rooms() -> Vec<PathBuf> {
    files_below(&root().join("cases"))
        .into_iter()
        .filter(|p| {
            p.to_string_lossy().ends_with(".room.toml") && p.with_file_name("site.toml").exists()
        })
        .collect()
}

fn json(at: &Path, args: &[&str]) -> (i32, Value) {
    let ran = drywright(at, args);
    let document =
        serde_json::from_str(&ran.out).unwrap_or_else(|e| panic!("{args:?}: {e}\n{}", ran.err));
    (ran.code, document)
}

fn stops(findings: &Value) -> Vec<&Value> {
    let all = findings.as_array().unwrap();
    all.iter().filter(|f| f["severity"] == "stop").collect()
}

#[test]
fn every_job_has_places_without_a_stop_or_the_reason_why_not() {
    let rooms = rooms();
    assert!(6 <= rooms.len(), "{rooms:?}");
    for room in rooms {
        let folder = tempfile::tempdir().unwrap();
        let at = folder.path();
        std::fs::copy(room.with_file_name("site.toml"), at.join("site.toml")).unwrap();
        let text = std::fs::read_to_string(&room).unwrap();
        std::fs::write(at.join("a.room.toml"), &text).unwrap();
        let (code, found) = json(at, &["place", "a.room.toml", "--suggest", "--json"]);
        let best = found["suggestions"].as_array().unwrap();
        if best.is_empty() {
            assert_eq!(code, 1, "{}", room.display());
            let why = stops(&found["none_because"]);
            assert!(!why.is_empty(), "{}: no reason", room.display());
            continue;
        }
        assert_eq!(code, 0, "{}", room.display());
        // Judged again as a survey would be, what is suggested has no Stop.
        let shown = drywright(at, &["place", "a.room.toml", "--suggest"]).out;
        let (_, paste) = shown.split_once("checked on site:").unwrap();
        let text = without_units(&text);
        std::fs::write(at.join("b.room.toml"), format!("{text}\n{paste}")).unwrap();
        let (_, placed) = json(at, &["place", "b.room.toml", "--json"]);
        let units = best[0]["units"].as_array().unwrap().len();
        assert_eq!(placed["units"].as_array().unwrap().len(), units);
        let left = stops(&placed["findings"]);
        assert!(left.is_empty(), "{}: {left:?}", room.display());
    }
}

/// A room file without its units: those of the suggestion take their place.
fn without_units(text: &str) -> String {
    let mut inside = false;
    let mut kept = String::new();
    for line in text.lines() {
        if line.trim_start().starts_with('[') {
            inside = line.trim() == "[[unit]]";
        }
        if !inside {
            kept.push_str(line);
            kept.push('\n');
        }
    }
    kept
}
