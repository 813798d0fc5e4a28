//! Units start or stop outside the target.

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
        let inside = |x: f64| low.si - TOUCH <= x && x <= high.si + TOUCH;
        // What to set is told with the step that is missing.
        if !inside(s.setpoint.si) || s.moved.is_some() {
            continue;
        }
        let remedy = match s.inside {
            Some(at) => Text::from("narrow the deadband, or set ").value(at),
            None => "narrow the deadband, or widen the target".into(),
        };
        for (does, at) in [("start", s.on_at), ("stop", s.off_at)] {
            if inside(at.si) {
                continue;
            }
            let limit = if at.si < low.si { low } else { high };
            findings.push(
                Said {
                    check: "deadband_leaves_band",
                    severity: Severity::Fix,
                    step: Step::Control,
                    place: Place::new("control"),
                    what: Text::from(format!("units {does} {} at ", when(room, s.period)))
                        .value(at)
                        .words(", outside the target that ends at ")
                        .value(limit),
                    why: "the air leaves its target before the control answers",
                    remedy: remedy.clone(),
                    source: Source::assumed("switching points lie inside the target"),
                }
                .compared(at, limit),
            );
        }
    }
    findings
}
