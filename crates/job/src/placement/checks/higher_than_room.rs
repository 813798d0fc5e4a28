//! A unit is higher than the room leaves space for.

use quantity::{Finding, Severity, Source, Step, Text};

use super::{in_room, metres, place};
use crate::finding::Said;
use crate::placement::scene::Scene;

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let room_m = scene.fixed.inside.high_m[2];
    in_room(scene)
        .filter(|(_, u)| room_m < u.model.body.size_m[2])
        .map(|(_, u)| {
            let body_m = u.model.body.size_m[2];
            Said {
                check: "higher_than_room",
                severity: Severity::Stop,
                step: Step::Placement,
                place: place(u),
                what: Text::from(format!("{} is ", u.unit.model))
                    .value(metres(body_m))
                    .words(" high, the room ")
                    .value(metres(room_m)),
                why: "it cannot stand or hang in this room",
                remedy: "choose a lower model, or set it outside the room with ducts".into(),
                source: Source::measured("survey", "[room] height"),
            }
            .compared(metres(body_m), metres(room_m))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::rig::{HALL, found_in, unit};
    use super::*;

    #[test]
    fn the_ceiling_is_the_limit() {
        // generic-200 is 62 in = 1.5748 m high.
        let with = |height: &str| {
            let hall = HALL.replace("height = \"4 m\"", &format!("height = \"{height}\""));
            let unit = unit("D1", "generic-200", [5.0, 4.0, 0.8], "+x");
            found_in(check, &format!("{hall}{unit}"))
        };
        assert!(with("1.58 m").is_empty());
        assert_eq!(with("1.57 m")[0].severity, Severity::Stop);
    }
}
