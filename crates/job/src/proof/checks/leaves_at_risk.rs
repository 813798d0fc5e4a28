//! Leaves were near the dew point for hours.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use super::{Proof, time};
use crate::finding::Said;

/// Spells shorter than this are no infection \[s\].
const LEAST_S: f64 = 4.0 * 3600.0;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    let surfaces = &proof.surfaces;
    let (longest, Some(from)) = (surfaces.longest_leaf_risk_s, surfaces.leaf_from) else {
        return Vec::new();
    };
    if longest < LEAST_S {
        return Vec::new();
    }
    vec![
        Said {
            check: "leaves_at_risk",
            severity: Severity::Fix,
            step: Step::Proof,
            place: Place::new("canopy"),
            what: Text::from("leaves are at risk of wetness for ")
                .value(time(longest))
                .words(" on end, ")
                .value(time(surfaces.leaf_risk_s.iter().sum()))
                .words(format!(" in all (leaf temperature {})", from.words())),
            why: "Spores of grey mould germinate on leaves that stay wet for hours.",
            remedy: "Move air through the canopy, keep the night warmer or drier, and see that the room does not cool faster than units dry it.".into(),
            source: Source::common_practice("four hours of wet leaf are the least that counts; 90 % relative humidity at the leaf stands for wet"),
        }
        .compared(time(longest), time(LEAST_S)),
    ]
}
