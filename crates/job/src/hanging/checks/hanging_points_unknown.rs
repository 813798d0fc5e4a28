//! The record of a machine names no hanging points.
//!
//! They are assumed at the corners of its top; shares and lengths follow from
//! that. Remedy: measure them on the machine and write them into its record.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use crate::finding::Said;
use crate::hanging::{Hanging, PointsFrom};

pub(super) fn check(_room: &Room, hanging: &Hanging) -> Vec<Finding> {
    hanging
        .units
        .iter()
        .filter(|u| u.points == PointsFrom::Corners)
        .map(|unit| {
            Said {
                check: "hanging_points_unknown",
                severity: Severity::Fix,
                step: Step::Hanging,
                place: Place::new(unit.tag.clone()),
                what: Text::from(format!(
                    "the record of {} names no hanging points: the corners of its top are assumed",
                    unit.model
                )),
                why: "rods in the wrong place do not fit the unit, and their loads are others",
                remedy: "take the points from the unit's instructions or measure them; write points into [hanging] of its record".into(),
                source: Source::assumed("hanging points at the corners of the top"),
            }
            .finding()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::bench::{SLAB, placement, room};
    use super::*;
    use crate::common::{catalog, says};
    use crate::hanging::hang;
    use room::Mount;

    #[test]
    fn points_of_a_record_are_used_and_missing_ones_are_said() {
        let slab = room(SLAB);
        let placement = placement(&[Mount::Hung]);
        let known = hang(&slab, catalog(), &placement).unwrap();
        assert!(check(&slab, &known).is_empty());
        let mut bare = catalog().clone();
        bare.dehumidifiers
            .get_mut("generic-150")
            .unwrap()
            .hanging
            .points_m = None;
        let assumed = hang(&slab, &bare, &placement).unwrap();
        let found = check(&slab, &assumed);
        assert_eq!(found.len(), 1);
        says(&found[0]);
        let corner = assumed.units[0].rods[0].foot_m;
        assert!((corner[0] - assumed.units[0].cabinet.high_m[0]).abs() < 1e-12);
        assert!((corner[2] - assumed.units[0].cabinet.high_m[2]).abs() < 1e-12);
    }
}
