//! Room files say different things of one panel.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Panel;

use super::super::panels::surveyed;
use super::super::{InRoom, SharedPanel};
use crate::finding::Said;

/// What of a panel is compared: words and value.
fn said(panel: &Panel) -> [(&'static str, Option<Value>); 4] {
    let given =
        |g: &Option<quantity::Given<f64>>, dim| g.as_ref().map(|g| Value::new(g.value, dim));
    [
        ("voltage", given(&panel.voltage_v, Dim::Voltage)),
        (
            "phases",
            panel
                .phases
                .as_ref()
                .map(|g| Value::new(f64::from(g.value), Dim::Count)),
        ),
        ("main device", given(&panel.main_a, Dim::Current)),
        ("spare current", given(&panel.spare_current_a, Dim::Current)),
    ]
}

pub(super) fn check(rooms: &[InRoom<'_>], shared: &[SharedPanel]) -> Vec<Finding> {
    let mut found = Vec::new();
    for panel in shared {
        let name = panel.schedule.name.as_str();
        let told: Vec<(&str, &Panel)> = rooms
            .iter()
            .filter(|r| panel.rooms.contains(&r.room.name.value))
            .filter_map(|r| Some((r.room.name.value.as_str(), surveyed(r, name)?)))
            .collect();
        let Some((first_room, first)) = told.first() else {
            continue;
        };
        for (room, other) in &told[1..] {
            for ((what, a), (_, b)) in said(first).into_iter().zip(said(other)) {
                let (Some(a), Some(b)) = (a, b) else { continue };
                if (a.si - b.si).abs() <= 1e-6 * a.si.abs() {
                    continue;
                }
                found.push(
                    Said {
                        check: "panel_told_differently",
                        severity: Severity::Fix,
                        step: Step::Power,
                        place: Place::new(format!("panel {name}")),
                        what: Text::from(format!("its {what} is "))
                            .value(a)
                            .words(format!(" by {first_room} and "))
                            .value(b)
                            .words(format!(" by {room}")),
                        why: "one panel has one plate; what was added up may be wrong",
                        remedy: "read the plate and say the same in all room files, or give two panels two names".into(),
                        source: Source::assumed("panels of one name in one job are one panel"),
                    }
                    .compared(a, b),
                );
            }
        }
    }
    found
}
