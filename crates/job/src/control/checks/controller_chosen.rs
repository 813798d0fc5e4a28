//! A controller was chosen from the catalogue, not surveyed.

use equipment::Catalog;
use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use crate::control::Control;
use crate::control::assign::ChosenBy;
use crate::finding::Said;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .assignment
        .served
        .iter()
        .filter(|s| s.by == ChosenBy::Catalogue)
        .map(|s| {
            Said {
                check: "controller_chosen",
                severity: Severity::Note,
                step: Step::Control,
                place: Place::new(s.controller.clone()),
                what: Text::from(format!(
                    "{} is a {}, chosen for {}: the room file lists no controller for them",
                    s.controller,
                    s.model,
                    s.units.join(", ")
                )),
                why: "cable lengths hold for a controller beside the door",
                remedy: "list the controller that is wanted, with its place".into(),
                source: Source::assumed("fewest of the smallest that fit the family"),
            }
            .finding()
        })
        .collect()
}
