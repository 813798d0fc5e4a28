//! The lift on site does not reach the height that the unit hangs at.

use quantity::{Finding, Severity, Source, Step, Text};
use room::Mount;

use super::{in_room, metres, place};
use crate::finding::Said;
use crate::placement::scene::Scene;

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let lift = scene.room.access.as_ref();
    let Some(lift) = lift.and_then(|a| a.lift_height_m.as_ref()) else {
        return Vec::new();
    };
    in_room(scene)
        .filter(|(_, u)| u.unit.mount != Mount::Stand && lift.value < u.cabinet.low_m[2])
        .map(|(_, u)| {
            let under = metres(u.cabinet.low_m[2]);
            Said {
                check: "lift_too_short",
                severity: Severity::Stop,
                step: Step::Placement,
                place: place(u),
                what: Text::from("its underside hangs at ")
                    .value(under)
                    .words(", the lift goes to ")
                    .value(metres(lift.value)),
                why: "the unit cannot be held there while its rods are fixed",
                remedy: "bring a higher lift, or hang the unit lower".into(),
                source: Source::measured("survey", "[access] lift_height"),
            }
            .compared(under, metres(lift.value))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::rig::{hung, passes_and_fails};
    use super::*;

    #[test]
    fn the_lift_reaches_the_underside() {
        // Underside at 3.3 − 0.2794 = 3.0206 m.
        let with = |h: &str| {
            hung("D1", [5.0, 4.0, 3.3])
                + &format!("[access]\nwidth = \"2 m\"\nheight = \"2 m\"\nlift_height = \"{h}\"\n")
        };
        passes_and_fails(check, &with("3.03 m"), &with("3.01 m"));
    }
}
