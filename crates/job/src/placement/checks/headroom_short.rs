//! A unit hangs too low over an aisle, or stands in it or before a door.

use quantity::{Finding, Severity, Source, Step, Text};

use super::{in_room, metres, place};
use crate::finding::Said;
use crate::placement::scene::Scene;

const HEADROOM: Source = Source::memory(
    "International Building Code, protruding objects in a way of egress: 80 in",
    "1003.3, not read; the survey's headroom stands above it",
);

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (_, u) in in_room(scene) {
        let mut ways = scene.fixed.ways.iter();
        let Some(way) = ways.find(|w| w.cuboid.overlaps(&u.cabinet)) else {
            continue;
        };
        let under = metres(u.cabinet.low_m[2]);
        let need = metres(way.cuboid.high_m[2]);
        all.push(
            Said {
                check: "headroom_short",
                severity: Severity::Stop,
                step: Step::Placement,
                place: place(u),
                what: Text::from("its underside is at ")
                    .value(under)
                    .words(format!(" over {}, which needs ", way.name))
                    .value(need),
                why: "people run their heads into it, and a way out is narrowed",
                remedy: "hang it higher, or move it off the way".into(),
                source: HEADROOM,
            }
            .compared(under, need),
        );
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::rig::{hung, passes_and_fails};
    use super::*;

    const AISLE: &str = "[[aisle]]\nat = [\"5 m\", \"4 m\", \"0 m\"]\nlength = \"10 m\"\nwidth = \"1 m\"\nheadroom = \"2.1 m\"\n";

    #[test]
    fn the_underside_clears_the_headroom() {
        let at = |z: f64| hung("D1", [5.0, 4.0, z]) + AISLE;
        // Half of 0.5588 m under the middle.
        let f = passes_and_fails(check, &at(2.3795), &at(2.37));
        assert_eq!(f.severity, Severity::Stop);
        assert_eq!(f.limit.unwrap().si, 2.1);
    }

    #[test]
    fn a_door_is_not_stood_before() {
        let door = "[[door]]\nwall = \"-x\"\nalong = \"3 m\"\nwidth = \"1 m\"\nheight = \"2 m\"\n";
        let at = |x: f64| hung("D1", [x, 3.5, 0.5]) + door;
        // The way is as deep as the door is wide; half the unit is 0.584 m.
        passes_and_fails(check, &at(1.59), &at(1.57));
    }
}
