//! `drywright catalog`: list, check and new.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::path::Path;

use common::{Ran, drywright, files_below, root};

fn catalog() -> String {
    root().join("catalog").display().to_string()
}

/// Nameplate of a machine of the catalogue, so that the truth is known.
const PLATE: [&str; 22] = [
    "catalog",
    "new",
    "--code",
    "unit-150",
    "--document",
    "Data of a machine, \"third\" edition",
    "--page",
    "table 2",
    "--read",
    "2026-03-01",
    "--airflow",
    "824 cfm",
    "--volts",
    "240 V",
    "--low-volts",
    "208 V",
    "--amps",
    "11.6 A",
    "--mass",
    "212 lb",
    "--size",
    "46 in, 26 in, 22 in",
];

/// Rows of catalog/generic-150.toml, its rating first.
const POINTS: [&str; 9] = [
    "80 °F, 60 %, 317 pt/d, 1950 W",
    "65 °F, 40 %, 95 pt/d, 1610 W",
    "65 °F, 60 %, 222 pt/d, 1620 W",
    "65 °F, 80 %, 333 pt/d, 1640 W",
    "80 °F, 40 %, 160 pt/d, 1930 W",
    "80 °F, 80 %, 458 pt/d, 1970 W",
    "90 °F, 40 %, 203 pt/d, 2140 W",
    "90 °F, 60 %, 386 pt/d, 2170 W",
    "90 °F, 80 %, 545 pt/d, 2190 W",
];

fn new(folder: &Path, points: &[&str], more: &[&str]) -> Ran {
    let mut args = PLATE.to_vec();
    for point in points {
        args.extend(["--point", *point]);
    }
    args.extend(more);
    drywright(folder, &args)
}

fn refused(ran: &Ran, words: &[&str]) {
    assert_eq!(ran.code, 2, "{}{}", ran.out, ran.err);
    assert!(ran.out.is_empty(), "{}", ran.out);
    for word in words {
        assert!(ran.err.contains(word), "{word}: {}", ran.err);
    }
}

/// Removal of the catalogue's own tables at their own points, and a rating
/// taken at 65 °F brought to 80 °F by the public curve, here computed anew from
/// its published coefficients.
#[test]
fn list_sets_unlike_ratings_side_by_side() {
    let here = tempfile::tempdir().unwrap();
    let ran = drywright(here.path(), &["catalog", "list", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let list: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(list["schema"], "drywright/catalog/1");
    let by_code = |code: &str| {
        let all = list["dehumidifiers"].as_array().unwrap();
        all.iter().find(|m| m["code"] == code).unwrap().clone()
    };
    let pint_per_day = 0.473_176_473 / 24.0;
    let warm = by_code("generic-150");
    assert_eq!(warm["converted"], false);
    // 317 pt/d of water, 0.997 to 1 kg a litre.
    let rated = warm["rated_kg_per_h"].as_f64().unwrap();
    assert!(
        (rated / (317.0 * pint_per_day) - 1.0).abs() < 0.004,
        "{rated}"
    );
    assert_eq!(rated, warm["at_80_f_60_percent_kg_per_h"].as_f64().unwrap());
    let day = warm["at_26_c_55_percent_kg_per_h"].as_f64().unwrap();
    let night = warm["at_20_c_55_percent_kg_per_h"].as_f64().unwrap();
    assert!(night < day && day < rated, "{night} {day} {rated}");

    let cool = by_code("generic-30");
    assert_eq!(cool["converted"], true);
    let ratio = cool["rated_kg_per_h"].as_f64().unwrap()
        / cool["at_80_f_60_percent_kg_per_h"].as_f64().unwrap();
    assert!(
        (ratio - curve_a(65.0) / curve_a(80.0)).abs() < 1e-3,
        "{ratio}"
    );
    assert_eq!(list["coolers"].as_array().unwrap().len(), 4);

    let text = drywright(here.path(), &["catalog", "list"]).out;
    assert!(text.contains("converted to 26.7 °C, 60 %"), "{text}");
    let us = drywright(here.path(), &["catalog", "list", "--units", "us"]).out;
    assert!(us.contains("317 pt/d") && us.contains("80.0 °F"), "{us}");
}

/// Removal over rated removal at 60 %: the generic dehumidifier of Winkler,
/// Christensen and Tomerlin 2011, NREL/TP-5500-52791, with the coefficients
/// carried in public residential-energy workflow code.
fn curve_a(dry_bulb_f: f64) -> f64 {
    let (t, r) = ((dry_bulb_f - 32.0) / 1.8, 60.0);
    -1.162_525_707 + 0.022_714_69 * t - 0.000_113_208 * t * t + 0.021_110_538 * r
        - 0.000_069_303_4 * r * r
        + 0.000_378_843 * t * r
}

#[test]
fn list_and_check_refuse_what_is_no_catalogue() {
    let here = tempfile::tempdir().unwrap();
    let at = here.path();
    refused(&drywright(at, &["catalog", "list", "none"]), &["none"]);
    std::fs::create_dir(at.join("empty")).unwrap();
    refused(
        &drywright(at, &["catalog", "list", "empty"]),
        &["no machine files"],
    );
    refused(
        &drywright(at, &["catalog", "check", "empty"]),
        &["no machine files"],
    );
    refused(&drywright(at, &["catalog", "check"]), &["<PATHS>"]);
    refused(
        &drywright(at, &["catalog", "check", "gone.toml"]),
        &["gone.toml"],
    );
}

#[test]
fn check_passes_the_catalogue_and_tells_places_of_mistakes() {
    let here = tempfile::tempdir().unwrap();
    let ran = drywright(here.path(), &["catalog", "check", &catalog()]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let machines = files_below(&root().join("catalog")).len();
    assert!(
        ran.out.contains(&format!("{machines} machine files")),
        "{}",
        ran.out
    );

    let good = std::fs::read_to_string(root().join("catalog/generic-150.toml")).unwrap();
    let line = |text: &str| 1 + good.lines().position(|l| l == text).unwrap();
    let bad = good
        .replace("voltage = \"240 V\"", "voltage = \"240 W\"")
        .replace("charge = \"2.4 lb\"", "charge = \"-2.4 lb\"");
    std::fs::write(here.path().join("bad.toml"), bad).unwrap();
    let ran = drywright(here.path(), &["catalog", "check", "bad.toml"]);
    refused(
        &ran,
        &[
            "2 problems",
            &format!(
                "bad.toml:{}:11: electric.voltage",
                line("voltage = \"240 V\"")
            ),
            &format!(
                "bad.toml:{}:10: refrigerant.charge",
                line("charge = \"2.4 lb\"")
            ),
        ],
    );
}

/// A lone rating at which two ways to carry it part, and a second rating that
/// no map gives back.
#[test]
fn check_says_where_ratings_do_not_agree() {
    let here = tempfile::tempdir().unwrap();
    let good = std::fs::read_to_string(root().join("catalog/generic-30.toml")).unwrap();
    assert!(good.contains("kind = \"rating only\""));
    // Twice the removal in warm air: no curve rises so fast.
    let second =
        "\n[[rating]]\ncondition = \"80 °F, 60 %\"\nremoval = \"100 pt/d\"\npower = \"800 W\"\n";
    std::fs::write(here.path().join("two.toml"), format!("{good}{second}")).unwrap();
    let ran = drywright(here.path(), &["catalog", "check", "two.toml", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let result: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    let checks: Vec<&str> = result["findings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|f| f["check"].as_str().unwrap())
        .collect();
    assert!(checks.contains(&"ratings_inconsistent"), "{checks:?}");

    // A bypass factor far from the usual bends the closure away from the curve.
    let bent = good
        .replace("bypass_factor = \"0.24\"", "bypass_factor = \"0.02\"")
        .replace("capacity_slope = \"0.015\"", "capacity_slope = \"0.07\"");
    assert_ne!(bent, good);
    std::fs::write(here.path().join("bent.toml"), bent).unwrap();
    let ran = drywright(here.path(), &["catalog", "check", "bent.toml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("the public curve promises"), "{}", ran.out);
}

/// The fitted record stands beside the table that its points came from: as far
/// apart as it says itself at the points, and less than a tenth between them.
#[test]
fn new_makes_a_record_that_reads_back_and_gives_its_points() {
    let here = tempfile::tempdir().unwrap();
    let ran = new(here.path(), &POINTS, &["--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let result: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(result["points"], 9);
    let worst = result["removal_residual_max"].as_f64().unwrap();
    assert!(0.0 < worst && worst < 0.05, "{worst}");
    let file = here.path().join(result["file"].as_str().unwrap());
    assert_eq!(files_below(here.path()), std::slice::from_ref(&file));
    let text = std::fs::read_to_string(&file).unwrap();
    for said in [
        "existence = \"real\"",
        "Data of a machine, \\\"third\\\" edition",
        "page = \"table 2\"",
        "date_read = \"2026-03-01\"",
        "low_voltage = \"208 V\"",
    ] {
        assert!(text.contains(said), "{said}: {text}");
    }
    for assumed in ["fan", "body", "clearance", "min_circuit", "pan_pressure"] {
        let figure = format!("[[figure]]\nname = \"{assumed}\"\nfrom = \"assumed: ");
        assert!(text.contains(&figure), "{assumed}: {text}");
    }

    let ran = drywright(here.path(), &["catalog", "check", "catalog"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let ran = drywright(here.path(), &["catalog", "list", "--json"]);
    let list: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    let removal = |code: &str, key: &str| {
        let all = list["dehumidifiers"].as_array().unwrap();
        let model = all.iter().find(|m| m["code"] == code).unwrap();
        model[key].as_f64().unwrap()
    };
    for key in ["at_26_c_55_percent_kg_per_h", "at_20_c_55_percent_kg_per_h"] {
        let ratio = removal("unit-150", key) / removal("generic-150", key);
        assert!((ratio - 1.0).abs() < 0.10, "{key}: {ratio}");
    }
}

#[test]
fn new_says_when_a_residual_proves_nothing() {
    let here = tempfile::tempdir().unwrap();
    let ran = new(here.path(), &POINTS[..2], &[]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("Residual of removal"), "{}", ran.out);
    assert!(ran.out.contains("proves nothing"), "{}", ran.out);
}

#[test]
fn new_writes_over_nothing_unless_told() {
    let here = tempfile::tempdir().unwrap();
    let file = here.path().join("catalog/unit-150.toml");
    std::fs::create_dir(here.path().join("catalog")).unwrap();
    std::fs::write(&file, "mine").unwrap();
    refused(
        &new(here.path(), &POINTS, &[]),
        &["not written over", "--force"],
    );
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "mine");
    let ran = new(here.path(), &POINTS, &["--force"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(std::fs::read_to_string(&file).unwrap().contains("unit-150"));
}

#[test]
fn new_refuses_what_makes_no_record() {
    let here = tempfile::tempdir().unwrap();
    let at = here.path();
    let rated = POINTS[0];
    refused(
        &new(at, &[rated], &[]),
        &["1 datasheet point", "at least two"],
    );
    refused(
        &new(at, &[rated, "80 °F, 62 %, 325 pt/d, 1950 W"], &[]),
        &["at least 3 K or 10 %RH"],
    );
    refused(
        &new(at, &[rated, "65 °F, 60 %, 222 pt/d"], &[]),
        &["--point 2", "3 parts"],
    );
    // Told together, each by the flag that it came from.
    refused(
        &new(
            at,
            &[rated, "65 °F, 160 %, 222 pt/d, 1620 kg"],
            &["--charge", "0 kg", "--phases", "4"],
        ),
        &["--point 2", "160 %", "1620 kg", "--charge", "--phases"],
    );
    // Litres taken for pints.
    refused(
        &new(at, &[rated, "80 °F, 40 %, 160 L/d, 1930 W", POINTS[3]], &[]),
        &["times the rated removal"],
    );
    for (flag, value, word) in [
        ("--document", " ", "document"),
        ("--page", "", "page"),
        ("--read", "lately", "--read"),
        ("--code", "../unit", "--code"),
        ("--airflow", "824 pt/d", "--airflow"),
        ("--volts", "12 V", "--volts"),
        ("--mass", "212 ft", "--mass"),
        ("--size", "46 in, 26 in", "three are asked"),
    ] {
        let mut args: Vec<&str> = PLATE.to_vec();
        let place = args.iter().position(|a| *a == flag).unwrap();
        args[place + 1] = value;
        for point in &POINTS[..3] {
            args.extend(["--point", point]);
        }
        refused(&drywright(at, &args), &[word]);
    }
    let without = PLATE.map(|a| {
        if a == "--document" {
            "--description"
        } else {
            a
        }
    });
    let mut args = without.to_vec();
    args.extend(["--point", rated]);
    refused(&drywright(at, &args), &["--document"]);
    assert!(files_below(at).is_empty(), "something was written");
}
