//! A panel cannot give the current.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    power
        .panels
        .iter()
        .flat_map(|p| {
            let by_main = p.main_a.map(|most| {
                (p.fullest_a(), most, "with all loads the fullest leg carries ", ", its main device is ")
            });
            let by_spare = p.spare_a.map(|most| {
                (p.added_a, most, "the units add ", " to the fullest leg, it can still give ")
            });
            by_main
                .into_iter()
                .chain(by_spare)
                .filter(|(found, most, ..)| most + 1e-9 < *found)
                .map(|(found, most, first, second)| {
                    let shown = |a: f64| Value::new(a, Dim::Current);
                    Said {
                        check: "panel_overloaded",
                        severity: Severity::Stop,
                        step: Step::Power,
                        place: Place::new(format!("panel {}", p.name)),
                        what: Text::from(first)
                            .value(shown(found))
                            .words(second)
                            .value(shown(most)),
                        why: "the main device trips and takes the room with it",
                        remedy: "use another panel, a larger feeder, or fewer units; have a licensed electrician make the load calculation".into(),
                        source: Source::memory(
                            "NEC 215.2, 430.24: continuous loads and the largest motor at 125 %",
                            "",
                        ),
                    }
                    .compared(shown(found), shown(most))
                })
                .collect::<Vec<_>>()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn the_rating_itself_may_be_reached() {
        let (room, power) = scene(PANEL, &["generic-70", "generic-70"]);
        let full_a = power.panels[0].fullest_a();
        let one_a = power.branches[0].plate.full_load_a;
        // Two motors, the largest at 125 %.
        assert!((full_a - 2.25 * one_a).abs() < 1e-9);
        let with = |main_a: Option<f64>, spare_a: Option<f64>| {
            let mut power = power.clone();
            power.panels[0].main_a = main_a;
            power.panels[0].spare_a = spare_a;
            check(&room, &power)
        };
        assert!(with(Some(full_a), Some(full_a)).is_empty());
        assert_eq!(
            one(with(Some(full_a - 0.1), None)).0.severity,
            Severity::Stop
        );
        assert!((one(with(None, Some(full_a - 0.1))).1 - full_a).abs() < 1e-9);
    }
}
