//! With what the log found, the units that are there do not hold the room.

use quantity::{Finding, Place, Severity, Step, Text};
use room::Room;

use super::super::found::Again;
use super::{Proof, share};
use crate::finding::Said;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    let Some(again) = proof.again.as_ref().filter(|a| !a.enough) else {
        return Vec::new();
    };
    let held = again.found.0 as f64 / again.found.1.max(1) as f64;
    let remedy = match (&again.cheapest, &again.needed) {
        (Some((what, days)), _) => Text::from("Take the cheapest measure that does it: ")
            .and(what)
            .words(format!(" ({days} of {} drawn days then hold).", again.found.1)),
        (None, Some(set)) => Text::from(format!("Install {}: no single measure does it.", set.words())),
        (None, None) => "Look for the water where it comes from: no single measure and no set of the catalogue does it.".into(),
    };
    vec![
        Said {
            check: "units_not_enough",
            severity: Severity::Fix,
            step: Step::Proof,
            place: Place::new("units"),
            what: what(again),
            why: "The design was made on assumptions that the log has replaced.",
            remedy,
            source: Again::SOURCE,
        }
        .compared(share(held), share(again.days_to_hold)),
    ]
}

fn what(again: &Again) -> Text {
    let mut what = Text::from("with the water found in the log");
    if let Some(capacity) = again.capacity {
        what = what
            .words(" and units that remove ")
            .value(share(capacity.found.low))
            .words(" to ")
            .value(share(capacity.found.high))
            .words(" of their records");
    }
    what.words(format!(
        ", {} hold {} of {} drawn days; as surveyed it was {}",
        again.units.words(),
        again.found.0,
        again.found.1,
        again.surveyed.0
    ))
}
