//! A controller serves more units than it can.

use equipment::Catalog;
use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value, counted};
use room::Room;

use crate::control::Control;
use crate::finding::Said;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .assignment
        .served
        .iter()
        .filter(|s| (s.most as usize) < s.units.len())
        .map(|s| {
            let count = |n: usize| Value::new(n as f64, Dim::Count);
            Said {
                check: "serves_more_than_it_can",
                severity: Severity::Stop,
                step: Step::Control,
                place: Place::new(s.controller.clone()),
                what: Text::from(format!(
                    "{} is to serve {}; its record and its relays allow {}",
                    s.controller,
                    counted(s.units.len(), "unit"),
                    s.most
                )),
                why: "units beyond that are not listed, or have no contact to run them",
                remedy: "list a second controller and share the units between them".into(),
                source: Source::assumed("machine record of the controller"),
            }
            .compared(count(s.units.len()), count(s.most as usize))
        })
        .collect()
}
