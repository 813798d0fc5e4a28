//! No controller of the catalogue tells a unit to run.

use equipment::Catalog;
use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use crate::control::Control;
use crate::finding::Said;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .assignment
        .unserved
        .iter()
        .map(|unit| {
            let family = control
                .device(unit)
                .and_then(|d| d.family)
                .map_or("", |f| f.word());
            Said {
                check: "no_controller_fits",
                severity: Severity::Stop,
                step: Step::Control,
                place: Place::new(unit.clone()),
                what: Text::from(format!(
                    "{unit} is run by {family}, and no controller of the catalogue serves that"
                )),
                why: "without a control the unit stands still",
                remedy: "add the record of a controller of this family to the catalogue, or choose another model"
                    .into(),
                source: Source::assumed("families as the machine records state them"),
            }
            .finding()
        })
        .collect()
}
