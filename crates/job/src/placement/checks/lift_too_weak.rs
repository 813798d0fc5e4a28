//! The lift on site may not carry the unit.

use quantity::{Dim, Finding, Severity, Step, Text, Value};
use room::Mount;

use super::{in_room, place};
use crate::finding::Said;
use crate::placement::scene::Scene;

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let lift = scene.room.access.as_ref();
    let Some(lift) = lift.and_then(|a| a.lift_mass_kg.as_ref()) else {
        return Vec::new();
    };
    let mass = |kg: f64| Value::new(kg, Dim::Mass);
    in_room(scene)
        .filter(|(_, u)| u.unit.mount != Mount::Stand && lift.value < u.model.body.dry_kg)
        .map(|(_, u)| {
            let dry = mass(u.model.body.dry_kg);
            Said {
                check: "lift_too_weak",
                severity: Severity::Stop,
                step: Step::Placement,
                place: place(u),
                what: Text::from("the unit weighs ")
                    .value(dry)
                    .words(", the lift may carry ")
                    .value(mass(lift.value)),
                why: "an overloaded lift tips or drops its load",
                remedy: "bring a lift that is rated for it".into(),
                source: lift.source(),
            }
            .compared(dry, mass(lift.value))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::rig::{hung, passes_and_fails};
    use super::*;

    #[test]
    fn the_dry_mass_must_be_carried() {
        // 212 lb = 96.2 kg.
        let with = |m: &str| {
            hung("D1", [5.0, 4.0, 3.3])
                + &format!("[access]\nwidth = \"2 m\"\nheight = \"2 m\"\nlift_mass = \"{m}\"\n")
        };
        let f = passes_and_fails(check, &with("213 lb"), &with("211 lb"));
        assert_eq!(f.severity, Severity::Stop);
    }
}
