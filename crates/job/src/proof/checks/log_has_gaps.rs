//! Much of the logged time has no readings.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use super::{Proof, share};
use crate::finding::Said;

/// Least share of the time that should be known.
const LEAST: f64 = 0.9;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    let all = proof.series.len().max(1);
    let known = proof.series.known().count() as f64 / all as f64;
    if LEAST <= known {
        return Vec::new();
    }
    vec![
        Said {
            check: "log_has_gaps",
            severity: Severity::Note,
            step: Step::Proof,
            place: Place::new("log"),
            what: Text::from("the air is known for ")
                .value(share(known))
                .words(" of the time from the first to the last reading"),
            why: "What happened in the gaps is not judged.",
            remedy:
                "See whether the logger's memory was full, its battery low, or its link broken."
                    .into(),
            source: Source::assumed("nine tenths of the time"),
        }
        .compared(share(known), share(LEAST)),
    ]
}
