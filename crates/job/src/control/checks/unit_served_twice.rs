//! Several controllers serve one unit.

use equipment::Catalog;
use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use crate::control::Control;
use crate::finding::Said;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .assignment
        .twice
        .iter()
        .map(|(unit, by)| {
            Said {
                check: "unit_served_twice",
                severity: Severity::Stop,
                step: Step::Control,
                place: Place::new(unit.clone()),
                what: Text::from(format!("{unit} is served by {}", by.join(" and "))),
                why: "two controls on one terminal switch against each other, and their supplies meet",
                remedy: Text::from(format!(
                    "leave {unit} in serves of one of them; the wiring here follows the first"
                )),
                source: Source::assumed("one control for each unit"),
            }
            .finding()
        })
        .collect()
}
