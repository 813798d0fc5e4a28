//! A unit has no panel to be fed from.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(room: &Room, power: &Power) -> Vec<Finding> {
    let without: Vec<&str> = power
        .branches
        .iter()
        .filter(|b| b.panel.is_none())
        .map(|b| b.tag.as_str())
        .collect();
    if without.is_empty() {
        return Vec::new();
    }
    let units = super::units(&without);
    // A panel that is named and is not there is a mistake; none at all was not
    // surveyed yet.
    let (severity, what, remedy) = if room.panels.is_empty() {
        (
            Severity::Fix,
            format!("no panel was surveyed; {units} cannot be fed"),
            "survey the panel: name, place, voltage, phases, main, free spaces ([[panel]])",
        )
    } else {
        (
            Severity::Stop,
            format!("{units}: the room file has no panel of the name that is given"),
            "write the name of a [[panel]] of the room, or leave panel out",
        )
    };
    vec![
        Said {
            check: "no_panel",
            severity,
            step: Step::Power,
            place: Place::new(units),
            what: Text::from(what),
            why: "length, voltage drop and spare capacity hang on where the circuit starts",
            remedy: remedy.into(),
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
    fn a_panel_that_is_there_passes_and_one_that_is_not_fails() {
        let (room, power) = scene(PANEL, &["generic-70"]);
        assert!(check(&room, &power).is_empty());
        let (room, power) = scene("", &["generic-70", "generic-70"]);
        let (finding, ..) = one(check(&room, &power));
        assert_eq!(finding.severity, Severity::Fix);
        assert_eq!(finding.place.0, "units D1, D2");
        let named =
            format!("{PANEL}[[unit]]\ntag = \"D1\"\nmodel = \"generic-70\"\npanel = \"Q\"\n");
        let (room, power) = scene(&named, &["generic-70"]);
        assert_eq!(one(check(&room, &power)).0.severity, Severity::Stop);
    }
}
