//! Room files say different things of one panel.

use quantity::{Dim, Finding, Place, Source, Value};
use room::Panel;

use super::super::panels::surveyed;
use super::super::{InRoom, SharedPanel};
use super::told::differences;

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
        let told: Vec<_> = rooms
            .iter()
            .filter(|r| panel.rooms.contains(&r.room.name.value))
            .filter_map(|r| Some((r.room.name.value.as_str(), said(surveyed(r, name)?))))
            .collect();
        found.extend(differences(&told).into_iter().map(|differs| {
            differs.finding(
                "panel_told_differently",
                Place::new(format!("panel {name}")),
                "one panel has one plate; what was added up may be wrong",
                "read the plate and say the same in all room files, or give two panels two names",
                Source::assumed("panels of one name in one job are one panel"),
            )
        }));
    }
    found
}
