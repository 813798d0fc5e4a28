//! A unit does not pull the room down as its record says.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use super::{Proof, share};
use crate::finding::Said;

/// Below this share of its record, two deviations away, a unit is weak.
const LEAST: f64 = 0.6;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    proof
        .units
        .iter()
        .filter_map(|unit| {
            let down = unit.pull_down?;
            (down.factor + 2.0 * down.deviation < LEAST).then(|| {
                Said {
                    check: "unit_weak",
                    severity: Severity::Fix,
                    step: Step::Proof,
                    place: Place::new(format!("unit {}", unit.tag)),
                    what: Text::from(format!("at {} switchings the air answers with ", down.switchings))
                        .value(share(down.factor))
                        .words(" ± ")
                        .value(share(2.0 * down.deviation))
                        .words(" of what its record says at that air"),
                    why: "It draws power and takes little water: filter, refrigerant, short circuit of its own air, or a fan that does not run.",
                    remedy: "Look at the filter, feel the coil, take air in and out, time its condensate. Refrigerant is work for a licensed technician.".into(),
                    source: Source::common_practice("a sound unit removes within a tenth or two of its record"),
                }
                .compared(share(down.factor), share(LEAST))
            })
        })
        .collect()
}
