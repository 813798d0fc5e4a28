//! Panels that feed several rooms.

use quantity::{Dim, Equation, Finding, Input, Source, Value, Working};
use room::{Circuit, Panel};

use super::{InRoom, in_room, named_by_several};
use crate::power::restart::Starter;
use crate::power::schedule::{PanelSchedule, UnitLoad, schedule};
use crate::power::{Power, Restart, panel_findings, restart_of, starters_of};

/// A panel with the units and other loads of all rooms on it.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedPanel {
    /// Names of the rooms whose units it feeds.
    pub rooms: Vec<String>,
    /// The whole schedule; a unit's row is named by room and tag.
    pub schedule: PanelSchedule,
    /// What happens when the supply comes back to all of them.
    pub restart: Restart,
    /// Fullest leg of each room alone, other loads among them \[A\].
    pub alone_a: Vec<f64>,
}

/// Panels of one name that feed units of several rooms. What the panel itself
/// is, the first of the rooms says.
pub(super) fn panels(rooms: &[InRoom<'_>]) -> Vec<SharedPanel> {
    named_by_several(rooms, |r| {
        r.power.panels.iter().map(|p| p.name.as_str()).collect()
    })
    .into_iter()
    .filter_map(|(name, on_it)| shared_panel(name, &on_it))
    .collect()
}

fn shared_panel(name: &str, on_it: &[InRoom<'_>]) -> Option<SharedPanel> {
    let first = on_it.first()?;
    let panel = surveyed(first, name)?;
    let supply = made(first, name)?.supply;
    // A load that several room files list under one name is one load.
    let mut circuits: Vec<&Circuit> = Vec::new();
    let mut units = Vec::new();
    let mut starters: Vec<Starter> = Vec::new();
    let mut apart_s = 0.0_f64;
    for in_it in on_it {
        for circuit in &in_it.room.circuits {
            let known = circuits.iter().any(|c| c.name.value == circuit.name.value);
            if circuit.panel.value == name && !known {
                circuits.push(circuit);
            }
        }
        for branch in &in_it.power.branches {
            if branch.panel.as_deref() == Some(name) {
                units.push(UnitLoad {
                    tag: in_room(in_it.room, &branch.tag),
                    poles: branch.hookup.poles,
                    full_load_a: branch.plate.full_load_a,
                    device_a: branch.device_a,
                });
            }
        }
        let (of_room, room_apart_s) = starters_of(in_it.room, in_it.power);
        apart_s = apart_s.max(room_apart_s);
        starters.extend(of_room.into_iter().map(|s| Starter {
            tag: in_room(in_it.room, &s.tag),
            ..s
        }));
    }
    let schedule = schedule(panel, supply, &circuits, &units);
    // Legs are those of the whole schedule.
    for starter in &mut starters {
        if let Some(row) = schedule.row(&starter.tag) {
            starter.legs.clone_from(&row.legs);
        }
    }
    let restart = restart_of(&schedule, &starters, apart_s);
    Some(SharedPanel {
        rooms: on_it.iter().map(|r| r.room.name.value.clone()).collect(),
        alone_a: on_it
            .iter()
            .filter_map(|r| Some(made(r, name)?.fullest_a()))
            .collect(),
        schedule,
        restart,
    })
}

/// The panel as the room's file has it.
pub(super) fn surveyed<'a>(in_it: &InRoom<'a>, name: &str) -> Option<&'a Panel> {
    in_it.room.panels.iter().find(|p| p.name.value == name)
}

fn made<'a>(in_it: &InRoom<'a>, name: &str) -> Option<&'a PanelSchedule> {
    in_it.power.panels.iter().find(|p| p.name == name)
}

/// The checks of a panel, on the panel with all its rooms.
pub(super) fn findings(rooms: &[InRoom<'_>], panels: &[SharedPanel]) -> Vec<Finding> {
    let Some(first) = rooms.first() else {
        return Vec::new();
    };
    let whole = Power {
        panels: panels.iter().map(|p| p.schedule.clone()).collect(),
        restarts: panels.iter().map(|p| p.restart.clone()).collect(),
        ..Power::default()
    };
    panel_findings(first.room, &whole)
}

/// The fullest leg of a panel, by its rows.
pub(super) fn working(panel: &SharedPanel) -> Working {
    let amps = |a: f64| Value::new(a, Dim::Current);
    let rooms = panel.rooms.iter().zip(&panel.alone_a);
    Working {
        name: format!("{}, fullest leg with all rooms", panel.schedule.name).into(),
        symbol: "I".into(),
        equation: Equation::Procedure(
            "all units set on the legs anew, the fullest leg lowest; continuous loads and the largest motor of all at 125 %"
                .into(),
        ),
        inputs: rooms
            .enumerate()
            .map(|(i, (room, alone_a))| {
                Input::given(
                    format!("fullest leg with {room} alone"),
                    format!("I_{}", i + 1),
                    amps(*alone_a),
                    Source::measured("panel schedule", room.clone()),
                )
            })
            .collect(),
        result: amps(panel.schedule.fullest_a()),
        source: Source::memory(
            "NEC 215.2, 430.24: continuous loads and the largest motor at 125 %",
            "",
        ),
    }
}
