//! What to buy for the control wiring.

use std::collections::BTreeMap;

use quantity::{Dim, Place, Step, Text, Value};

use super::assign::ChosenBy;
use super::{CableUse, Control, DeviceKind};
use crate::parts::Part;

/// Waste on lengths of cable.
const WASTE: f64 = 1.1;

pub(super) fn parts(control: &Control) -> Vec<Part> {
    let mut parts = Vec::new();
    let count = |n: usize| Value::new(n as f64, Dim::Count);
    for s in &control.assignment.served {
        let origin = match s.by {
            ChosenBy::Survey => "from the room file",
            ChosenBy::Catalogue => "chosen, not surveyed",
        };
        parts.push(Part {
            step: Step::Control,
            what: "controller".into(),
            size: Text::from(format!("{}, {origin}", s.model)),
            amount: count(1),
            place: Place::new(s.controller.clone()),
        });
    }
    let mut lengths: BTreeMap<(&'static str, u32, u32), (f64, Vec<&str>)> = BTreeMap::new();
    for c in &control.cables {
        let entry = lengths.entry((c.of.words(), c.cores, c.gauge)).or_default();
        entry.0 += c.length_m;
        entry.1.push(&c.tag);
    }
    for ((words, cores, gauge), (length_m, tags)) in lengths {
        parts.push(Part {
            step: Step::Control,
            what: Text::from(format!("control cable, {words}, {cores} conductors")),
            size: Text::from(format!("{gauge} AWG copper, Class 2, jacketed")),
            amount: Value::new((WASTE * length_m).ceil(), Dim::Length),
            place: Place::new(tags.join(", ")),
        });
    }
    if !control.wires.is_empty() {
        parts.push(Part {
            step: Step::Control,
            what: "wire marker with number, both ends of each conductor".into(),
            size: "sleeve or wrap".into(),
            amount: count(2 * control.wires.len()),
            place: Place::new("control wiring"),
        });
    }
    let floats = control
        .devices
        .iter()
        .filter(|d| d.kind == DeviceKind::FloatSwitch);
    let tags: Vec<&str> = floats.map(|d| d.tag.as_str()).collect();
    if !tags.is_empty() {
        parts.push(Part {
            step: Step::Control,
            what: "float switch, opens on high water".into(),
            size: "dry contact, Class 2".into(),
            amount: count(tags.len()),
            place: Place::new(tags.join(", ")),
        });
    }
    if control.lines.iter().any(|l| l.of == CableUse::Bus) {
        let buses = control
            .lines
            .iter()
            .filter(|l| l.of == CableUse::Bus)
            .count();
        parts.push(Part {
            step: Step::Control,
            what: "resistor that closes a bus, unless the device has a link for it".into(),
            size: "120 ohm, 1/4 W".into(),
            amount: count(2 * buses),
            place: Place::new("both ends of each bus"),
        });
    }
    if !control.settings.is_empty() {
        parts.push(Part {
            step: Step::Control,
            what: "housing for the humidity sensor, shaded, with fan".into(),
            size: "for the sensor of the control".into(),
            amount: count(1),
            place: Place::new("sensor"),
        });
    }
    parts
}
