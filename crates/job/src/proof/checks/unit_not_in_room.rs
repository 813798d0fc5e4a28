//! The log has a unit that the room file does not have.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use readings::Measure;
use room::Room;

use super::super::names_unit;
use super::Proof;
use crate::finding::Said;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    // A state beside the power of one unit is not another unit.
    let is_of_unit = |name: &str| {
        let mut units = proof.units.iter();
        units.any(|u| u.channel.as_deref() == Some(name) || names_unit(name, &u.tag))
    };
    let others: Vec<&str> = proof
        .sensors
        .iter()
        .filter(|s| matches!(s.measure, Measure::UnitPower | Measure::UnitState))
        .map(|s| s.name.as_str())
        .filter(|name| !is_of_unit(name))
        .collect();
    if others.is_empty() {
        return Vec::new();
    }
    let tags: Vec<&str> = proof.units.iter().map(|u| u.tag.as_str()).collect();
    vec![
        Said {
            check: "unit_not_in_room",
            severity: Severity::Fix,
            step: Step::Proof,
            place: Place::new("units"),
            what: Text::from(format!(
                "the log has {}, and no unit is there for it; there are: {}",
                others.join(", "),
                if tags.is_empty() { "none".to_owned() } else { tags.join(", ") }
            )),
            why: "What such a unit takes out of the air is not counted, so that the room seems to give off less water than it does.",
            remedy: "Write each unit that stands in the room as [[unit]] with its tag, or say that the column is something else (\"NAME=ignore\").".into(),
            source: Source::assumed("the balance needs every unit"),
        }
        .finding(),
    ]
}
