//! A unit is too near a sprinkler or detector.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::ObstacleKind;

use super::{in_room, metres};
use crate::finding::Said;
use crate::placement::scene::{Scene, ThingKind};

const SPRINKLER_M: f64 = 0.457_2;
const DETECTOR_M: f64 = 0.914_4;
const SPRINKLER: Source = Source::memory(
    "NFPA 13: 18 in clear under sprinkler deflectors",
    "not read; wide obstructions have rules of their own",
);
const DETECTOR: Source = Source::memory(
    "NFPA 72: detectors 3 ft from supply air openings",
    "not read",
);

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (_, u) in in_room(scene) {
        for thing in &scene.fixed.things {
            let (usual, source) = match thing.kind {
                ThingKind::Obstacle(ObstacleKind::Sprinkler) => (SPRINKLER_M, SPRINKLER),
                ThingKind::Obstacle(ObstacleKind::Detector) => (DETECTOR_M, DETECTOR),
                _ => continue,
            };
            let need = thing.keep_clear_m.unwrap_or(usual);
            let free = u.cabinet.distance_m(&thing.cuboid);
            if need <= free + 1e-9 {
                continue;
            }
            all.push(
                Said {
                    check: "sprinkler_too_near",
                    severity: Severity::Stop,
                    step: Step::Placement,
                    place: Place::new(u.unit.tag.clone()),
                    what: Text::from(format!("{} is ", thing.name))
                        .value(metres(free))
                        .words(" away, ")
                        .value(metres(need))
                        .words(" are to be kept"),
                    why: "the unit shades the water of a sprinkler, or its air keeps smoke from a detector",
                    remedy: "move the unit, or have the fire contractor move the head".into(),
                    source,
                }
                .compared(metres(free), metres(need)),
            );
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::rig::{hung, passes_and_fails};
    use super::*;

    fn with(kind: &str, y: f64, more: &str) -> String {
        hung("D1", [5.0, 4.0, 3.3])
            + &format!(
                "[[obstacle]]\nkind = \"{kind}\"\nat = [\"5 m\", \"{y} m\", \"3.3 m\"]\nlength = \"0.1 m\"\nwidth = \"0.1 m\"\nheight = \"0.1 m\"\n{more}"
            )
    }

    #[test]
    fn heads_keep_their_distance() {
        // Side of the cabinet at 4.3302 m, half a head 0.05 m.
        let f = passes_and_fails(
            check,
            &with("sprinkler", 4.838, ""),
            &with("sprinkler", 4.837, ""),
        );
        assert_eq!(f.severity, Severity::Stop);
        passes_and_fails(
            check,
            &with("detector", 5.295, ""),
            &with("detector", 5.294, ""),
        );
        let own = "keep_clear = \"1.5 m\"\n";
        passes_and_fails(
            check,
            &with("sprinkler", 5.881, own),
            &with("sprinkler", 5.880, own),
        );
    }
}
