//! Nobody surveyed how large the drain main is.

use quantity::{Dim, Finding, Place, Severity, Step, Text, Value};

use super::super::SharedMain;
use crate::drain::pipe;
use crate::finding::Said;

pub(super) fn check(mains: &[SharedMain]) -> Vec<Finding> {
    mains
        .iter()
        .filter(|main| main.surveyed_m.is_none())
        .filter_map(|main| {
            let least = main.least?;
            Some(
                Said {
                    check: "main_size_unknown",
                    severity: Severity::Fix,
                    step: Step::Drain,
                    place: Place::new(format!("drain main {}", main.name)),
                    what: Text::from(format!("its size was not surveyed; {} together ask for ", main.rooms.join(", ")))
                        .value(Value::new(pipe::nominal_m(least), Dim::Length)),
                    why: "a main that is too small shows when all rooms run together",
                    remedy: "look at the main and enter main_size in the [[drain]] sections that join it".into(),
                    source: pipe::TABLE_SOURCE,
                }
                .finding(),
            )
        })
        .collect()
}
