//! A pump would have to lift the water through the ceiling.

use quantity::{Finding, Severity, Source, Step, Text};

use super::{Judged, length};
use crate::drain::{highest_lift_m, place_of};
use crate::finding::Said;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    let limit_m = highest_lift_m(judged.room.geometry.height_m.value);
    let mut found = Vec::new();
    for unit in &judged.drain.units {
        let Some(pump) = unit.way.as_ref().and_then(|w| w.pump.as_ref()) else {
            continue;
        };
        if pump.to_m <= limit_m {
            continue;
        }
        found.push(
            Said {
                check: "no_room_to_rise",
                severity: Severity::Stop,
                step: Step::Drain,
                place: place_of(&unit.tag),
                what: Text::from("to fall to its drain the water would have to start at ")
                    .value(length(pump.to_m))
                    .words("; a pipe fits under the ceiling up to ")
                    .value(length(limit_m)),
                why: "a line that cannot fall holds water, and its pump runs against it",
                remedy:
                    "choose a nearer or lower drain, or have a pressed line to the drain designed"
                        .into(),
                source: Source::assumed("the pipe's top keeps clear of the ceiling"),
            }
            .compared(length(pump.to_m), length(limit_m)),
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
    fn the_lift_may_reach_just_under_the_ceiling() {
        let rim = |z: f64| bench(&[UNIT, &DRAIN.replace("\"0 m\"", &format!("\"{z} m\""))]);
        let probe = rim(3.6);
        let over = probe.drain.units[0]
            .way
            .as_ref()
            .unwrap()
            .pump
            .unwrap()
            .to_m
            - 3.6;
        let limit = highest_lift_m(4.0);
        assert!(rim(limit - over - 0.001).found(check).is_empty());
        let (finding, measured, found_limit) = one(rim(limit - over + 0.001).found(check));
        assert_eq!(finding.severity, Severity::Stop);
        assert!((measured - found_limit - 0.001).abs() < 1e-6);
    }
}
