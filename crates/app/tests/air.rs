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

/// 28 °C and 60 % at 1600 m by PsychroLib 2.5.0: row 40 of
/// `crates/air/tests/cross/psychrometric_states.csv`.
const REFERENCE: [(&str, &str); 7] = [
    ("--dry-bulb", "28 C"),
    ("--rh", "60 %"),
    ("--dew-point", "19.5141 C"),
    ("--wet-bulb", "21.7492 C"),
    ("--humidity-ratio", "17.370129 g/kg"),
    ("--vpd", "1.512883 kPa"),
    ("--enthalpy", "72.5153 kJ/kg"),
];

/// Pairs that do not fix a state of air.
const DEPENDENT: [(&str, &str); 2] = [
    ("--dew-point", "--humidity-ratio"),
    ("--wet-bulb", "--enthalpy"),
];

/// Any two of the reference's numbers lead back to its dry bulb and relative
/// humidity. The two libraries agree within 0.01 K of dew point and wet bulb;
/// so much, in the least favourable pair, moves the dry bulb by 0.05 K and the
/// relative humidity by 0.2 %.
#[test]
fn every_pair_of_properties_gives_the_state_or_is_refused() {
    let here = tempfile::tempdir().unwrap();
    let mut given = 0;
    for (i, (flag_a, a)) in REFERENCE.iter().enumerate() {
        for (flag_b, b) in &REFERENCE[i + 1..] {
            let args = [
                "air",
                flag_a,
                a,
                flag_b,
                b,
                "--altitude",
                "1600 m",
                "--json",
            ];
            let ran = drywright(here.path(), &args);
            if DEPENDENT.contains(&(flag_a, flag_b)) {
                assert_eq!(ran.code, 2, "{flag_a} {flag_b}: {}", ran.out);
                assert!(ran.err.contains("do not fix a state"), "{}", ran.err);
                continue;
            }
            assert_eq!(ran.code, 0, "{flag_a} {flag_b}: {}", ran.err);
            let air: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
            let off_k = air["dry_bulb_c"].as_f64().unwrap() - 28.0;
            let off_rh = air["rel_humidity"].as_f64().unwrap() - 0.6;
            assert!(off_k.abs() < 0.05, "{flag_a} {flag_b}: {off_k}");
            assert!(off_rh.abs() < 0.002, "{flag_a} {flag_b}: {off_rh}");
            given += 1;
        }
    }
    assert_eq!(given, 21 - DEPENDENT.len());
}

#[test]
fn json_keys_are_those_promised() {
    let here = tempfile::tempdir().unwrap();
    let args = ["air", "--dry-bulb", "24 C", "--rh", "60 %", "--json"];
    let air: serde_json::Value = serde_json::from_str(&drywright(here.path(), &args).out).unwrap();
    for key in [
        "dry_bulb_c",
        "rel_humidity",
        "humidity_ratio_kg_per_kg",
        "dew_point_c",
        "wet_bulb_c",
        "enthalpy_kj_per_kg",
        "specific_volume_m3_per_kg",
        "vpd_kpa",
        "pressure_pa",
    ] {
        assert!(air[key].is_f64(), "{key}");
    }
    assert_eq!(air["schema"], "drywright/air/1");
    assert_eq!(air["pressure_pa"], 101_325.0);
}

/// 24 °C is 75.2 °F exactly.
#[test]
fn us_units_convert_every_line() {
    let here = tempfile::tempdir().unwrap();
    let args = ["air", "--dry-bulb", "24 C", "--rh", "60 %", "--units", "us"];
    let shown = drywright(here.path(), &args).out;
    for word in ["75.2", "°F", "gr/lb", "Btu/lb", "ft³/lb", "in Hg"] {
        assert!(shown.contains(word), "{word}: {shown}");
    }
    for word in ["°C", "g/kg", "kJ/kg", "m³/kg"] {
        assert!(!shown.contains(word), "{word}: {shown}");
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
