//! The wiring needs a terminal that the record does not have.

use equipment::Catalog;
use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use crate::control::Control;
use crate::finding::Said;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .unmatched
        .iter()
        .map(|u| {
            Said {
                check: "terminal_missing",
                severity: Severity::Stop,
                step: Step::Control,
                place: Place::new(u.device.clone()),
                what: Text::from(format!(
                    "{} has no free terminal for {} in its record",
                    u.device, u.role
                )),
                why: "the circuit cannot be closed",
                remedy: "complete the record from the sheet of the machine, or choose another controller"
                    .into(),
                source: Source::assumed("machine record"),
            }
            .finding()
        })
        .collect()
}
