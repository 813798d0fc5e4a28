//! A float switch has no terminals at its unit.

use equipment::Catalog;
use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use crate::control::Control;
use crate::finding::Said;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .float_homeless
        .iter()
        .map(|unit| {
            Said {
                check: "float_switch_without_terminals",
                severity: Severity::Note,
                step: Step::Control,
                place: Place::new(unit.clone()),
                what: Text::from(format!(
                    "{unit} has no terminals that stop it on high water, and no run circuit to break"
                )),
                why: "a blocked drain overflows while the unit runs",
                remedy: "let the float switch break the supply of the unit through a contactor, if overflow does damage there"
                    .into(),
                source: Source::published(
                    "International Plumbing Code: a water-level device that stops the unit where overflow does damage",
                    "314.2.3, as adopted locally",
                ),
            }
            .finding()
        })
        .collect()
}
