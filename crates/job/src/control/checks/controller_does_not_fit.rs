//! The room file gives a unit to a controller of another family.

use equipment::Catalog;
use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use crate::control::Control;
use crate::finding::Said;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .assignment
        .misfit
        .iter()
        .map(|(controller, unit)| {
            let family = control
                .device(unit)
                .and_then(|d| d.family)
                .map_or("", |f| f.word());
            Said {
                check: "controller_does_not_fit",
                severity: Severity::Stop,
                step: Step::Control,
                place: Place::new(controller.clone()),
                what: Text::from(format!(
                    "{controller} is to serve {unit}, which is run by {family}; the controller cannot do that"
                )),
                why: "terminals that do not belong together are damaged or do nothing",
                remedy: Text::from(format!(
                    "take {unit} out of serves of {controller}, or list a controller for {family}"
                )),
                source: Source::assumed("families as the machine records state them"),
            }
            .finding()
        })
        .collect()
}
