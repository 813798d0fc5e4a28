//! The protective device is below what the circuit must carry.

use quantity::{Dim, Finding, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    let shown = |a: f64| Value::new(a, Dim::Current);
    power
        .branches
        .iter()
        .filter(|b| b.device_a < b.plate.min_circuit_a - 1e-9)
        .map(|b| {
            Said {
                check: "device_below_circuit",
                severity: Severity::Stop,
                step: Step::Power,
                place: super::unit(b),
                what: Text::from(format!("the device of {} is ", b.tag))
                    .value(shown(b.device_a))
                    .words(", its circuit must carry ")
                    .value(shown(b.plate.min_circuit_a)),
                why: "it trips while the unit runs as it should",
                remedy: "ask the maker of the unit: no standard device lies between the two figures of the plate".into(),
                source: Source::published("NEC, as extracted publicly", "440.4(B), 240.6(A): standard sizes"),
            }
            .compared(shown(b.device_a), shown(b.plate.min_circuit_a))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn the_circuit_itself_passes_and_more_fails() {
        let with = |least_a: f64| {
            let (room, mut power) = scene(PANEL, &["generic-70"]);
            power.branches[0].device_a = 20.0;
            power.branches[0].plate.min_circuit_a = least_a;
            check(&room, &power)
        };
        assert!(with(20.0).is_empty());
        let (_, measured, limit) = one(with(20.5));
        assert_eq!((measured, limit), (20.0, 20.5));
    }
}
