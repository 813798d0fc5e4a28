//! A unit blows onto the crop.

use quantity::{Finding, Severity, Source, Step, Text};

use super::{blown_on, in_room, place, speed};
use crate::finding::Said;
use crate::placement::scene::{Scene, ThingKind};

/// Speed that is let pass \[m/s\].
const LET_PASS_M_PER_S: f64 = 1.0;
const LIMIT: Source =
    Source::assumed("leaves are moved enough at 0.3 to 0.7 m/s; above 1 m/s dry air harms them");

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (_, u) in in_room(scene) {
        let Some((thing, found)) = blown_on(scene, u, ThingKind::Canopy, LET_PASS_M_PER_S) else {
            continue;
        };
        all.push(
            Said {
                check: "discharge_on_canopy",
                severity: Severity::Fix,
                step: Step::Placement,
                place: place(u),
                what: Text::from(format!("it blows on {} with ", thing.name)).value(speed(found)),
                why: "leaves in a dry jet close or scorch, and stems are bent",
                remedy: "turn it along an aisle or above the crop, or hang it higher".into(),
                source: LIMIT,
            }
            .compared(speed(found), speed(LET_PASS_M_PER_S)),
        );
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::rig::{hung, passes_and_fails};
    use super::*;

    #[test]
    fn the_crop_lies_under_the_jet() {
        let with = |top: f64| {
            hung("D1", [2.0, 4.0, 3.3])
                + &format!(
                    "[[bench]]\nat = [\"7 m\", \"4 m\", \"0.8 m\"]\nlength = \"4 m\"\nwidth = \"2 m\"\ncanopy = \"{} m\"\n",
                    top - 0.8
                )
        };
        // Over the bench the jet is slowest where it is widest; nearest, 2.4158 m
        // on, it is 2.367 m/s wide 0.242 m: 1 m/s at 1.115 of it. Further, 4.5 m
        // on: 1.271 m/s, 1 m/s at 0.588 of 0.45 m = 0.265 m; 3.3 m: 1.733 m/s,
        // 0.891 of 0.33 m = 0.294 m: the most is about 0.295 m under the axis.
        let f = passes_and_fails(check, &with(2.98), &with(3.02));
        assert_eq!(f.severity, Severity::Fix);
    }
}
