//! A unit is too heavy to be lifted by hand.
//!
//! Remedy: a lift or hoist that is rated for it.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::hanging::lifting::{MANUAL_LIMIT_KG, sling_tension_n};
use crate::hanging::{Hanging, Way};

pub(super) fn check(_room: &Room, hanging: &Hanging) -> Vec<Finding> {
    let mass = |kg: f64| Value::new(kg, Dim::Mass);
    hanging
        .units
        .iter()
        .filter(|u| u.way != Way::Outside && MANUAL_LIMIT_KG < u.dry_kg)
        .map(|unit| {
            Said {
                check: "heavy_lift",
                severity: Severity::Note,
                step: Step::Hanging,
                place: Place::new(unit.tag.clone()),
                what: Text::from("it has a mass of ")
                    .value(mass(unit.dry_kg))
                    .words("; one person lifts at most ")
                    .value(mass(MANUAL_LIMIT_KG))
                    .words("; each leg of a sling at 60° from the horizontal pulls ")
                    .value(Value::new(
                        sling_tension_n(unit.dry_kg, std::f64::consts::FRAC_PI_3),
                        Dim::Force,
                    )),
                why: "backs are hurt and units dropped",
                remedy:
                    "use a lift or hoist rated for the mass; keep everybody from beneath until all nuts are locked"
                        .into(),
                source: Source::published(
                    "NIOSH 94-110, revised lifting equation",
                    "load constant, ideal conditions",
                ),
            }
            .compared(mass(unit.dry_kg), mass(MANUAL_LIMIT_KG))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::bench::hung;
    use super::*;
    use crate::common::one;

    #[test]
    fn twenty_three_kilograms_are_lifted_by_hand() {
        let (room, mut hanging) = hung();
        let mut with = |kg: f64| {
            hanging.units[0].dry_kg = kg;
            check(&room, &hanging)
        };
        assert!(with(23.0).is_empty());
        one(with(23.5));
    }
}
