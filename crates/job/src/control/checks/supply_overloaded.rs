//! The devices on a bus draw more than its supply gives.

use equipment::Catalog;
use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::control::{CableUse, Control};
use crate::finding::Said;

pub(super) fn check(_room: &Room, catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .assignment
        .served
        .iter()
        .filter_map(|s| {
            let record = catalog.controllers.get(&s.model)?;
            let (supply_v, supply_va) = (record.supply_v?, record.supply_va?);
            let fed = control
                .lines
                .iter()
                .filter(|l| matches!(l.of, CableUse::Bus | CableUse::Pair))
                .filter(|l| l.order.first() == Some(&s.controller))
                .flat_map(|l| l.order.iter().skip(1));
            let current_a: f64 = fed
                .filter_map(|tag| control.device(tag))
                .filter_map(|d| catalog.dehumidifiers.get(&d.model))
                .filter_map(|m| m.control.current_a)
                .sum();
            let drawn_va = supply_v * current_a;
            (supply_va < drawn_va).then(|| {
                let (m, most) = (
                    Value::new(drawn_va, Dim::ApparentPower),
                    Value::new(supply_va, Dim::ApparentPower),
                );
                Said {
                    check: "supply_overloaded",
                    severity: Severity::Stop,
                    step: Step::Control,
                    place: Place::new(s.controller.clone()),
                    what: Text::from(format!("the units on {} draw ", s.controller))
                        .value(m)
                        .words("; it supplies ")
                        .value(most),
                    why: "its voltage breaks down: units drop out, or its fuse blows",
                    remedy: "share the units between two controllers, each with its own supply, not joined"
                        .into(),
                    source: Source::assumed("machine records of units and controller"),
                }
                .compared(m, most)
            })
        })
        .collect()
}
