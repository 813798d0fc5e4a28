//! The centre of gravity is not between the supports of a unit.
//!
//! One rod or foot would have to push or pull the other way: the unit tips.
//! Remedy: other hanging points, or a trapeze that reaches under it.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use crate::finding::Said;
use crate::hanging::{Balance, Hanging};

pub(super) fn check(_room: &Room, hanging: &Hanging) -> Vec<Finding> {
    hanging
        .units
        .iter()
        .filter(|u| u.balance == Balance::Beside)
        .map(|unit| {
            Said {
                check: "centre_of_gravity_beside_rods",
                severity: Severity::Stop,
                step: Step::Hanging,
                place: Place::new(unit.tag.clone()),
                what: Text::from(format!(
                    "the centre of gravity of {} is not between what carries it",
                    unit.tag
                )),
                why: "rods only pull: the unit tips until its weight hangs under them",
                remedy: "check hanging points and centre of gravity in its record; else carry it on a trapeze that reaches past its centre of gravity".into(),
                source: Source::published("statics", ""),
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
    fn a_centre_of_gravity_at_the_rods_is_the_last_that_holds() {
        let slab = room(SLAB);
        let with = |x_m: f64| {
            let mut other = catalog().clone();
            other
                .dehumidifiers
                .get_mut("generic-150")
                .unwrap()
                .body
                .centre_of_gravity_m = [x_m, 0.0, 0.0];
            check(
                &slab,
                &hang(&slab, &other, &placement(&[Mount::Hung])).unwrap(),
            )
        };
        assert!(with(0.507).is_empty());
        let found = with(0.509);
        assert_eq!(found.len(), 1);
        says(&found[0]);
    }
}
