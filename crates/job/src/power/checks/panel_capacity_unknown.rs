//! Nobody knows whether the panel can give the current.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    power
        .panels
        .iter()
        .filter(|p| p.left_a().is_none())
        .map(|p| {
            Said {
                check: "panel_capacity_unknown",
                severity: Severity::Fix,
                step: Step::Power,
                place: Place::new(format!("panel {}", p.name)),
                what: Text::from("main device and spare current were not surveyed; the units add ")
                    .value(Value::new(p.added_a, Dim::Current)),
                why: "a panel without room for the units shows only when it trips",
                remedy: "read the main device and list the other loads, or measure for 30 days what it carries (main, spare_current, [[circuit]])".into(),
                source: Source::memory("NEC 220.87: maximum demand measured over 30 days", ""),
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
    fn a_known_main_passes_and_no_figure_fails() {
        let (room, power) = scene(PANEL, &["generic-70"]);
        assert!(check(&room, &power).is_empty());
        let (room, power) = scene(&PANEL.replace("main = \"100 A\"\n", ""), &["generic-70"]);
        assert_eq!(one(check(&room, &power)).0.place.0, "panel P");
    }
}
