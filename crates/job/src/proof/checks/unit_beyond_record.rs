//! The air answers to a unit by far more than its record can take.

use quantity::Finding;
use room::Room;

use super::Proof;
use super::unit_answer::Off;

/// Above this share of its record, two deviations away, it is not that unit
/// alone that the air answers to.
const MOST: f64 = 1.6;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    Off {
        check: "unit_beyond_record",
        limit: MOST,
        is_beyond: |down, most| most < down.factor - 2.0 * down.deviation,
        said: ": more than one such unit can take",
        why: "Something else switches with it and is not in the log, its channel is that of another unit, or another model stands there.",
        remedy: "Switch it by hand and see which channel follows and what else starts with it; compare its plate with the model of the room file.",
    }
    .findings(proof)
}
