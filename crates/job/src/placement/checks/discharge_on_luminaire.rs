//! A unit blows onto a luminaire.

use quantity::{Finding, Severity, Source, Step, Text};

use super::{blown_on, in_room, place, speed};
use crate::finding::Said;
use crate::placement::scene::{Scene, ThingKind};

/// Speed that is let pass \[m/s\].
const LET_PASS_M_PER_S: f64 = 1.0;
const LIMIT: Source = Source::assumed("a luminaire is made for still or slow room air");

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (_, u) in in_room(scene) {
        let Some((thing, found)) = blown_on(scene, u, ThingKind::Luminaire, LET_PASS_M_PER_S)
        else {
            continue;
        };
        all.push(
            Said {
                check: "discharge_on_luminaire",
                severity: Severity::Fix,
                step: Step::Placement,
                place: place(u),
                what: Text::from(format!("it blows on {} with ", thing.name)).value(speed(found)),
                why: "a warm jet on a luminaire heats its driver, and the luminaire breaks the jet",
                remedy: "hang the unit clear of the luminaires, or turn it".into(),
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
    fn the_luminaire_hangs_under_the_jet() {
        let with = |z: f64| {
            hung("D1", [2.0, 4.0, 3.3])
                + &format!(
                    "[[luminaire]]\nat = [[\"6.0842 m\", \"4 m\", \"{z} m\"]]\nlength = \"1 m\"\nwidth = \"1 m\"\nheight = \"0.1 m\"\n"
                )
        };
        // 3.0 to 4.0 m on: 1 m/s lies at most 0.295 m under the axis.
        let f = passes_and_fails(check, &with(2.94), &with(2.97));
        assert_eq!(f.severity, Severity::Fix);
    }
}
