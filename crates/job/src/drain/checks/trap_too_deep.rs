//! The trap reaches into the floor, or into heads.

use quantity::{Finding, Severity, Source, Step, Text};
use room::Mount;

use super::{Judged, length};
use crate::drain::place_of;
use crate::finding::Said;
use crate::placement::ThingKind;

/// Least space under a trap of a unit on a stand \[m\]. **Assumed**: to build
/// and clean it.
const OVER_FLOOR_M: f64 = 0.02;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    for unit in &judged.drain.units {
        let Some(trap) = &unit.trap else { continue };
        if unit.mount == Mount::Outside {
            continue;
        }
        let bottom_m = unit.outlet_invert_m - trap.depth_m();
        // Aisles count where the trap hangs over them.
        let [x, y, _] = unit.outlet_m;
        let aisle = judged
            .drain
            .things
            .iter()
            .filter(|t| t.kind == ThingKind::Aisle)
            .filter(|t| {
                t.cuboid.low_m[0] <= x
                    && x <= t.cuboid.high_m[0]
                    && t.cuboid.low_m[1] <= y
                    && y <= t.cuboid.high_m[1]
            })
            .max_by(|a, b| a.cuboid.high_m[2].total_cmp(&b.cuboid.high_m[2]));
        let (limit_m, severity, what, remedy, source) = match aisle {
            Some(aisle) if unit.mount != Mount::Stand => (
                aisle.cuboid.high_m[2],
                Severity::Fix,
                format!(", over {}, which keeps free up to ", aisle.name),
                "hang the unit higher, or turn its outlet away from the aisle",
                Source::memory(
                    "International Building Code 1003.3, protruding objects: 80 in",
                    "not read",
                ),
            ),
            _ => (
                OVER_FLOOR_M,
                Severity::Stop,
                "; over the floor it needs ".to_owned(),
                "raise the stand, or the unit, by what is missing",
                Source::assumed("the least space to build and clean a trap"),
            ),
        };
        if limit_m <= bottom_m + 1e-6 {
            continue;
        }
        found.push(
            Said {
                check: "trap_too_deep",
                severity,
                step: Step::Drain,
                place: place_of(&unit.tag),
                what: Text::from("the trap, ")
                    .value(length(trap.depth_m()))
                    .words(" deep, reaches down to ")
                    .value(length(bottom_m))
                    .words(what)
                    .value(length(limit_m)),
                why: "a trap that is cut short holds water in the pan or blows its seal",
                remedy: remedy.into(),
                source,
            }
            .compared(length(bottom_m), length(limit_m)),
        );
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::bench::{DRAIN, UNIT, bench};
    use super::*;
    use crate::common::one;

    #[test]
    fn a_trap_just_over_floor_and_heads_passes() {
        let base = bench(&[UNIT, DRAIN]);
        let unit = &base.drain.units[0];
        let below = 3.0 - (unit.outlet_invert_m - unit.trap.unwrap().depth_m());
        let at = |z: f64, more: &str| {
            bench(&[
                &UNIT.replace("\"3 m\"]", &format!("\"{z} m\"]")),
                DRAIN,
                more,
            ])
        };
        // Lower than a cabinet can stand; only the trap's depth is judged here.
        assert!(at(below + 0.021, "").found(check).is_empty());
        let (finding, ..) = one(at(below + 0.019, "").found(check));
        assert_eq!(finding.severity, Severity::Stop);
        let aisle = "[[aisle]]\nname = \"A\"\nat = [\"3 m\", \"4 m\", \"0 m\"]\nlength = \"2 m\"\nwidth = \"2 m\"\nheadroom = \"2.03 m\"\n";
        assert!(at(below + 2.031, aisle).found(check).is_empty());
        let (finding, measured, limit) = one(at(below + 2.029, aisle).found(check));
        assert_eq!(finding.severity, Severity::Fix);
        assert!((limit - 2.03).abs() < 1e-9 && (limit - measured - 0.001).abs() < 1e-6);
    }
}
