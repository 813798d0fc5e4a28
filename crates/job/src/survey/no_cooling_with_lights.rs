//! Lights burn and no cooling was surveyed.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;

pub(super) fn check(room: &Room) -> Vec<Finding> {
    let Some(light) = &room.light else {
        return Vec::new();
    };
    let heat_w = light.power_w.value * light.heat_in_room.value;
    if !room.cooling.is_empty() || heat_w <= 0.0 || light.photoperiod_s.value <= 0.0 {
        return Vec::new();
    }
    vec![
        Said {
            check: "no_cooling_with_lights",
            severity: Severity::Fix,
            step: Step::Survey,
            place: Place::new("cooling"),
            what: Text::from("the lights give ")
                .value(Value::new(heat_w, Dim::Power))
                .words(" of heat and no cooling was surveyed; one was taken that holds the temperature and takes no water"),
            why: "a real coil takes water while it runs and stops at lights-off; and it may be too small for lights and units together",
            remedy: "survey the cooling: capacity, air flow, thermostat; enter [[cooling]]".into(),
            source: Source::published("conservation of energy", ""),
        }
        .finding(),
    ]
}
