//! A clearance of the record is not kept.

use equipment::FACES;
use quantity::{Finding, Severity, Source, Step, Text};

use super::{in_room, metres, place};
use crate::finding::Said;
use crate::geometry::clearance_index;
use crate::placement::scene::Scene;

const RECORD: Source = Source::assumed("clearances of the machine record");
const PRACTICE: Source = Source::common_practice(
    "a side that air passes by keeps 24 in free where the record is silent",
);
/// Before a side that air passes by, where the record is silent \[m\]: 24 in.
const AIR_SIDE_M: f64 = 0.609_6;

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (i, u) in in_room(scene) {
        let body = &u.model.body;
        for (face, word) in FACES {
            let own = body.clearance_m[clearance_index(face)];
            let ducted = |f| {
                let side = if f == body.inlet {
                    room::DuctSide::Inlet
                } else {
                    room::DuctSide::Outlet
                };
                let mut ducts = scene.room.ducts.iter();
                ducts.any(|d| d.unit.value == u.unit.tag && d.side.value == side)
            };
            let air = (face == body.inlet || face == body.outlet) && !ducted(face);
            let (need, source) = if own == 0.0 && air {
                (AIR_SIDE_M, PRACTICE)
            } else {
                (own, RECORD)
            };
            let (free, by) = scene.free_depth_m(i, face, need);
            if need <= free + 1e-6 {
                continue;
            }
            all.push(
                Said {
                    check: "clearance_blocked",
                    severity: Severity::Fix,
                    step: Step::Placement,
                    place: place(u),
                    what: Text::from(format!("{by} leaves "))
                        .value(metres(free))
                        .words(format!(" at the {word}, "))
                        .value(metres(need))
                        .words(" are needed"),
                    why: "without it air, access or service is short",
                    remedy: "move or turn the unit, or move what is in the way".into(),
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

    #[test]
    fn each_blocker_is_named() {
        // Front 60 in = 1.524 m: 10 − 1.524 − 0.5842 = 7.8918 m.
        let at = |x: f64| hung("D1", [x, 4.0, 3.3]);
        let f = passes_and_fails(check, &at(7.89), &at(7.90));
        assert_eq!(f.severity, Severity::Fix);
        // A luminaire, a bench, a duct under it: bottom 8 in = 0.2032 m under 3.0206 m.
        let under = |kind: &str, rest: &str, z: f64| {
            hung("D1", [4.0, 4.0, 3.3])
                + &format!("[[{kind}]]\nlength = \"1 m\"\nwidth = \"1 m\"\n{rest}")
                    .replace("Z", &z.to_string())
        };
        let lamp = "height = \"0.2 m\"\nat = [[\"4 m\", \"4 m\", \"Z m\"]]\n";
        passes_and_fails(
            check,
            &under("luminaire", lamp, 2.717),
            &under("luminaire", lamp, 2.72),
        );
        let duct = "kind = \"duct\"\nheight = \"0.2 m\"\nat = [\"4 m\", \"4 m\", \"Z m\"]\n";
        passes_and_fails(
            check,
            &under("obstacle", duct, 2.717),
            &under("obstacle", duct, 2.72),
        );
        let bench = "at = [\"4 m\", \"4 m\", \"Z m\"]\ncanopy = \"0 m\"\n";
        passes_and_fails(
            check,
            &under("bench", bench, 2.817),
            &under("bench", bench, 2.82),
        );
        // Another unit at the right, 6 in = 0.1524 m: 0.6604 + 0.1524.
        let two = |y: f64| hung("D1", [4.0, 5.0, 3.3]) + &hung("D2", [4.0, 5.0 - y, 3.3]);
        // The left of D2 needs 36 in; only D1's own right is looked at here.
        let of = |y: f64| {
            let all = super::super::rig::found(check, &two(y));
            all.iter().filter(|f| f.place.0 == "D1").count()
        };
        assert_eq!((of(0.813), of(0.812)), (0, 1));
    }
}
