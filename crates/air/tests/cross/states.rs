//! 58 states of air by PsychroLib and by CoolProp.

use std::collections::HashMap;

use air::MoistAir;

use crate::{Allowed, Worst, number, rows};

type Property = fn(&MoistAir) -> f64;

const PROPERTIES: [(&str, Property); 8] = [
    ("pw_Pa", |a| a.vapour_pressure_pa()),
    ("w_kg_per_kg", |a| a.humidity_ratio()),
    ("tdp_C", |a| a.dew_point_c()),
    ("twb_C", |a| a.wet_bulb_c()),
    ("h_kJ_per_kg_da", |a| a.enthalpy_j_per_kg() / 1000.0),
    ("v_m3_per_kg_da", |a| a.specific_volume_m3_per_kg()),
    ("rho_moist_kg_per_m3", |a| a.density_kg_per_m3()),
    ("vpd_kPa", |a| a.vpd_pa() / 1000.0),
];

fn compare(library: &str, allowed: impl Fn(&str) -> Allowed) {
    let states: Vec<HashMap<String, String>> = rows(include_str!("psychrometric_states.csv"));
    assert_eq!(states.len(), 58);
    for (property, of) in PROPERTIES {
        let column = format!("{library}_{property}");
        let mut worst = Worst::of(column.as_str());
        for row in &states {
            let air = MoistAir::from_rel_humidity(
                number(row, "tdb_C"),
                number(row, "rh_pct") / 100.0,
                number(row, "p_Pa"),
            )
            .unwrap();
            worst.compare(
                &format!("id {}", row["id"]),
                of(&air),
                number(row, &column),
                allowed(property),
            );
        }
        worst.verdict();
    }
}

#[test]
fn psychrolib() {
    compare("psychrolib", |property| match property {
        "tdp_C" | "twb_C" => Allowed::Absolute(0.01),
        "h_kJ_per_kg_da" => Allowed::Absolute(0.01),
        "vpd_kPa" => Allowed::ShareOrAbsolute(1e-4, 5e-5),
        _ => Allowed::Share(1e-4),
    });
}

#[test]
fn psychrolib_saturation_pressure() {
    let mut worst = Worst::of("psychrolib_pws_Pa");
    for row in rows(include_str!("psychrometric_states.csv")) {
        let p_ws_pa = air::saturation_pressure_pa(number(&row, "tdb_C"));
        worst.compare(
            &format!("id {}", row["id"]),
            p_ws_pa,
            number(&row, "psychrolib_pws_Pa"),
            Allowed::Share(1e-4),
        );
    }
    worst.verdict();
}

#[test]
fn coolprop() {
    compare("coolprop", |property| match property {
        "tdp_C" => Allowed::Absolute(0.02),
        "twb_C" => Allowed::Absolute(0.025),
        "h_kJ_per_kg_da" => Allowed::Absolute(0.6),
        "v_m3_per_kg_da" | "rho_moist_kg_per_m3" => Allowed::Share(1e-3),
        // Saturated air: both say that there is no deficit.
        "vpd_kPa" => Allowed::ShareOrAbsolute(6e-3, 5e-7),
        _ => Allowed::Share(6e-3),
    });
}
