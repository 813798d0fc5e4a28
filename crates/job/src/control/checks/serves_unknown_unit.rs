//! A controller serves a unit that is not there.

use equipment::Catalog;
use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use crate::control::Control;
use crate::finding::Said;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .assignment
        .unknown
        .iter()
        .map(|(controller, tag)| {
            let on_board = control.assignment.on_board.contains(tag);
            let (what, remedy) = if on_board {
                (
                    format!("{controller} is to serve {tag}, which has a humidistat of its own"),
                    format!("take {tag} out of serves of {controller}"),
                )
            } else {
                (
                    format!("{controller} is to serve {tag}, but no unit has that tag"),
                    "write the tag as the unit has it, or take it out".to_owned(),
                )
            };
            Said {
                check: "serves_unknown_unit",
                severity: Severity::Fix,
                step: Step::Control,
                place: Place::new(controller.clone()),
                what: Text::from(what),
                why: "a wire would end nowhere",
                remedy: Text::from(remedy),
                source: Source::assumed("tags of the room file"),
            }
            .finding()
        })
        .collect()
}
