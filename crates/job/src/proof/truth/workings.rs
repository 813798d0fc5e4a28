//! Every number that the proof shows opens to how it came about.

use super::{EXACT, MODEL, as_surveyed, log, outcome, proof, sheet};
use crate::common::evaluate;
use crate::uncertain::Draw;

#[test]
fn every_number_shown_has_its_working_and_every_equation_gives_it() {
    let room = sheet()
        .and("[[cold_surface]]\nname = \"window\"\nu = \"1.8 W/m2K\"\nside = \"outdoor\"\n")
        .room();
    let outcome = outcome(&room, &Draw::LIKELY, 3, as_surveyed);
    let proof = proof(&room, &log(&outcome, EXACT));
    let evaluated: usize = proof.workings.iter().map(evaluate).sum();
    assert!(25 <= evaluated, "{evaluated} equations of {MODEL}");
    let has = |si: f64, what: &str| {
        let found = proof
            .workings
            .iter()
            .any(|w| w.result.si.to_bits() == si.to_bits());
        assert!(found, "{what}: {si} has no working");
    };
    let water = proof.water.as_ref().unwrap();
    let day = water.kg_per_day.unwrap();
    for kg in [
        day.low,
        day.likely,
        day.high,
        water.removed_kg_per_day.0,
        water.removed_kg_per_day.1,
    ] {
        has(kg / 86_400.0, "water of a day");
    }
    has(water.rest_kg, "rest");
    for found in &water.found {
        for x in [found.after.low, found.after.likely, found.after.high] {
            has(x, water.words_of(found.unknown));
        }
    }
    for p in proof.periods.iter().filter(|p| 0.0 < p.known_s) {
        has(p.in_band_share(), "in target");
        has(p.too_humid_share(), "too humid");
        has(p.mean_dry_bulb_c, "dry bulb");
        has(p.mean_rel_humidity, "relative humidity");
        has(p.mean_vpd_pa, "VPD");
        has(p.mean_dew_point_c, "dew point");
        has(p.highest_rel_humidity.0, "highest relative humidity");
    }
    for night in &proof.nights {
        has(night.known_s, "night known");
        has(night.too_humid_s, "night too humid");
        has(night.highest_rel_humidity.0, "highest of the night");
        has(night.lowest_vpd_pa.0, "least VPD of the night");
        has(night.leaf_risk_s, "leaves at risk in the night");
        has(night.least_margin_k.unwrap().0, "margin of the night");
        // A row finds its workings by when its night began.
        let began = proof.series.moment(night.from);
        let named = proof.workings.iter().filter(|w| w.name.contains(&began));
        assert_eq!(named.count(), 6, "{began}");
    }
    assert!(2 <= proof.nights.len());
    for unit in &proof.units {
        has(unit.run_share.unwrap(), "runs");
        has(unit.starts as f64, "starts");
        has(unit.most_starts_per_hour as f64, "most starts");
        if let Some(s) = unit.usual_run_s {
            has(s, "usual run");
        }
        if let Some(down) = unit.pull_down {
            has(down.factor, "answer");
        }
    }
    has(proof.surfaces.least_margin_k.unwrap().0, "margin");
    has(proof.surfaces.leaf_risk_s.iter().sum(), "leaves at risk");
    let again = proof.again.as_ref().unwrap();
    has(again.found.0 as f64 / again.found.1 as f64, "days held");
}
