//! A unit over crop or luminaires whose overflow is not caught.

use equipment::Role;
use quantity::{Finding, Severity, Source, Step, Text};

use super::{in_room, place};
use crate::finding::Said;
use crate::geometry::Cuboid;
use crate::placement::scene::{Scene, ThingKind};

const OVERFLOW: Source = Source::published(
    "International Mechanical Code 307.2.3 and Plumbing Code 314.2.3, as adopted",
    "pan with its own drain, second drain, or a water-level switch that stops the unit, where damage could result",
);

fn above(cabinet: &Cuboid, under: &Cuboid) -> bool {
    (0..2).all(|i| cabinet.low_m[i] < under.high_m[i] && under.low_m[i] < cabinet.high_m[i])
        && under.low_m[2] < cabinet.low_m[2]
}

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (_, u) in in_room(scene) {
        let mut things = scene.fixed.things.iter();
        let Some(thing) = things.find(|t| {
            matches!(
                t.kind,
                ThingKind::Canopy | ThingKind::Luminaire | ThingKind::Bench
            ) && above(&u.cabinet, &t.cuboid)
        }) else {
            continue;
        };
        let terminals = &u.model.control.terminals;
        let switch = terminals.iter().any(|t| t.role == Some(Role::FloatSwitch));
        let (severity, remedy) = if switch {
            (
                Severity::Note,
                "wire a float switch to the unit's float-switch terminals so that it stops the unit, or hang a pan with its own drain under it",
            )
        } else {
            (
                Severity::Fix,
                "hang a pan with its own drain under the unit, larger than it on all sides, or move it over an aisle: the record names no float-switch terminals",
            )
        };
        all.push(
            Said {
                check: "no_overflow_protection",
                severity,
                step: Step::Placement,
                place: place(u),
                what: Text::from(format!("it hangs over {}", thing.name)),
                why: "a blocked drain lets its water fall on crop, lamps or panels",
                remedy: remedy.into(),
                source: OVERFLOW,
            }
            .finding(),
        );
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::rig::{passes_and_fails, unit};
    use super::*;

    #[test]
    fn crop_below_is_protected() {
        let bench = "[[bench]]\nat = [\"5 m\", \"2 m\", \"0.8 m\"]\nlength = \"8 m\"\nwidth = \"2 m\"\ncanopy = \"1 m\"\n";
        // The bench ends at y = 3; half of 0.6604 m.
        let at = |y: f64| unit("D1", "generic-150", [5.0, y, 3.3], "+x") + bench;
        let f = passes_and_fails(check, &at(3.3303), &at(3.32));
        assert_eq!(f.severity, Severity::Note, "its record has a float switch");
        let bare = unit("D1", "generic-30", [5.0, 3.0, 3.3], "+x") + bench;
        let f = super::super::rig::found(check, &bare);
        assert_eq!(f[0].severity, Severity::Fix);
    }
}
