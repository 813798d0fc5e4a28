//! A unit breathes too much of what units have dried.

use quantity::{Dim, Finding, Severity, Source, Step, Text, Value};

use super::{in_room, place};
use crate::finding::Said;
use crate::placement::scene::Scene;
use crate::placement::shares::{UNCERTAIN_BY, share};

/// Share that is let pass.
const LET_PASS: f64 = 0.1;
const LIMIT: Source = Source::assumed("above a tenth the loss is worth a better place");

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let fraction = |x: f64| Value::new(x, Dim::Fraction).digits(2);
    let mut all = Vec::new();
    for (i, u) in in_room(scene) {
        let found = share(scene, i).sum();
        if found <= LET_PASS {
            continue;
        }
        all.push(
            Said {
                check: "breathes_again",
                severity: Severity::Fix,
                step: Step::Placement,
                place: place(u),
                what: Text::from("about ")
                    .value(fraction(found))
                    .words(" of its inlet air was dried by a unit before (between ")
                    .value(fraction(found / UNCERTAIN_BY))
                    .words(" and ")
                    .value(fraction((found * UNCERTAIN_BY).min(1.0)))
                    .words(")"),
                why: "it removes less by about that share",
                remedy: "give the discharge a longer free way, and turn it from inlets".into(),
                source: LIMIT,
            }
            .compared(fraction(found), fraction(LET_PASS)),
        );
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::rig::{hung, passes_and_fails};
    use super::*;

    #[test]
    fn a_wall_close_ahead_sends_the_air_back() {
        // 0.5 × 1.13 × 5 × √0.14760 / (2 P) = 0.1 at P = 5.427 m; P is twice the
        // way to the wall, the cabinet and 0.05 m: 2.104 m to the wall.
        let to_wall = |m: f64| hung("D1", [10.0 - m - 0.5842, 4.0, 3.3]);
        let f = passes_and_fails(check, &to_wall(2.12), &to_wall(2.09));
        assert_eq!(f.severity, Severity::Fix);
    }
}
