//! The air answers to a unit by far more than its record can take.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use super::{Proof, share};
use crate::finding::Said;

/// Above this share of its record, two deviations away, it is not that unit
/// alone that the air answers to.
const MOST: f64 = 1.6;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    proof
        .units
        .iter()
        .filter_map(|unit| {
            let down = unit.pull_down?;
            (MOST < down.factor - 2.0 * down.deviation).then(|| {
                Said {
                    check: "unit_beyond_record",
                    severity: Severity::Fix,
                    step: Step::Proof,
                    place: Place::new(format!("unit {}", unit.tag)),
                    what: Text::from(format!("at {} switchings the air answers with ", down.switchings))
                        .value(share(down.factor))
                        .words(" ± ")
                        .value(share(2.0 * down.deviation))
                        .words(" of what its record says at that air: more than one such unit can take"),
                    why: "Something else switches with it and is not in the log, its channel is that of another unit, or another model stands there.",
                    remedy: "Switch it by hand and see which channel follows and what else starts with it; compare its plate with the model of the room file.".into(),
                    source: Source::common_practice("a sound unit removes within a tenth or two of its record"),
                }
                .compared(share(down.factor), share(MOST))
            })
        })
        .collect()
}
