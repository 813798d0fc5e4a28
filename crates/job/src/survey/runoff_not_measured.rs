//! Water fed was measured, runoff was not.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::load::RUNOFF_NOT_MEASURED;

pub(super) fn check(room: &Room) -> Vec<Finding> {
    let Some(crop) = &room.crop else {
        return Vec::new();
    };
    if crop.water_fed_kg_per_s.is_none() || crop.runoff.is_some() {
        return Vec::new();
    }
    let share = |x: f64| Value::new(x, Dim::Fraction).digits(2);
    vec![
        Said {
            check: "runoff_not_measured",
            severity: Severity::Fix,
            step: Step::Survey,
            place: Place::new("irrigation"),
            what: Text::from("water fed is known and runoff is not; ")
                .value(share(RUNOFF_NOT_MEASURED.low))
                .words(" to ")
                .value(share(RUNOFF_NOT_MEASURED.high))
                .words(" was taken"),
            why: "only the difference of the two goes into the air",
            remedy: "catch the runoff of a few plants for three days and enter runoff".into(),
            source: Source::common_practice("10 to 30 % of the water fed drains off"),
        }
        .finding(),
    ]
}
