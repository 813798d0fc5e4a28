//! A record does not say what its control wiring carries.

use equipment::Catalog;
use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use crate::control::{CableUse, Control};
use crate::finding::Said;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .lines
        .iter()
        .filter(|l| !matches!(l.of, CableUse::Alarm | CableUse::Float))
        .filter(|l| l.current_a.is_none() || l.voltage_v.is_none())
        .map(|l| {
            Said {
                check: "current_unknown",
                severity: Severity::Note,
                step: Step::Control,
                place: Place::new(l.name.clone()),
                what: Text::from(format!(
                    "{}: no record says voltage and current; {} AWG is taken",
                    l.name, l.gauge
                )),
                why: "drop, reach and the load of contacts cannot be checked",
                remedy: "read voltage and current from the sheet of the machine into its record"
                    .into(),
                source: Source::common_practice("18 AWG for control wiring"),
            }
            .finding()
        })
        .collect()
}
