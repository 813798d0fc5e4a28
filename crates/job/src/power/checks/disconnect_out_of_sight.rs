//! The disconnect cannot be seen from the unit, or is too far.

use quantity::{Dim, Finding, Severity, Source, Step, Text, Value};
use room::{Connection, Room};

use super::super::Power;
use super::super::route::Sight;
use crate::finding::Said;

/// Farthest that counts as in sight \[m\]: 50 ft.
const IN_SIGHT_M: f64 = 15.24;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    power
        .branches
        .iter()
        .filter(|b| b.connection == Connection::HardWired)
        .filter_map(|b| {
            let d = &b.disconnect;
            let far = IN_SIGHT_M < d.distance_m - 1e-9;
            if !far && d.sight == Sight::Clear {
                return None;
            }
            let length = |m: f64| Value::new(m, Dim::Length);
            let from = Text::from(format!("from the nearest wall, {} is ", b.tag))
                .value(length(d.distance_m))
                .words(" away");
            let said = Said {
                check: "disconnect_out_of_sight",
                severity: Severity::Fix,
                step: Step::Power,
                place: super::unit(b),
                what: if far { from } else { from.words(" and hidden") },
                why: "who works on the unit must see that nobody switches it on",
                remedy: "fit a disconnect at the unit itself, on its strut, reached with the unit"
                    .into(),
                source: Source::memory("NEC 440.14 and the definition of in sight, 50 ft", ""),
            };
            Some(if far {
                said.compared(length(d.distance_m), length(IN_SIGHT_M))
            } else {
                said.finding()
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn fifty_feet_in_plain_sight_are_let_pass() {
        let with = |distance_m: f64, sight: Sight| {
            let (room, mut power) = scene(PANEL, &["generic-70"]);
            power.branches[0].disconnect.distance_m = distance_m;
            power.branches[0].disconnect.sight = sight;
            check(&room, &power)
        };
        assert!(with(15.24, Sight::Clear).is_empty());
        let (_, measured, limit) = one(with(15.3, Sight::Clear));
        assert_eq!((measured, limit), (15.3, IN_SIGHT_M));
        let (finding, ..) = one(with(3.0, Sight::Blocked));
        assert!(
            finding
                .what
                .show(quantity::UnitSystem::Metric)
                .ends_with("hidden")
        );
    }
}
