//! `drywright air`: keys, units and values of the command line.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::drywright;

/// PsychroLib 2.5.0 at 24 °C, 60 % and 83 523.5 Pa (1600 m); tolerances of the
/// comparison of the `air` crate with it.
#[test]
fn json_has_the_keys_and_values_of_the_reference() {
    let here = tempfile::tempdir().unwrap();
    let args = [
        "air",
        "--dry-bulb",
        "24 C",
        "--rh",
        "60 %",
        "--altitude",
        "1600 m",
        "--json",
    ];
    let ran = drywright(here.path(), &args);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let air: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    let near = |key: &str, expected: f64, within: f64| {
        let found = air[key].as_f64().unwrap();
        assert!((found - expected).abs() <= within, "{key}: {found}");
    };
    near("dry_bulb_c", 24.0, 1e-9);
    near("rel_humidity", 0.6, 1e-9);
    near("pressure_pa", 83_523.5, 1.0);
    near("dew_point_c", 15.76, 0.01);
    near("humidity_ratio_kg_per_kg", 0.013_629, 2e-6);
    near("vpd_kpa", 1.194, 0.001);
    for key in [
        "wet_bulb_c",
        "enthalpy_kj_per_kg",
        "specific_volume_m3_per_kg",
    ] {
        assert!(air[key].is_f64(), "{key}");
    }
}

#[test]
fn us_units_are_shown_and_json_stays() {
    let here = tempfile::tempdir().unwrap();
    let args = [
        "air",
        "--dry-bulb",
        "80 °F",
        "--rh",
        "60 %",
        "--units",
        "us",
    ];
    let shown = drywright(here.path(), &args).out;
    assert!(shown.contains("80.0") && shown.contains("°F"), "{shown}");
    let working = drywright(here.path(), &[&args[..], &["--working"]].concat()).out;
    assert!(
        working.contains("source:") && working.contains("ASHRAE"),
        "{working}"
    );
}
