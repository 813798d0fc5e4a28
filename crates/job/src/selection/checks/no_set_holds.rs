//! No set of units that was tried holds the room.

use quantity::{Dim, Finding, Place, Severity, Step, Text, Value};

use super::Seen;
use crate::finding::Said;
use crate::simulate::HoldRule;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let selection = seen.selection;
    let asks_for_nothing =
        seen.load.water_kg_per_day.high <= 0.0 || !super::super::asks_for_humidity(seen.room);
    if selection.chosen.is_some() || asks_for_nothing {
        return Vec::new();
    }
    let wanted = seen.room.selection.days_to_hold.value;
    let credit = seen.room.selection.coil_credit.value;
    let share = |x: f64| Value::new(x, Dim::Fraction).digits(2);
    let (what, measured) = match selection.candidates.first() {
        None => (
            Text::from("no model of the catalogue takes water at this room's air"),
            0.0,
        ),
        Some(best) => {
            let judged = best.counted(credit);
            (
                Text::from(format!(
                    "the best set tried, {}, holds {} of {} drawn days",
                    judged.units.words(),
                    judged.held_days,
                    judged.days
                )),
                judged.held_share(),
            )
        }
    };
    vec![
        Said {
            check: "no_set_holds",
            severity: Severity::Stop,
            step: Step::Selection,
            place: Place::new("room"),
            what,
            why: "the room will be wet with every set that may be chosen",
            remedy: "allow more or larger models in [selection], raise the number of units, or take the measures listed".into(),
            source: HoldRule::SOURCE,
        }
        .compared(share(measured), share(wanted)),
    ]
}
