//! The plate's circuit or protection is not what its motors ask for.

use quantity::{Dim, Finding, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::motor::{DeviceRule, MotorCurrents, max_protection_a, min_circuit_a};
use super::super::{Branch, Power};
use crate::finding::Said;

/// Plates are rounded to a tenth of an ampere.
const ROUNDING_A: f64 = 0.05;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    power
        .branches
        .iter()
        .filter_map(|b| Some((b, MotorCurrents::of(&b.plate)?)))
        .flat_map(|(b, motors)| [circuit(b, motors), protection(b, motors)])
        .flatten()
        .collect()
}

fn shown(a: f64) -> Value {
    Value::new(a, Dim::Current)
}

fn circuit(b: &Branch, motors: MotorCurrents) -> Option<Finding> {
    let (plate_a, least_a) = (b.plate.min_circuit_a, min_circuit_a(motors));
    (plate_a + ROUNDING_A + 1e-9 < least_a).then(|| {
        Said {
            check: "plate_does_not_add_up",
            severity: Severity::Fix,
            step: Step::Power,
            place: super::unit(b),
            what: Text::from(format!("the plate of {} asks for a circuit of ", b.tag))
                .value(shown(plate_a))
                .words(", its motors for ")
                .value(shown(least_a)),
            why: "a conductor sized by a wrong plate runs hot",
            remedy: "read the plate again; if it reads so, ask the maker and size by the larger"
                .into(),
            source: Source::published(
                "NEC, as explained publicly",
                "440.33: 125 % of the compressor and the other motors",
            ),
        }
        .compared(shown(plate_a), shown(least_a))
    })
}

fn protection(b: &Branch, motors: MotorCurrents) -> Option<Finding> {
    let plate_a = b.plate.max_protection_a;
    let most_a = max_protection_a(motors, DeviceRule::WillNotStart);
    (most_a + ROUNDING_A + 1e-9 < plate_a).then(|| {
        Said {
            check: "plate_does_not_add_up",
            severity: Severity::Fix,
            step: Step::Power,
            place: super::unit(b),
            what: Text::from(format!("the plate of {} allows a device of ", b.tag))
                .value(shown(plate_a))
                .words(", its motors at most ")
                .value(shown(most_a))
                .words("; the usual limit is ")
                .value(shown(max_protection_a(motors, DeviceRule::Usual))),
            why: "a device that is too large does not protect the compressor in a fault",
            remedy:
                "read the plate again; if it reads so, ask the maker and protect by the smaller"
                    .into(),
            source: Source::published(
                "NEC, as explained publicly",
                "440.22(A): 225 % of the compressor and the other motors",
            ),
        }
        .compared(shown(plate_a), shown(most_a))
    })
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    fn with(edit: impl Fn(&mut equipment::Plate)) -> Vec<Finding> {
        let (room, mut power) = scene(PANEL, &["generic-150"]);
        let plate = &mut power.branches[0].plate;
        // The currents of a published example: 17.6 A, at most 30.4 A.
        plate.compressor_a = Some(12.8);
        plate.full_load_a = 14.4;
        plate.min_circuit_a = 17.6;
        plate.max_protection_a = 30.4;
        edit(plate);
        check(&room, &power)
    }

    #[test]
    fn a_plate_rounded_to_a_tenth_passes_and_more_fails() {
        assert!(with(|_| {}).is_empty());
        assert!(with(|p| p.min_circuit_a = 17.55).is_empty());
        let (_, measured, limit) = one(with(|p| p.min_circuit_a = 17.5));
        assert!((measured - 17.5).abs() < 1e-9 && (limit - 17.6).abs() < 1e-9);
        assert!(with(|p| p.max_protection_a = 30.45).is_empty());
        let (_, measured, limit) = one(with(|p| p.max_protection_a = 30.5));
        assert!((measured - 30.5).abs() < 1e-9 && (limit - 30.4).abs() < 1e-9);
    }

    #[test]
    fn a_plate_without_the_compressors_current_is_not_judged() {
        let silent = with(|p| {
            p.compressor_a = None;
            p.min_circuit_a = 1.0;
        });
        assert!(silent.is_empty());
    }
}
