//! The water balance could not be closed.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use super::super::fit::LEAST_WINDOWS;
use super::super::windows::WINDOW_S;
use super::Proof;
use super::time;
use crate::finding::Said;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    let what = match &proof.water {
        None => Text::from("less than ")
            .value(time(LEAST_WINDOWS as f64 * WINDOW_S))
            .words(" of the log tell dry bulb, humidity and the running of all units at once: the water load was not found"),
        Some(w) if !w.settled => {
            Text::from("the search for what fits the log did not settle: take the load found as a hint only")
        }
        Some(_) => return Vec::new(),
    };
    vec![
        Said {
            check: "balance_open",
            severity: Severity::Note,
            step: Step::Proof,
            place: Place::new("room"),
            what,
            why: "Without the balance nobody knows how much water the room really gives off.",
            remedy: "Log dry bulb, relative humidity and the power of each unit for a week, every five minutes or oftener.".into(),
            source: Source::assumed("two days are the least that shows both day and night twice"),
        }
        .finding(),
    ]
}
