//! A surveyed load is on a panel that is not there.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(room: &Room, _power: &Power) -> Vec<Finding> {
    room.circuits
        .iter()
        .filter(|c| !room.panels.iter().any(|p| p.name.value == c.panel.value))
        .map(|c| {
            Said {
                check: "circuit_on_no_panel",
                severity: Severity::Fix,
                step: Step::Power,
                place: Place::new(c.name.value.clone()),
                what: Text::from(format!(
                    "{} is on panel {}, which the room file does not have",
                    c.name.value, c.panel.value
                )),
                why: "its current is counted nowhere",
                remedy: "write the name of a [[panel]], or survey that panel".into(),
                source: Source::assumed("each load is counted on its panel"),
            }
            .finding()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn a_load_on_a_panel_passes_and_one_on_none_fails() {
        let with = |panel: &str| {
            let more = format!(
                "{PANEL}[[circuit]]\nname = \"fans\"\npanel = \"{panel}\"\ncurrent = \"5 A\"\n"
            );
            let (room, power) = scene(&more, &["generic-70"]);
            check(&room, &power)
        };
        assert!(with("P").is_empty());
        assert_eq!(one(with("Q")).0.place.0, "fans");
    }
}
