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
    const MOST: &str = "What units remove is most of the balance: its band is as wide as what is not known of their running.";
    let (what, why) = match proof.runs_from {
        RunsFrom::Count => (
            "no log tells when units ran; counted water was laid out on them by their records instead".into(),
            MOST,
        ),
        RunsFrom::Setpoint => (
            "no log tells when units ran; of the water balance only those times count at which the setpoint of the room file leaves no doubt that all ran or none".into(),
            "In a room that is held near its setpoint much water under many units and little under few look alike in the air: temperature and humidity alone tell no load there.",
        ),
        RunsFrom::Log => (
            Text::from(format!(
                "no log tells when {} ran; without it the water balance stays open",
                open.join(", ")
            )),
            MOST,
        ),
    };
    vec![
        Said {
            check: "runs_not_logged",
            severity: Severity::Note,
            step: Step::Proof,
            place: Place::new("units"),
            what,
            why,
            remedy: "Log power or state of each unit, with its tag in the head of the column (\"D1 power (W)\"); better still, count its condensate with a counter that the logger reads every quarter of an hour or oftener.".into(),
            source: Source::assumed("the balance needs the removal"),
        }
        .finding(),
    ]
}
