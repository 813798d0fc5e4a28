//! What to buy for the drain.

use std::collections::BTreeMap;

use quantity::{Dim, Place, Step, Text, Value};
use room::{PipeMaterial, Room};

use super::{Drain, Overflow, network, place_of};
use crate::parts::Part;

/// Pipe bought over pipe laid.
const WASTE: f64 = 1.10;
/// Length to which a total of pipe is rounded up \[m\]. **Assumed**: half a
/// usual length.
const PIPE_STEP_M: f64 = 1.5;

pub(super) fn parts(room: &Room, drain: &Drain) -> Vec<Part> {
    let material = room.piping.material.value;
    let mut list = Vec::new();
    for (i, run) in drain.runs.iter().enumerate() {
        let place = Place::new(run.drain.clone());
        let mut by_size: BTreeMap<String, (f64, u32, f64)> = BTreeMap::new();
        for s in &run.segments {
            let name = size_name(s.size, material);
            let sum = by_size.entry(name).or_insert((0.0, 0, s.inside_m));
            sum.0 += s.length_m;
            sum.1 += s.supports;
        }
        for (size, (length_m, supports, _)) in &by_size {
            let bought = (WASTE * length_m / PIPE_STEP_M).ceil() * PIPE_STEP_M;
            list.push(part(
                "drain pipe, with 10 % waste",
                size.clone(),
                length(bought),
                &place,
            ));
            list.push(part("pipe support", size.clone(), count(*supports), &place));
            list.push(part(
                "pipe insulation, closed cell, with vapour barrier, 1/2 in thick",
                size.clone(),
                length(bought),
                &place,
            ));
        }
        let size = run
            .segments
            .iter()
            .find(|s| s.next.is_none())
            .map_or_else(String::new, |s| size_name(s.size, material));
        let turns = turns(run);
        list.push(part("elbow, long turn", size.clone(), count(turns), &place));
        let members = drain
            .units
            .iter()
            .filter(|u| u.way.as_ref().is_some_and(|w| w.run == i));
        let joints = members.clone().count().saturating_sub(1);
        if 0 < joints {
            list.push(part(
                "tee, for the joints of the common line",
                size.clone(),
                count(u32::try_from(joints).unwrap_or(u32::MAX)),
                &place,
            ));
        }
        list.push(part(
            "cleanout tee with plug, at changes of direction",
            size,
            count(turns.div_ceil(2).max(1)),
            &place,
        ));
    }
    for unit in &drain.units {
        let place = place_of(&unit.tag);
        let first = drain.path_of(unit).and_then(|(run, path)| {
            path.first()
                .map(|i| size_name(run.segments[*i].size, material))
        });
        let size = first.unwrap_or_else(|| "by the trap's drawing".into());
        list.push(part(
            "flexible connector, reinforced hose with two clamps, 8 in",
            size.clone(),
            count(1),
            &place,
        ));
        if unit.trap.is_some() {
            list.push(part(
                "trap built by its drawing: two tees, bend, two legs",
                size.clone(),
                count(1),
                &place,
            ));
            list.push(part(
                "cleanout plug, airtight, on the pan's side of the trap",
                size.clone(),
                count(1),
                &place,
            ));
        }
        if unit.vent.is_some() {
            list.push(part(
                "vent riser after the trap, open return bend",
                size,
                count(1),
                &place,
            ));
        }
        let switch = match &unit.overflow {
            Overflow::Terminal(mark) => format!("to terminal {mark}"),
            Overflow::NoTerminal => "in the control circuit, opens on high water".into(),
        };
        list.push(part("float switch in the pan", switch, count(1), &place));
        if let Some(pump) = unit.way.as_ref().and_then(|w| w.pump.as_ref()) {
            list.push(part(
                "condensate pump with check valve and high-level switch",
                "flow and head by the table of units",
                count(1),
                &place,
            ));
            list.push(part(
                "pump tube, with 10 % waste",
                pump.tube,
                length((WASTE * pump.length_m / 0.5).ceil() * 0.5),
                &place,
            ));
        }
    }
    list.retain(|p| p.amount.si > 0.0);
    list
}

/// Changes of direction of a line.
fn turns(run: &super::Run) -> u32 {
    let direction = |s: &network::Segment| {
        let (a, b) = (run.nodes[s.from].at_m, run.nodes[s.to].at_m);
        match s.part {
            network::Part::Drop => 2,
            _ if (b[0] - a[0]).abs() > (b[1] - a[1]).abs() => 0,
            _ => 1,
        }
    };
    let turned = run
        .segments
        .iter()
        .filter(|s| 1e-3 < s.length_m)
        .filter_map(|s| s.next.and_then(|n| run.segments.get(n)).map(|n| (s, n)))
        .filter(|(s, n)| direction(s) != direction(n))
        .count();
    u32::try_from(turned).unwrap_or(u32::MAX)
}

/// Size and material in trade words.
pub(super) fn size_name(size: Option<room::PipeSize>, material: PipeMaterial) -> String {
    let size = size.map_or("over 2 in", room::PipeSize::word);
    format!("{size}, {}", material_words(material))
}

const fn material_words(material: PipeMaterial) -> &'static str {
    match material {
        PipeMaterial::Pvc => "PVC schedule 40",
        PipeMaterial::Cpvc => "CPVC tube SDR 11",
        PipeMaterial::Pex => "PEX tube SDR 9",
        PipeMaterial::Copper => "copper tube type M",
        PipeMaterial::Steel => "galvanised steel schedule 40",
    }
}

fn part(
    what: &'static str,
    size: impl Into<std::borrow::Cow<'static, str>>,
    amount: Value,
    place: &Place,
) -> Part {
    Part {
        step: Step::Drain,
        what: what.into(),
        size: Text::new().words(size),
        amount,
        place: place.clone(),
    }
}

fn count(n: u32) -> Value {
    Value::new(f64::from(n), Dim::Count).digits(3)
}

fn length(m: f64) -> Value {
    Value::new(m, Dim::Length).digits(3)
}
