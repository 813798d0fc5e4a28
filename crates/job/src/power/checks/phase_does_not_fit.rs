//! A unit for three phases on a panel with one.

use quantity::{Dim, Finding, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    power
        .branches
        .iter()
        .filter(|b| b.panel.is_some() && b.supply.phases < b.plate.phases)
        .map(|b| {
            let count = |n: u32| Value::new(f64::from(n), Dim::Count);
            Said {
                check: "phase_does_not_fit",
                severity: Severity::Stop,
                step: Step::Power,
                place: super::unit(b),
                what: Text::from(format!("{} needs ", b.tag))
                    .value(count(b.plate.phases))
                    .words(" phases, the panel gives ")
                    .value(count(b.supply.phases)),
                why: "a motor for three phases does not turn on one",
                remedy: "feed it from a panel with three phases, or take a model for one".into(),
                source: Source::assumed("phases of the plate against those of the panel"),
            }
            .compared(count(b.supply.phases), count(b.plate.phases))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn three_phases_serve_one_but_not_the_other_way_round() {
        let with = |plate: u32, panel: u32| {
            let (room, mut power) = scene(PANEL, &["generic-70"]);
            power.branches[0].plate.phases = plate;
            power.branches[0].supply.phases = panel;
            check(&room, &power)
        };
        assert!(with(1, 3).is_empty() && with(3, 3).is_empty());
        let (_, measured, limit) = one(with(3, 1));
        assert_eq!((measured, limit), (1.0, 3.0));
    }
}
