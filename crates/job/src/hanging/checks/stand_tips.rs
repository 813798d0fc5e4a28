//! A stand tips too easily if it is not bolted down.
//!
//! Remedy: a wider base, a lower stand, bolts in the floor, a tie to the wall.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::hanging::Hanging;
use crate::hanging::stand::LEAST_TILT_RAD;

pub(super) fn check(_room: &Room, hanging: &Hanging) -> Vec<Finding> {
    let angle = |rad: f64| Value::new(rad, Dim::Angle);
    hanging
        .units
        .iter()
        .filter_map(|unit| {
            let stand = unit.stand?;
            (stand.tips_at_rad < LEAST_TILT_RAD).then(|| {
                Said {
                    check: "stand_tips",
                    severity: Severity::Fix,
                    step: Step::Hanging,
                    place: Place::new(unit.tag.clone()),
                    what: Text::from("on its stand it tips at ")
                        .value(angle(stand.tips_at_rad))
                        .words(", or by a push of ")
                        .value(Value::new(stand.push_n, Dim::Force))
                        .words(" at its centre of gravity, if it is not bolted down"),
                    why: "somebody leans on it, or a hose pulls at it",
                    remedy: "take a wider base or a lower stand; bolt it to the floor and tie its top to a wall".into(),
                    source: Source::memory("IEC 60335-1, 20.1: no tipping at 10°", "not read"),
                }
                .compared(angle(stand.tips_at_rad), angle(LEAST_TILT_RAD))
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::bench::{SLAB, of, room};
    use super::*;
    use crate::common::one;
    use room::Mount;

    #[test]
    fn a_stand_bears_ten_degrees() {
        let room = room(SLAB);
        let mut hanging = of(&room, Mount::Stand);
        let mut with = |degrees: f64| {
            if let Some(stand) = &mut hanging.units[0].stand {
                stand.tips_at_rad = degrees.to_radians();
            }
            check(&room, &hanging)
        };
        assert!(with(10.01).is_empty());
        one(with(9.9));
    }
}
