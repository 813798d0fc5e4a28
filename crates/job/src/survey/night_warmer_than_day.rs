//! The night is to be warmer than the day: most often two lines swapped.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::{Period, Room};

use crate::finding::Said;

pub(super) fn check(room: &Room) -> Vec<Finding> {
    let both = 0.0 < room.period_length_s(Period::LightsOn)
        && 0.0 < room.period_length_s(Period::LightsOff);
    let day_c = room.targets.lights_on.dry_bulb_c.value.likely;
    let night_c = room.targets.lights_off.dry_bulb_c.value.likely;
    if !both || night_c <= day_c {
        return Vec::new();
    }
    let value = |t: f64| Value::new(t, Dim::Temperature);
    vec![
        Said {
            check: "night_warmer_than_day",
            severity: Severity::Note,
            step: Step::Survey,
            place: Place::new("target"),
            what: Text::from("the target is ")
                .value(value(night_c))
                .words(" with lights off and ")
                .value(value(day_c))
                .words(" with lights on"),
            why: "it is unusual, and heating at night is needed for it",
            remedy: "check that the two targets are not swapped".into(),
            source: Source::common_practice("nights are as warm as days or cooler"),
        }
        .compared(value(night_c), value(day_c)),
    ]
}
