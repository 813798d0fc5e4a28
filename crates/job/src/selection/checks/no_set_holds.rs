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
            let whole = best.counted(credit);
            // Where the set itself holds, it is the spare that is missing.
            let (judged, when) = if wanted <= whole.held_share() {
                (&best.one_unit_out, " with one unit out")
            } else {
                (whole, "")
            };
            (
                Text::from(format!(
                    "the best set tried, {}, holds {} of {} drawn days{when}",
                    whole.units.words(),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};
    use crate::selection::Selection;
    use crate::selection::checks::tests::seen;
    use quantity::{Band, UnitSystem};

    fn nothing_chosen() -> Selection {
        let mut selection = steps().selection.clone();
        selection.chosen = None;
        selection.candidates[0].judged.held_days = 17;
        selection
    }

    #[test]
    fn the_best_of_what_falls_short_is_named() {
        let room = &steps().room;
        assert!(check(&seen(room, &steps().selection)).is_empty());
        let (finding, measured, limit) = one(check(&seen(room, &nothing_chosen())));
        assert_eq!(finding.severity, Severity::Stop);
        assert_eq!((measured, limit), (0.85, 0.9));
        let best = steps().selection.candidates[0].judged.units.words();
        let said = format!("{best}, holds 17 of 20 drawn days");
        assert!(finding.what.show(UnitSystem::Metric).ends_with(&said));
    }

    #[test]
    fn no_model_that_takes_water_is_said_plainly() {
        let mut selection = nothing_chosen();
        selection.candidates.clear();
        let found = check(&seen(&steps().room, &selection));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].measured.map(|v| v.si), Some(0.0));
        assert!(found[0].what.show(UnitSystem::Us).contains("no model"));
    }

    #[test]
    fn a_room_that_asks_for_nothing_needs_no_set() {
        let selection = nothing_chosen();
        let mut load = steps().load.clone();
        load.water_kg_per_day = Band::exact(0.0);
        let dry = Seen {
            load: &load,
            ..seen(&steps().room, &selection)
        };
        assert!(check(&dry).is_empty());
        let mut room = steps().room.clone();
        let targets = &mut room.targets;
        for target in [
            &mut targets.lights_on,
            &mut targets.transition,
            &mut targets.lights_off,
        ] {
            target.humidity = None;
        }
        assert!(check(&seen(&room, &selection)).is_empty());
    }
}
