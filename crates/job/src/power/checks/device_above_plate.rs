//! The protective device is larger than the plate allows.

use quantity::{Dim, Finding, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    let shown = |a: f64| Value::new(a, Dim::Current);
    power
        .branches
        .iter()
        .filter(|b| b.plate.max_protection_a + 1e-9 < b.device_a)
        .map(|b| {
            Said {
                check: "device_above_plate",
                severity: Severity::Stop,
                step: Step::Power,
                place: super::unit(b),
                what: Text::from(format!("the smallest device for {} is ", b.tag))
                    .value(shown(b.device_a))
                    .words(", its plate allows ")
                    .value(shown(b.plate.max_protection_a)),
                why: "a device above the plate does not protect the compressor in a fault",
                remedy: "fit fuses of the size on the plate in the disconnect; a licensed electrician decides".into(),
                source: Source::published("NEC, as extracted publicly", "440.4(B), 440.22: the plate governs"),
            }
            .compared(shown(b.device_a), shown(b.plate.max_protection_a))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn the_plate_itself_passes_and_less_fails() {
        let with = |most_a: f64| {
            let (room, mut power) = scene(PANEL, &["generic-70"]);
            power.branches[0].device_a = 15.0;
            power.branches[0].plate.max_protection_a = most_a;
            check(&room, &power)
        };
        assert!(with(15.0).is_empty());
        let (_, measured, limit) = one(with(14.0));
        assert_eq!((measured, limit), (15.0, 14.0));
    }
}
