//! The room file does not say which units stand in the room.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use super::super::set_of;
use super::Proof;
use crate::finding::Said;

pub(super) fn check(room: &Room, proof: &Proof) -> Vec<Finding> {
    if !room.units.is_empty() || proof.units.is_empty() {
        return Vec::new();
    }
    vec![
        Said {
            check: "units_not_listed",
            severity: Severity::Fix,
            step: Step::Proof,
            place: Place::new("units"),
            what: Text::from(format!(
                "the room file lists no units; the log was judged as that of {}, which a first look at the design chooses",
                set_of(proof).words()
            )),
            why: "Where other units stand in the room, their runs stand for another amount of water: units are then found far above or below their records, and the selection is made again for the wrong ones.",
            remedy: "Write each unit that stands in the room as [[unit]] with its tag and model, then prove the log again.".into(),
            source: Source::assumed("units of the room file, else of the design"),
        }
        .finding(),
    ]
}
