//! A unit blows into another's inlet.

use quantity::{Finding, Source, Step, Text};

use super::{INLET_LET_PASS_M_PER_S, at_inlet, in_room, place, speed};
use crate::finding::Said;
use crate::placement::scene::Scene;

const LIMIT: Source = Source::assumed("jets are told from room air down to about 0.25 m/s");

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for (i, u) in in_room(scene) {
        for (j, other) in scene.units.iter().enumerate() {
            if i == j {
                continue;
            }
            let found = scene.speed_m_per_s(&other.jet, u.inlet_m);
            let Some(severity) = at_inlet(found) else {
                continue;
            };
            all.push(
                Said {
                    check: "discharge_into_inlet",
                    severity,
                    step: Step::Placement,
                    place: place(u),
                    what: Text::from(format!("{} blows into its inlet with ", other.unit.tag))
                        .value(speed(found)),
                    why: "air that is dry already is dried again: the second unit does little",
                    remedy: "turn the units so that none blows at another's inlet".into(),
                    source: LIMIT,
                }
                .compared(speed(found), speed(INLET_LET_PASS_M_PER_S)),
            );
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use quantity::Severity;

    use super::super::rig::{found, hung, passes_and_fails};
    use super::*;

    #[test]
    fn units_in_line_blow_into_each_other() {
        let two = |aside: f64| hung("D1", [1.5, 4.0, 3.3]) + &hung("D2", [6.0, 4.0 + aside, 3.3]);
        let middle = found(check, &two(0.0));
        assert_eq!(middle.len(), 1);
        assert_eq!(middle[0].severity, Severity::Stop);
        assert_eq!(middle[0].place.0, "D2");
        // 0.38889 m³/s from 0.14760 m²: 2.6347 m/s; 3.2816 m on it is 1.7428 m/s,
        // and 0.25 m/s lies √(ln(1.7428 / 0.25) / ln 2) = 1.673 half-widths of
        // 0.3282 m beside the axis: 0.549 m.
        let f = passes_and_fails(check, &two(0.56), &two(0.54));
        assert_eq!(f.severity, Severity::Fix);
    }
}
