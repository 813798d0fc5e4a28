//! No log tells when units ran.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use super::super::RunsFrom;
use super::Proof;
use crate::finding::Said;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    let open: Vec<&str> = proof
        .units
        .iter()
        .filter(|u| u.channel.is_none())
        .map(|u| u.tag.as_str())
        .collect();
    if open.is_empty() {
        return Vec::new();
    }
    let what = match proof.runs_from {
        RunsFrom::Humidistat => Text::from(
            "no log tells when units ran; the setpoint of the room file was followed over the logged humidity instead",
        ),
        RunsFrom::Log => Text::from(format!(
            "no log tells when {} ran; without it the water balance stays open",
            open.join(", ")
        )),
    };
    vec![
        Said {
            check: "runs_not_logged",
            severity: Severity::Note,
            step: Step::Proof,
            place: Place::new("units"),
            what,
            why: "What units remove is most of the balance: its band is as wide as what is not known of their running.",
            remedy: "Log power or state of each unit, with its tag in the head of the column (\"D1 power (W)\"); better still, count its condensate.".into(),
            source: Source::assumed("the balance needs the removal"),
        }
        .finding(),
    ]
}
