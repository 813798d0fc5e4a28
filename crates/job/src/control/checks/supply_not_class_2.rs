//! A control supply is beyond what may be wired as a Class 2 circuit.

use equipment::Catalog;
use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::control::Control;
use crate::finding::Said;

/// Greatest voltage of a Class 2 source \[V\].
const MOST_V: f64 = 30.0;
/// Greatest apparent power of a Class 2 source \[VA\].
const MOST_VA: f64 = 100.0;

pub(super) fn check(_room: &Room, catalog: &Catalog, control: &Control) -> Vec<Finding> {
    let mut findings = Vec::new();
    for s in &control.assignment.served {
        let Some(record) = catalog.controllers.get(&s.model) else {
            continue;
        };
        for (measured, most, dim) in [
            (record.supply_v, MOST_V, Dim::Voltage),
            (record.supply_va, MOST_VA, Dim::ApparentPower),
        ] {
            let Some(measured) = measured.filter(|m| most < *m) else {
                continue;
            };
            let (m, limit) = (Value::new(measured, dim), Value::new(most, dim));
            findings.push(
                Said {
                    check: "supply_not_class_2",
                    severity: Severity::Fix,
                    step: Step::Control,
                    place: Place::new(s.controller.clone()),
                    what: Text::from(format!("{} supplies ", s.controller)).value(m),
                    why: "beyond this the wiring is not a Class 2 circuit and needs the methods of power wiring",
                    remedy: "feed the control from a listed Class 2 supply, or wire as the electrician decides"
                        .into(),
                    source: Source::published(
                        "NFPA 70, National Electrical Code, Class 2 circuits",
                        "Article 725 and chapter 9 table 11(A), as quoted; numbering moves between editions",
                    ),
                }
                .compared(m, limit),
            );
        }
    }
    findings
}
