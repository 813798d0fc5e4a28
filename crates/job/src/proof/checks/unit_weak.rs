//! A unit does not pull the room down as its record says.

use quantity::Finding;
use room::Room;

use super::Proof;
use super::unit_answer::Off;

/// Below this share of its record, two deviations away, a unit is weak.
const LEAST: f64 = 0.6;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    Off {
        check: "unit_weak",
        limit: LEAST,
        is_beyond: |down, least| down.factor + 2.0 * down.deviation < least,
        said: "",
        why: "It draws power and takes little water: filter, refrigerant, short circuit of its own air, or a fan that does not run.",
        remedy: "Look at the filter, feel the coil, take air in and out, time its condensate. Refrigerant is work for a licensed technician.",
    }
    .findings(proof)
}
