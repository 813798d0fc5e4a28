//! A relay switches more than its contact is rated for.

use equipment::Catalog;
use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::control::{CableUse, Control};
use crate::finding::Said;

pub(super) fn check(_room: &Room, catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .lines
        .iter()
        .filter(|l| l.of == CableUse::Contact)
        .flat_map(|l| {
            let record = l
                .order
                .first()
                .and_then(|tag| control.device(tag))
                .and_then(|d| catalog.controllers.get(&d.model));
            let over = |measured: Option<f64>, limit: Option<f64>, dim: Dim| {
                let (measured, limit) = (measured?, limit?);
                (limit < measured).then(|| {
                    let (m, most) = (Value::new(measured, dim), Value::new(limit, dim));
                    Said {
                        check: "contact_overloaded",
                        severity: Severity::Stop,
                        step: Step::Control,
                        place: Place::new(l.name.clone()),
                        what: Text::from(format!("{}: the contact switches ", l.name))
                            .value(m)
                            .words(" and is rated for ")
                            .value(most),
                        why: "an overloaded contact burns or welds shut: the unit then never stops",
                        remedy: "put a relay with a larger contact between the two".into(),
                        source: Source::assumed("machine records of unit and controller"),
                    }
                    .compared(m, most)
                })
            };
            [
                over(l.voltage_v, record.and_then(|r| r.contact_v), Dim::Voltage),
                over(l.current_a, record.and_then(|r| r.contact_a), Dim::Current),
            ]
        })
        .flatten()
        .collect()
}
