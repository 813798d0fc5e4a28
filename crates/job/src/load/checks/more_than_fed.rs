//! The crop model gives off more water than was fed.
//!
//! The irrigation balance is a ceiling: nothing evaporates that was not given.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::load::Load;

pub(super) fn check(room: &Room, load: &Load) -> Vec<Finding> {
    let Some(fed) = room
        .crop
        .as_ref()
        .and_then(|c| c.water_fed_kg_per_s.as_ref())
    else {
        return Vec::new();
    };
    let Some(share) = load.trust.share_of_water_fed else {
        return Vec::new();
    };
    if share.likely <= 1.0 {
        return Vec::new();
    }
    let given = Value::new(fed.value.likely, Dim::WaterRate);
    let given_off = Value::new(fed.value.likely * share.likely, Dim::WaterRate);
    vec![
        Said {
            check: "more_than_fed",
            severity: Severity::Fix,
            step: Step::Load,
            place: Place::new("canopy"),
            what: Text::from("the canopy and medium would give off ")
                .value(given_off)
                .words(", and only ")
                .value(given)
                .words(" is fed"),
            why: "water that was not fed cannot evaporate: an input is wrong",
            remedy: "measure the canopy area, the light at the canopy and the water fed again"
                .into(),
            source: Source::published("conservation of mass", ""),
        }
        .compared(given_off, given),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{Sheet, one};
    use quantity::Band;

    #[test]
    fn all_that_was_fed_may_leave_and_no_more() {
        let sheet = Sheet::leafy().set("crop", "water_fed", "\"86.4 L/day\"");
        let (room, load) = (sheet.room(), sheet.load());
        let with = |share: f64| {
            let mut load = load.clone();
            load.trust.share_of_water_fed = Some(Band::exact(share));
            check(&room, &load)
        };
        assert!(with(1.0).is_empty());
        let (finding, measured, limit) = one(with(1.01));
        assert_eq!(finding.severity, Severity::Fix);
        // 86.4 L a day are 1 mL/s, near enough for water by volume.
        assert!((limit / 0.001 - 1.0).abs() < 0.005, "{limit}");
        assert!((measured / limit - 1.01).abs() < 1e-12);
    }
}
