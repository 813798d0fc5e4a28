//! A period has no humidity target to set.

use equipment::Catalog;
use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::{Period, Room};

use crate::control::Control;
use crate::finding::{Said, when};

pub(super) fn check(room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    [Period::LightsOn, Period::LightsOff]
        .into_iter()
        .filter(|p| 0.0 < room.period_length_s(*p))
        .filter(|p| control.settings.iter().all(|s| s.period != *p))
        .map(|p| {
            Said {
                check: "no_setpoint",
                severity: Severity::Fix,
                step: Step::Control,
                place: Place::new("control"),
                what: Text::from(format!("no humidity is to be held {}", when(room, p))),
                why: "the person at the control has nothing to enter",
                remedy: "give a humidity in the target of this period".into(),
                source: Source::assumed("setpoints follow the targets"),
            }
            .finding()
        })
        .collect()
}
