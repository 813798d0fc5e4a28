//! The legs of a panel carry unlike currents.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use crate::finding::Said;

/// Greatest departure of a leg from the mean.
const MOST: f64 = 0.15;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    power
        .panels
        .iter()
        .filter_map(|p| {
            let (measured, limit) = (p.unbalance(), MOST);
            if measured <= limit + 1e-9 {
                return None;
            }
            let shown = |x: f64| Value::new(x, Dim::Fraction);
            let (measured, limit) = (shown(measured), shown(limit));
            Some(
                Said {
                    check: "phases_unbalanced",
                    severity: Severity::Fix,
                    step: Step::Power,
                    place: Place::new(format!("panel {}", p.name)),
                    what: Text::from("one leg is ")
                        .value(measured)
                        .words(" off the mean of the legs, at most ")
                        .value(limit)
                        .words(" is usual"),
                    why: "the fullest leg limits the panel, and unlike currents make unlike voltages",
                    remedy: "move single-phase loads to the emptier legs".into(),
                    source: Source::assumed("15 %, as far as whole circuits can be shared out"),
                }
                .compared(measured, limit),
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
    fn fifteen_per_cent_are_let_pass() {
        let with = |leg_a: [f64; 3]| {
            let (room, mut power) = scene(PANEL, &["generic-70"]);
            power.panels[0].supply.legs = 3;
            power.panels[0].leg_a = leg_a;
            check(&room, &power)
        };
        assert!(with([23.0, 17.0, 20.0]).is_empty());
        let (_, measured, limit) = one(with([23.5, 16.5, 20.0]));
        assert!((measured - 0.175).abs() < 1e-9 && limit == MOST);
    }
}
