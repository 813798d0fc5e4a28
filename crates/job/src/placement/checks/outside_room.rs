//! A unit reaches through a wall, the floor or the ceiling.

use quantity::{Finding, Severity, Source, Step, Text};

use super::{in_room, metres, place};
use crate::finding::Said;
use crate::placement::scene::Scene;

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let inside = &scene.fixed.inside;
    in_room(scene)
        .filter(|(_, u)| !inside.holds(&u.cabinet))
        .map(|(_, u)| {
            let out_m = (0..3)
                .map(|i| {
                    (u.cabinet.high_m[i] - inside.high_m[i])
                        .max(inside.low_m[i] - u.cabinet.low_m[i])
                })
                .fold(0.0, f64::max);
            Said {
                check: "outside_room",
                severity: Severity::Stop,
                step: Step::Placement,
                place: place(u),
                what: Text::from("the cabinet reaches ")
                    .value(metres(out_m))
                    .words(" out of the room"),
                why: "it cannot be there",
                remedy: "move it in, or correct its position or the size of the room".into(),
                source: Source::measured("survey", "[[unit]] at and [room]"),
            }
            .compared(metres(out_m), metres(0.0))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::rig::{hung, passes_and_fails};
    use super::*;

    #[test]
    fn touching_the_wall_is_inside() {
        // Half of 1.1684 m.
        let passes = hung("D1", [0.5843, 4.0, 3.3]);
        let fails = hung("D1", [0.58, 4.0, 3.3]);
        let f = passes_and_fails(check, &passes, &fails);
        assert_eq!(f.severity, Severity::Stop);
        assert!((f.measured.unwrap().si - 0.0042).abs() < 1e-4);
    }
}
