//! The units in the room do not hold it.

use quantity::{Dim, Finding, Place, Severity, Step, Text, Value};
use roomsim::Period;

use super::Seen;
use crate::finding::Said;
use crate::simulate::HoldRule;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let Some(present) = &seen.selection.present else {
        return Vec::new();
    };
    if present.meets {
        return Vec::new();
    }
    let judged = present.counted(seen.room.selection.coil_credit.value);
    let wanted = seen.room.selection.days_to_hold.value;
    let share = |x: f64| Value::new(x, Dim::Fraction).digits(2);
    let when = match judged.weakest_period() {
        Some(Period::LightsOn) => "with lights on",
        Some(Period::Transition) => "just after the lights switch",
        Some(Period::LightsOff) => "with lights off",
        None => "at all times",
    };
    let helps = seen
        .selection
        .measures
        .iter()
        .filter(|m| m.before < m.after.held_days)
        .max_by_key(|m| m.after.held_days);
    let remedy = match (&seen.selection.chosen, helps) {
        (Some(chosen), Some(m)) => format!(
            "first {} ({} of {} days then hold); else install {}",
            m.what,
            m.after.held_days,
            m.after.days,
            chosen.judged.units.words()
        ),
        (Some(chosen), None) => format!("install {}", chosen.judged.units.words()),
        (None, Some(m)) => format!(
            "{} ({} of {} days)",
            m.what, m.after.held_days, m.after.days
        ),
        (None, None) => "none of the sets or measures that were tried is enough".to_owned(),
    };
    vec![
        Said {
            check: "present_units_fail",
            severity: Severity::Stop,
            step: Step::Selection,
            place: Place::new("units"),
            what: Text::from(format!(
                "{} hold {} of {} drawn days; most fail {when}",
                judged.units.words(),
                judged.held_days,
                judged.days
            )),
            why: "the room is wetter than its target on too many days",
            remedy: remedy.into(),
            source: HoldRule::SOURCE,
        }
        .compared(share(judged.held_share()), share(wanted)),
    ]
}
