//! A contact switches so little current that its film does not break.

use equipment::Catalog;
use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::control::{CableUse, Control};
use crate::finding::Said;

/// Least current for a power contact \[A\].
const LEAST_A: f64 = 0.010;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .lines
        .iter()
        .filter(|l| l.of == CableUse::Contact)
        .filter_map(|l| {
            let current_a = l.current_a.filter(|i| *i < LEAST_A)?;
            let (m, least) = (
                Value::new(current_a, Dim::Current),
                Value::new(LEAST_A, Dim::Current),
            );
            Some(
                Said {
                    check: "contact_current_low",
                    severity: Severity::Note,
                    step: Step::Control,
                    place: Place::new(l.name.clone()),
                    what: Text::from(format!("{}: the contact switches only ", l.name)).value(m),
                    why: "so little current does not burn the film off a power contact: it fails to make after some time",
                    remedy: "see that the relay has gold contacts, or put one with gold contacts between".into(),
                    source: Source::memory("below 5 to 10 mA contacts want gold", ""),
                }
                .compared(m, least),
            )
        })
        .collect()
}
