//! A unit stands in the place of a thing or of another unit.

use quantity::{Finding, Severity, Source, Step, Text};

use super::{in_room, metres, place};
use crate::finding::Said;
use crate::geometry::Cuboid;
use crate::placement::scene::Scene;

/// How far two boxes reach into each other, the least way out \[m\].
fn depth_m(a: &Cuboid, b: &Cuboid) -> f64 {
    (0..3)
        .map(|i| (a.high_m[i] - b.low_m[i]).min(b.high_m[i] - a.low_m[i]))
        .fold(f64::INFINITY, f64::min)
}

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (i, u) in in_room(scene) {
        let mut say = |name: &str, cuboid: &Cuboid| {
            if !u.cabinet.overlaps(cuboid) {
                return;
            }
            let deep = metres(depth_m(&u.cabinet, cuboid));
            let said = Said {
                check: "overlaps",
                severity: Severity::Stop,
                step: Step::Placement,
                place: place(u),
                what: Text::from(format!("the cabinet and {name} reach "))
                    .value(deep)
                    .words(" into each other"),
                why: "two things cannot be in one place",
                remedy: "move the unit clear".into(),
                source: Source::measured("survey", "positions and sizes"),
            };
            all.push(said.compared(deep, metres(0.0)));
        };
        for thing in &scene.fixed.things {
            say(&thing.name, &thing.cuboid);
        }
        for other in scene.units.iter().skip(i + 1).filter(|o| o.in_room()) {
            say(&other.unit.tag, &other.cabinet);
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::rig::{hung, passes_and_fails};
    use super::*;

    #[test]
    fn units_side_by_side_may_touch() {
        // 0.6604 m wide.
        let two = |y: f64| hung("D1", [5.0, 4.0, 3.3]) + &hung("D2", [5.0, y, 3.3]);
        let f = passes_and_fails(check, &two(4.6604), &two(4.65));
        assert_eq!(f.severity, Severity::Stop);
    }

    #[test]
    fn a_beam_is_not_to_be_cut() {
        let with = |z: f64| {
            hung("D1", [5.0, 4.0, 3.3])
                + &format!(
                    "[[obstacle]]\nkind = \"beam\"\nat = [\"5 m\", \"4 m\", \"{z} m\"]\nlength = \"0.2 m\"\nwidth = \"8 m\"\nheight = \"0.2 m\"\n"
                )
        };
        // Top of the cabinet at 3.5794 m.
        let f = passes_and_fails(check, &with(3.68), &with(3.67));
        assert!(f.limit.unwrap().si == 0.0);
    }
}
