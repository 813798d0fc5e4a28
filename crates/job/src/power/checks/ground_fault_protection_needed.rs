//! A receptacle needs protection against faults to ground.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use super::super::{GroundFault, Power};
use crate::finding::Said;

pub(super) fn check(room: &Room, power: &Power) -> Vec<Finding> {
    [
        (
            GroundFault::ClassA,
            "Class A ground-fault protection (4 to 6 mA)",
        ),
        (
            GroundFault::Residual30,
            "a residual current device of 30 mA",
        ),
    ]
    .into_iter()
    .filter_map(|(kind, words)| {
        let tags: Vec<&str> = power
            .branches
            .iter()
            .filter(|b| b.ground_fault == kind)
            .map(|b| b.tag.as_str())
            .collect();
        if tags.is_empty() {
            return None;
        }
        let units = tags.join(", ");
        Some(
            Said {
                check: "ground_fault_protection_needed",
                severity: Severity::Fix,
                step: Step::Power,
                place: Place::new(units.clone()),
                what: Text::from(format!("the receptacle of {units} needs {words}")),
                why: "wet hands, wet floor and a cord: a fault to ground kills",
                remedy: "fit it and test it; if it trips, find the leak, keep cord and plug dry; never fit a less sensitive device".into(),
                source: super::by_rules(
                    room,
                    Source::published(
                        "NEC 2023, public summary",
                        "210.8(B): receptacles in damp and wet places",
                    ),
                    Source::memory("IEC 60364-4-41, socket outlets to 32 A", ""),
                ),
            }
            .finding(),
        )
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn a_cord_where_it_is_damp_needs_it_and_a_wired_unit_does_not() {
        let with = |wiring: &str| {
            let (room, power) = scene(&format!("{PANEL}[wiring]\n{wiring}\n"), &["generic-70"]);
            check(&room, &power)
        };
        assert!(with("connection = \"hard-wired\"\nsurroundings = \"wet\"").is_empty());
        assert!(with("connection = \"cord\"\nsurroundings = \"dry\"").is_empty());
        let (finding, ..) = one(with("connection = \"cord\"\nsurroundings = \"damp\""));
        assert_eq!(finding.place.0, "D1");
        let iec = with("connection = \"cord\"\nsurroundings = \"dry\"\nrules = \"iec 60364\"");
        assert!(
            one(iec)
                .0
                .what
                .show(quantity::UnitSystem::Us)
                .contains("30 mA")
        );
    }
}
