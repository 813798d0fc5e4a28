//! The cooling cannot carry lights and units together.
//!
//! Each unit gives back the heat of the water that it takes, and its own
//! power; a room that is too warm reads dry while the crop drinks more.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};

use super::Seen;
use crate::finding::Said;

/// Time a day above the setpoint by more than 1 K that counts as short.
///
/// **Assumed**: an hour in all is a hot afternoon, more is a shortage.
const LONGEST_S: f64 = 3600.0;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let selection = seen.selection;
    let Some(candidate) = selection.present.as_ref().or(selection.chosen.as_ref()) else {
        return Vec::new();
    };
    let short_s = candidate.judged.cooling_shortfall_s;
    if short_s.likely <= LONGEST_S {
        return Vec::new();
    }
    let value = |s: f64| Value::new(s, Dim::Duration).digits(2);
    let remedy = if seen.room.cooling.is_empty() {
        "survey the cooling and enter it; without any the room's heat stays in it"
    } else {
        "check the cooling's capacity at the design outdoor air, or add cooling; units with a higher energy factor add less heat"
    };
    vec![
        Said {
            check: "cooling_short",
            severity: Severity::Fix,
            step: Step::Selection,
            place: Place::new("cooling"),
            what: Text::from(format!("with {} the room is more than 1 K above its cooling setpoint for ", candidate.judged.units.words()))
                .value(value(short_s.likely))
                .words(" a day"),
            why: "what the units take as water they give back as heat; a room above its temperature is neither at its humidity nor at its VPD",
            remedy: remedy.into(),
            source: Source::assumed("an hour a day above setpoint is let pass"),
        }
        .compared(value(short_s.likely), value(LONGEST_S)),
    ]
}
