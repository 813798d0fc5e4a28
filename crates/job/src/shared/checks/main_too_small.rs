//! A drain main is too small for all its rooms together.

use quantity::{Dim, Finding, Place, Severity, Step, Text, Value};

use super::super::SharedMain;
use crate::drain::pipe;
use crate::finding::Said;

pub(super) fn check(mains: &[SharedMain]) -> Vec<Finding> {
    let length = |m: f64| Value::new(m, Dim::Length);
    mains
        .iter()
        .filter_map(|main| {
            let said = |what: Text, remedy: Text| Said {
                check: "main_too_small",
                severity: Severity::Fix,
                step: Step::Drain,
                place: Place::new(format!("drain main {}", main.name)),
                what,
                why: "each room's line is large enough alone; the main backs up into the lowest trap when they run together",
                remedy,
                source: pipe::TABLE_SOURCE,
            };
            let rooms = main.rooms.join(", ");
            let Some(least) = main.least else {
                return Some(
                    said(
                        format!("no size of the table carries {rooms} together").into(),
                        "lead rooms to mains of their own, or have the main designed".into(),
                    )
                    .finding(),
                );
            };
            // The nominal bore of a size; a surveyed inside is held against it.
            let wanted_m = pipe::nominal_m(least);
            let surveyed_m = main.surveyed_m?;
            if wanted_m <= surveyed_m + 1e-6 {
                return None;
            }
            Some(
                said(
                    Text::from("it is ")
                        .value(length(surveyed_m))
                        .words(format!(" inside; {rooms} together ask for "))
                        .value(length(wanted_m)),
                    format!("lay {} or larger from where the rooms' lines meet", least.word()).into(),
                )
                .compared(length(surveyed_m), length(wanted_m)),
            )
        })
        .collect()
}
