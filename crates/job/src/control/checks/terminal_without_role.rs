//! A record names a terminal without saying what it is for.

use equipment::Catalog;
use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use crate::control::{Control, DeviceKind};
use crate::finding::Said;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .devices
        .iter()
        .filter(|d| d.kind != DeviceKind::FloatSwitch)
        .filter_map(|d| {
            let marks: Vec<&str> = d
                .terminals
                .iter()
                .filter(|t| t.role.is_none())
                .map(|t| t.mark.as_str())
                .collect();
            (!marks.is_empty()).then(|| {
                Said {
                    check: "terminal_without_role",
                    severity: Severity::Fix,
                    step: Step::Control,
                    place: Place::new(d.tag.clone()),
                    what: Text::from(format!(
                        "the record of {} does not say the role of terminal {}",
                        d.model,
                        marks.join(", ")
                    )),
                    why: "wiring to it cannot be planned or checked for harm",
                    remedy: Text::from(format!(
                        "read the sheet of the machine and add role to the terminals of {}",
                        d.model
                    )),
                    source: Source::assumed("machine record"),
                }
                .finding()
            })
        })
        .collect()
}
