//! Several units each follow a humidistat of their own.

use equipment::Catalog;
use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::control::Control;
use crate::finding::Said;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    let count = control.assignment.on_board.len();
    if count < 2 {
        return Vec::new();
    }
    let value = |n: usize| Value::new(n as f64, Dim::Count);
    vec![
        Said {
            check: "humidistats_fight",
            severity: Severity::Note,
            step: Step::Control,
            place: Place::new(control.assignment.on_board.join(", ")),
            what: Text::from(format!("{count} units each follow a humidistat of their own")),
            why: "each reads its own inlet: one runs always, another never, and periods must be set by hand at each",
            remedy: "compare their readings in one place, enter the differences, stagger the setpoints by the deadband"
                .into(),
            source: Source::common_practice("one sensor at the canopy for all units of a room"),
        }
        .compared(value(count), value(1)),
    ]
}
