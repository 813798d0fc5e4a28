//! A setpoint lies outside its target.

use equipment::Catalog;
use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use crate::control::Control;
use crate::finding::{Said, when};

/// Rounding of a band's edge.
const TOUCH: f64 = 1e-9;

pub(super) fn check(room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    let mut findings = Vec::new();
    for s in &control.settings {
        let Some([low, high]) = s.band else { continue };
        // Where no step lies inside, that is told with the steps.
        if s.moved.is_some() && s.inside.is_none() {
            continue;
        }
        let limit = if s.setpoint.si < low.si - TOUCH {
            low
        } else if high.si + TOUCH < s.setpoint.si {
            high
        } else {
            continue;
        };
        findings.push(
            Said {
                check: "setpoint_beyond_band",
                severity: Severity::Fix,
                step: Step::Control,
                place: Place::new("control"),
                what: Text::from(format!("the setpoint {} is ", when(room, s.period)))
                    .value(s.setpoint)
                    .words("; the target ends at ")
                    .value(limit),
                why: "the control would hold air that is not wanted",
                remedy: "set the control inside the target, or mend the target".into(),
                source: Source::assumed("setpoints follow the targets"),
            }
            .compared(s.setpoint, limit),
        );
    }
    findings
}
