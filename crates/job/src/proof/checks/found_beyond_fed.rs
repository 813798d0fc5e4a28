//! The log gives off more water than is fed.

use quantity::{Band, Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::Proof;
use crate::finding::Said;
use crate::load::vapour_of;

const DAY_S: f64 = 86_400.0;

pub(super) fn check(room: &Room, proof: &Proof) -> Vec<Finding> {
    let water = proof.water.as_ref();
    let bands = water.and_then(|w| Some((w.kg_per_day?, w.surveyed_kg_per_day)));
    bands
        .and_then(|(found, surveyed)| finding(room, found, surveyed))
        .into_iter()
        .collect()
}

/// - `found`, `surveyed`: water of all sources \[kg/day\]
fn finding(room: &Room, found: Band, surveyed: Band) -> Option<Finding> {
    let crop = room.crop.as_ref()?;
    let fed = crop.water_fed_kg_per_s.as_ref()?.value;
    // What was surveyed beside the water fed: outside air, wet floors, people.
    let other_kg_per_s = (surveyed.high - vapour_of(crop)?.likely).max(0.0) / DAY_S;
    let least_kg_per_s = found.low / DAY_S;
    if least_kg_per_s <= fed.high + other_kg_per_s {
        return None;
    }
    let rate = |kg_per_s: f64| Value::new(kg_per_s, Dim::WaterRate).digits(2);
    let said = Said {
        check: "found_beyond_fed",
        severity: Severity::Fix,
        step: Step::Proof,
        place: Place::new("[crop] water_fed"),
        what: Text::from("by the log the room gives off ")
            .value(rate(least_kg_per_s))
            .words(" at least; at most ")
            .value(rate(fed.high))
            .words(" is fed, and all else gives ")
            .value(rate(other_kg_per_s)),
        why: "Water that was not fed cannot evaporate: the water fed, the log or what the units are taken for is wrong. As long as the room file says so much fed, the load stays by it, and the proposed change moves it little.",
        remedy: "Meter the water fed and the runoff for three days and count the condensate for one; mend [crop] water_fed and runoff, or what was wrong with the log, before the proposed change is taken over.".into(),
        source: Source::published("conservation of mass", ""),
    };
    let most = rate(fed.high + other_kg_per_s);
    Some(said.compared(rate(least_kg_per_s), most))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::Sheet;

    /// Fed 86.4 L/d with a tenth of runoff and all else of it vapour: 77.8 kg/d of
    /// a surveyed load of 90 kg/d are the crop's, 12.2 are other water.
    #[test]
    fn more_than_is_fed_and_all_else_is_told() {
        let room = Sheet::leafy()
            .set("crop", "water_fed", "\"86.4 L/day\"")
            .set("crop", "runoff", "\"10 %\"")
            .set("crop", "vapour_share", "\"100 %\"")
            .room();
        let told = |low: f64| {
            finding(
                &room,
                Band::new(low, 1.1 * low, 1.2 * low),
                Band::exact(90.0),
            )
        };
        assert!(told(98.0).is_none());
        let found = told(99.5).unwrap();
        assert_eq!(found.severity, Severity::Fix);
        let unfed = Sheet::leafy().room();
        assert!(finding(&unfed, Band::exact(500.0), Band::exact(90.0)).is_none());
    }
}
