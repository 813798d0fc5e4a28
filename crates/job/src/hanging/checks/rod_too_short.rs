//! A rod is too short for its isolator and nuts.
//!
//! Remedy: hang the unit lower, or do without isolators in the rods.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::hanging::{Hanging, HangingRod};

/// Rod that must stay free beside the isolator, for nuts and levelling \[m\].
///
/// **Assumed**: two pairs of nuts and two turns of play at either end.
const FREE_M: f64 = 0.05;

pub(super) fn check(_room: &Room, hanging: &Hanging) -> Vec<Finding> {
    hanging
        .units
        .iter()
        .filter_map(|unit| {
            let rod = unit
                .rods
                .iter()
                .min_by(|a, b| a.clear_m().total_cmp(&b.clear_m()))?;
            let isolator_m = rod.hanger.map_or(0.0, |h| h.height_m);
            let need_m = isolator_m + FREE_M;
            (rod.clear_m() < need_m).then(|| said(rod, need_m, isolator_m))
        })
        .collect()
}

fn said(rod: &HangingRod, need_m: f64, isolator_m: f64) -> Finding {
    let length = |m: f64| Value::new(m, Dim::Length);
    let clear_m = rod.clear_m();
    let (severity, what) = if clear_m <= 0.0 {
        (
            Severity::Stop,
            Text::from("its hanging points lie ")
                .value(length(-clear_m))
                .words(" above what would carry them"),
        )
    } else {
        (
            Severity::Fix,
            Text::from("a rod has a free length of ")
                .value(length(clear_m))
                .words(", its isolator and nuts take ")
                .value(length(need_m)),
        )
    };
    let remedy = if clear_m <= 0.0 || isolator_m <= 0.0 {
        "hang the unit lower"
    } else {
        "hang the unit lower, or put isolators under the unit and say isolators = \"none\""
    };
    Said {
        check: "rod_too_short",
        severity,
        step: Step::Hanging,
        place: Place::new(rod.tag.clone()),
        what,
        why: "without free thread the unit cannot be levelled, and an isolator that is pressed between nuts isolates nothing",
        remedy: remedy.into(),
        source: Source::assumed("length of the isolator, and room for nuts and levelling"),
    }
    .compared(length(clear_m), length(need_m))
}

#[cfg(test)]
mod tests {
    use super::super::bench::hung;
    use super::*;
    use crate::common::one;

    #[test]
    fn a_rod_must_hold_its_isolator_and_nuts() {
        let (room, mut hanging) = hung();
        assert!(check(&room, &hanging).is_empty());
        let foot = hanging.units[0].rods[0].foot_m[2];
        let mut with = |clear: f64| {
            hanging.units[0].rods[0].top_m = foot + clear;
            check(&room, &hanging)
        };
        assert!(with(0.1301).is_empty());
        let (finding, measured, limit) = one(with(0.1299));
        assert_eq!(finding.severity, Severity::Fix);
        assert!((measured - 0.1299).abs() < 1e-9 && (limit - 0.13).abs() < 1e-9);
        let (finding, ..) = one(with(-0.2));
        assert_eq!(finding.severity, Severity::Stop);
    }
}
