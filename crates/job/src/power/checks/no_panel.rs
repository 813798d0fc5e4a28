//! A unit has no panel to be fed from.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use super::super::Power;
use crate::finding::Said;

/// Not surveyed yet is put right later; a name that no panel has is refused on
/// reading.
pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    let without: Vec<&str> = power
        .branches
        .iter()
        .filter(|b| b.panel.is_none())
        .map(|b| b.tag.as_str())
        .collect();
    if without.is_empty() {
        return Vec::new();
    }
    let units = without.join(", ");
    vec![
        Said {
            check: "no_panel",
            severity: Severity::Fix,
            step: Step::Power,
            place: Place::new(units.clone()),
            what: Text::from(format!("no panel was surveyed; {units} cannot be fed")),
            why: "length, voltage drop and spare capacity hang on where the circuit starts",
            remedy: "survey the panel: name, place, voltage, phases, main, free spaces ([[panel]])"
                .into(),
            source: Source::assumed("each unit is fed by a circuit of its own from a panel"),
        }
        .finding(),
    ]
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn a_panel_that_is_there_passes_and_none_fails() {
        let (room, power) = scene(PANEL, &["generic-70"]);
        assert!(check(&room, &power).is_empty());
        let (room, power) = scene("", &["generic-70", "generic-70"]);
        let (finding, ..) = one(check(&room, &power));
        assert_eq!(finding.severity, Severity::Fix);
        assert_eq!(finding.place.0, "D1, D2");
    }
}
