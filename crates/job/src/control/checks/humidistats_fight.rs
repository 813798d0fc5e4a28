//! Several controls of one room each follow a reading of their own.

use equipment::Catalog;
use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::control::Control;
use crate::finding::Said;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    let a = &control.assignment;
    let controllers = a.served.iter().filter(|s| !s.units.is_empty());
    let tags: Vec<&str> = controllers
        .map(|s| s.controller.as_str())
        .chain(a.on_board.iter().map(String::as_str))
        .collect();
    let count = tags.len();
    if count < 2 {
        return Vec::new();
    }
    let value = |n: usize| Value::new(n as f64, Dim::Count);
    vec![
        Said {
            check: "humidistats_fight",
            severity: Severity::Note,
            step: Step::Control,
            place: Place::new(tags.join(", ")),
            what: Text::from(format!(
                "{count} controls each follow a humidity reading of their own"
            )),
            why: "where their readings differ, the units of one run always and those of another never; periods must be set at each",
            remedy: "hang their sensors in one place, compare the readings, enter the differences, and stagger the setpoints by the deadband"
                .into(),
            source: Source::common_practice("one sensor at the canopy for all units of a room"),
        }
        .compared(value(count), value(1)),
    ]
}
