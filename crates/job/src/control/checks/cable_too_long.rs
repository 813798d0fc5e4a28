//! A control cable loses too much voltage even at the thickest gauge.

use equipment::Catalog;
use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::control::Control;
use crate::finding::Said;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .lines
        .iter()
        .filter_map(|l| {
            let (drop_v, allowed_v) = (l.drop_v?, l.allowed_v?);
            (allowed_v < drop_v).then(|| {
                let (m, most) = (
                    Value::new(drop_v, Dim::Voltage),
                    Value::new(allowed_v, Dim::Voltage),
                );
                Said {
                    check: "cable_too_long",
                    severity: Severity::Fix,
                    step: Step::Control,
                    place: Place::new(l.name.clone()),
                    what: Text::from(format!("{}: ", l.name))
                        .value(m)
                        .words(" are lost over ")
                        .value(Value::new(l.length_m, Dim::Length))
                        .words(format!(" of {} AWG; ", l.gauge))
                        .value(most)
                        .words(" are allowed"),
                    why: "coils do not pull in and devices drop out when the source is low too",
                    remedy: "move the controller nearer, or put a relay or supply of its own at the far end"
                        .into(),
                    source: Source::memory(
                        "IEC 60947-4-1: a coil pulls in at 85 % of its voltage; 10 % planned for the cable leaves 5 % for a low source",
                        "",
                    ),
                }
                .compared(m, most)
            })
        })
        .collect()
}
