//! The reference of a bus shifts too far between its ends.

use equipment::Catalog;
use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::control::{CABLE_C, CableUse, Control, ground_shift_v, resistance_ohm_per_m};
use crate::finding::Said;

/// Greatest shift between the ends \[V\].
const MOST_V: f64 = 1.0;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .lines
        .iter()
        .filter(|l| l.of == CableUse::Bus)
        .filter_map(|l| {
            let r = resistance_ohm_per_m(l.gauge, CABLE_C);
            let shift_v = ground_shift_v(r, l.length_m, l.current_a?);
            (MOST_V < shift_v).then(|| {
                let (m, most) = (
                    Value::new(shift_v, Dim::Voltage),
                    Value::new(MOST_V, Dim::Voltage),
                );
                Said {
                    check: "reference_shifts",
                    severity: Severity::Fix,
                    step: Step::Control,
                    place: Place::new(l.name.clone()),
                    what: Text::from(format!("{}: its reference shifts by ", l.name))
                        .value(m)
                        .words(" between the ends"),
                    why: "data lines then leave the range that their inputs stand",
                    remedy:
                        "use thicker conductors for the supply pair, or feed the far end by itself"
                            .into(),
                    source: Source::assumed(
                        "below 1 V, so that signal and shift stay inside −7 to +12 V of TIA-485-A",
                    ),
                }
                .compared(m, most)
            })
        })
        .collect()
}
