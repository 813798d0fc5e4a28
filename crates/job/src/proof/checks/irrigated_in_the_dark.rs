//! Irrigation runs in the dark.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use super::{Proof, share};
use crate::finding::Said;

/// Share of the irrigations in the dark that is no matter.
const NO_MATTER: f64 = 0.1;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    let Some(seen) = proof.irrigation.filter(|i| 0 < i.count) else {
        return Vec::new();
    };
    let dark = seen.in_the_dark as f64 / seen.count as f64;
    if dark <= NO_MATTER {
        return Vec::new();
    }
    vec![
        Said {
            check: "irrigated_in_the_dark",
            severity: Severity::Note,
            step: Step::Proof,
            place: Place::new("irrigation"),
            what: Text::from(format!(
                "{} of {} irrigations begin in the dark",
                seen.in_the_dark, seen.count
            )),
            why: "Wet medium and runoff give off water just when the room is hardest to keep dry.",
            remedy: "End the last irrigation an hour or two before lights-off.".into(),
            source: Source::common_practice("no irrigation shortly before or in the dark"),
        }
        .compared(share(dark), share(NO_MATTER)),
    ]
}
