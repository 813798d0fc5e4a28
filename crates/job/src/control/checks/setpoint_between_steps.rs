//! A setpoint lies between the steps of the control.

use equipment::Catalog;
use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use crate::control::{Control, Moved};
use crate::finding::{Said, when};

pub(super) fn check(room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    let moved = control
        .settings
        .iter()
        .filter_map(|s| s.moved.map(|moved| (s.period, moved)));
    moved
        .map(|(period, moved)| {
            let Moved { from, to, step, .. } = moved;
            let (severity, what, remedy) = if moved.said {
                (
                    Severity::Fix,
                    "the room file asks for ",
                    Text::from("write ")
                        .value(to)
                        .words(" into the room file and set it, or choose a control with finer steps"),
                )
            } else {
                (
                    Severity::Note,
                    "the middle of the target is ",
                    Text::from("set ")
                        .value(to)
                        .words("; where that is too dry, move the target so that its middle is a step"),
                )
            };
            Said {
                check: "setpoint_between_steps",
                severity,
                step: Step::Control,
                place: Place::new("control"),
                what: Text::from(format!("{} {what}", when(room, period)))
                    .value(from)
                    .words(", which cannot be set: it goes in steps of ")
                    .value(step),
                why: "who stands at the control takes the next step, and it may be the damper one; the day was simulated without steps",
                remedy,
                source: Source::assumed("the drier neighbour inside the target is the safe one: humid air costs the crop, dry air electricity"),
            }
            .compared(from, to)
        })
        .collect()
}
