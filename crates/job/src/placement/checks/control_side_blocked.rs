//! The side of a unit's controls cannot be got at.

use quantity::{Finding, Severity, Source, Step, Text};

use super::{in_room, metres, place};
use crate::finding::Said;
use crate::placement::scene::Scene;

/// Level service space at the control side \[m\]: 30 in.
const SERVICE_M: f64 = 0.762;
const SERVICE: Source = Source::memory(
    "International Mechanical Code: level service space 30 in by 30 in at the control side",
    "306.1, not read",
);

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (i, u) in in_room(scene) {
        let face = u.model.body.panel;
        let (free, by) = scene.free_depth_m(i, face, SERVICE_M);
        if SERVICE_M <= free + 1e-6 {
            continue;
        }
        all.push(
            Said {
                check: "control_side_blocked",
                severity: Severity::Fix,
                step: Step::Placement,
                place: place(u),
                what: Text::from(format!("{by} leaves "))
                    .value(metres(free))
                    .words(format!(" before the electrical panel at the {} of ", face.word()))
                    .value(metres(SERVICE_M)),
                why: "nobody can measure or mend there safely",
                remedy: "move or turn the unit; ask the authority having jurisdiction for limited access over ceilings".into(),
                source: SERVICE,
            }
            .compared(metres(free), metres(SERVICE_M)),
        );
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::rig::{hung, passes_and_fails};
    use super::*;

    #[test]
    fn thirty_inches_are_kept() {
        // Panel at the left, to +y: 8 − 0.762 − 0.3302 = 6.9078 m.
        let at = |y: f64| hung("D1", [5.0, y, 3.3]);
        let f = passes_and_fails(check, &at(6.907), &at(6.91));
        assert_eq!(f.severity, Severity::Fix);
    }
}
