//! A log of a simulated room is proved on the command line; what is no log is
//! refused in words that name the way out.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::fmt::Write as _;
use std::path::Path;

use common::{Ran, drywright};
use serde_json::Value;

/// Invented. Two units hold a small room of leafy greens.
const ROOM: &str = r#"# Invented.
[site]
pressure = "101325 Pa"
[room]
name = "Leafy"
length = "10 m"
width = "8 m"
height = "4 m"
[light]
power = "5 kW"
ppfd = "250 umol/m2/s"
on = "06:00"
photoperiod = "16 h"
[crop]
kind = "leafy greens"
canopy = "12 m2"   # two benches
[target.lights_on]
dry_bulb = "22 °C"
rh = "65..75 %"
[target.lights_off]
dry_bulb = "20 °C"
rh = "65..75 %"
[selection]
models = ["generic-30"]
[[unit]]
tag = "D1"
model = "generic-30"
[[unit]]
tag = "D2"
model = "generic-30"
"#;

/// The simulated day of the room, four times over, as a logger with decimal
/// commas and °F writes it every five minutes from 2025-03-10 on.
fn log(at: &Path) -> String {
    let ran = drywright(at, &["day", "a.room.toml", "--csv", "day.csv"]);
    assert!(ran.code < 2, "{}", ran.err);
    let day = std::fs::read_to_string(at.join("day.csv")).unwrap();
    let minutes: Vec<Vec<f64>> = day
        .lines()
        .skip(1)
        .map(|l| l.split(',').map(|c| c.parse().unwrap()).collect())
        .collect();
    let mut log = String::from(
        "Logger 7;;;;;\nZeit;Canopy temp (°F);Canopy RH (%);Light (lux);D1 state;D2 state\n",
    );
    for d in 0..4 {
        for m in (0..1440).step_by(5) {
            let row = &minutes[m];
            let on = |n: f64| {
                let of = &minutes[m..m + 5];
                of.iter().filter(|r| n <= r[9]).count() as f64 / of.len() as f64
            };
            let lit = (360..1320).contains(&m);
            let line = format!(
                "{:02}.03.2025 {:02}:{:02};{:.2};{:.1};{};{:.1};{:.1}",
                10 + d,
                m / 60,
                m % 60,
                row[1] * 1.8 + 32.0,
                row[2],
                if lit { 14_000 } else { 0 },
                on(1.0),
                on(2.0),
            );
            writeln!(
                log,
                "{}",
                line.replace('.', ",").replacen(",03,", ".03.", 1)
            )
            .unwrap();
        }
        log += "--;--;--;--;--;--\n";
    }
    log
}

fn prove(at: &Path, args: &[&str]) -> Ran {
    let all: Vec<&str> = ["prove", "a.room.toml"]
        .into_iter()
        .chain(args.iter().copied())
        .collect();
    drywright(at, &all)
}

#[test]
fn a_log_is_proved() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::write(at.join("a.room.toml"), ROOM).unwrap();
    std::fs::write(at.join("log.csv"), log(at)).unwrap();

    let ran = prove(at, &["log.csv", "--json", "-o", "out"]);
    assert!(ran.code < 2, "{}", ran.err);
    let proof: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(proof["schema"], "proof/1");
    let log = &proof["logs"][0];
    assert_eq!(
        (log["rows"].as_u64(), log["rejected"].as_u64()),
        (Some(4 * 288), Some(4))
    );
    assert_eq!(log["decimal"], ",");
    assert_eq!(log["rejected_rows"][0]["line"], 291);
    let taken: Vec<&str> = log["channels"]
        .as_array()
        .unwrap()
        .iter()
        .map(|c| c["taken_for"].as_str().unwrap())
        .collect();
    assert_eq!(
        taken,
        ["dry bulb", "rh", "light", "unit state", "unit state"]
    );
    let lit = &proof["periods"][0];
    assert!(
        (lit["mean_dry_bulb_c"].as_f64().unwrap() - 22.0).abs() < 1.5,
        "{lit}"
    );
    assert!(
        (lit["known_h"].as_f64().unwrap() - 64.0).abs() < 0.5,
        "{lit}"
    );

    // The simulated day is a typical one of those that the load was drawn from.
    let water = &proof["water"];
    let found = &water["found_kg_per_day"];
    let surveyed = &water["surveyed_kg_per_day"];
    let n = |v: &Value, k: &str| v[k].as_f64().unwrap();
    assert!(n(found, "low") < n(surveyed, "high") && n(surveyed, "low") < n(found, "high"));
    assert_eq!(proof["again"]["units"], "2 × generic-30");

    let pdf = std::fs::read(at.join("out/proof.pdf")).unwrap();
    assert!(pdf.starts_with(b"%PDF"));
    let as_found = std::fs::read_to_string(at.join("out/a.as-found.room.toml")).unwrap();
    assert!(
        as_found.starts_with("# Proposed from the logs log.csv"),
        "{as_found}"
    );
    assert!(as_found.contains("# two benches"), "comments stay");
    std::fs::write(at.join("b.room.toml"), &as_found).unwrap();
    let checked = drywright(at, &["check", "b.room.toml"]);
    assert!(checked.code < 2, "{}\n{as_found}", checked.err);
    // The room file itself is as it was.
    assert_eq!(
        std::fs::read_to_string(at.join("a.room.toml")).unwrap(),
        ROOM
    );
}

#[test]
fn what_is_no_log_is_refused_and_open_dates_are_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::write(at.join("a.room.toml"), ROOM).unwrap();
    let refused = |args: &[&str]| {
        let ran = prove(at, args);
        assert_eq!(ran.code, 2, "{}", ran.out);
        ran.err
    };
    std::fs::write(at.join("letter.csv"), "Dear all,\nthe log follows.\n").unwrap();
    std::fs::write(
        at.join("open.csv"),
        "Time,Temp (°C),RH (%)\n01/03/2025 07:00,22,60\n01/03/2025 07:05,22,60\n",
    )
    .unwrap();
    for (args, want) in [
        (&["a.room.toml"][..], "is no log that can be read"),
        (&["letter.csv"], "is no log that can be read"),
        (&["none.csv"], "none.csv cannot be read"),
        (&["."], "is a folder"),
        (&["open.csv"], "tell it with --dates dmy or mdy"),
        (&["open.csv", "--zone", "Mars/Base"], "tell it with --zone "),
        (&["open.csv", "--column", "x=rh"], "has no column \"x\""),
        (&["open.csv", "--delimiter", "::"], "is not one sign"),
        (&["open.csv", "--start", "01/03/2025 07:00"], "is no moment"),
        (
            &["open.csv", "--start", "b.csv=2025-03-01 07:00"],
            "start of no log",
        ),
        (
            &["open.csv", "--start", "2025-03-01 07:00"],
            "dates of its own",
        ),
    ] {
        let said = refused(args);
        assert!(said.contains(want), "{args:?}: {said}");
    }
    let ran = prove(at, &["open.csv", "--dates", "dmy"]);
    assert!(ran.code < 2, "{}", ran.err);
    assert!(
        ran.out.contains("the water load was not found"),
        "{}",
        ran.out
    );
}

/// Kept for the dossier, the logs lie in the job folder and how they were read
/// beside the room file; other readings of the same name are not written over.
#[test]
fn a_proof_is_kept_with_its_logs() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::write(at.join("a.room.toml"), ROOM).unwrap();
    let elsewhere = tempfile::tempdir().unwrap();
    let outside = elsewhere.path().join("elapsed.csv");
    let mut text = String::from("Time (min),Temp (°C),RH (%)\n");
    for minute in (0..600).step_by(5) {
        writeln!(text, "{minute},{},{}", 22 + minute % 3, 70 + minute % 4).unwrap();
    }
    std::fs::write(&outside, &text).unwrap();
    let outside = outside.to_str().unwrap();

    // When it began is asked for.
    let open = prove(at, &[outside, "--keep"]);
    assert_eq!(open.code, 2, "{}", open.out);
    assert!(open.err.contains("--start"), "{}", open.err);
    assert!(!at.join("a.proof.json").exists());

    let start = "elapsed.csv=2026-03-01 06:00";
    let ran = prove(at, &[outside, "--start", start, "--keep", "--json"]);
    assert!(ran.code < 2, "{}", ran.err);
    let proof: Value = serde_json::from_str(&ran.out).unwrap();
    // 2026-03-01 06:00 as if UTC (POSIX time).
    assert_eq!(proof["from_s"], 1_772_344_800);
    assert_eq!(
        std::fs::read_to_string(at.join("logs/elapsed.csv")).unwrap(),
        text
    );
    let kept = std::fs::read_to_string(at.join("a.proof.json")).unwrap();
    let kept: Value = serde_json::from_str(&kept).unwrap();
    assert_eq!(kept["logs"][0]["file"], "elapsed.csv");
    assert_eq!(kept["start"][0], start);
    assert_eq!(kept["design_id"].as_str().unwrap().len(), 64);

    std::fs::write(outside, format!("{text}600,22,70\n")).unwrap();
    let other = prove(at, &[outside, "--start", start, "--keep"]);
    assert_eq!(other.code, 2, "{}", other.out);
    assert!(other.err.contains("other readings"), "{}", other.err);
    assert_eq!(
        std::fs::read_to_string(at.join("logs/elapsed.csv")).unwrap(),
        text
    );
}
