//! Voltage or phases of a panel were not surveyed.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(room: &Room, power: &Power) -> Vec<Finding> {
    power
        .panels
        .iter()
        .filter_map(|made| {
            let panel = room.panels.iter().find(|p| p.name.value == made.name)?;
            let missing = match (&panel.voltage_v, &panel.phases) {
                (None, None) => "voltage and phases",
                (None, Some(_)) => "voltage",
                (Some(_), None) => "phases",
                (Some(_), Some(_)) => return None,
            };
            Some(
                Said {
                    check: "supply_unknown",
                    severity: Severity::Fix,
                    step: Step::Power,
                    place: Place::new(format!("panel {}", made.name)),
                    what: Text::from(format!(
                        "{missing} of panel {} were not surveyed; those of the unit's plate are counted with",
                        made.name
                    )),
                    why: "a unit on the wrong supply does not start, or burns",
                    remedy: "measure at the panel and write voltage and phases".into(),
                    source: Source::assumed("the plate's supply, until it is measured"),
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
    fn a_surveyed_supply_passes_and_a_gap_fails() {
        let (room, power) = scene(PANEL, &["generic-70"]);
        assert!(check(&room, &power).is_empty());
        let gap = PANEL.replace("phases = 1\n", "");
        let (room, power) = scene(&gap, &["generic-70"]);
        let (finding, ..) = one(check(&room, &power));
        assert!(
            finding
                .what
                .show(quantity::UnitSystem::Us)
                .starts_with("phases")
        );
    }
}
