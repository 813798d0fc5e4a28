//! No set of units that was tried holds the room.
//!
//! Most often they are too few or too small. In a small room with a strong crop
//! it can also be the minutes between a stop and the next start in which the air
//! gets too wet; more units do not mend that.

use quantity::{Dim, Finding, Place, Severity, Step, Text, Value};
use room::Period;

use super::Seen;
use crate::finding::{Said, when};
use crate::simulate::{HoldRule, Judged};

/// Capacity over the wettest tenth of loads from which too little capacity is
/// not the cause.
///
/// **Assumed**: a quarter more than even a wet day asks for.
const AMPLE: f64 = 1.25;

/// Starts of a unit in an hour from which rests between them count.
///
/// **Assumed**: a start every quarter of an hour.
const OFTEN: u32 = 4;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let selection = seen.selection;
    let asks_for_nothing =
        seen.load.water_kg_per_day.high <= 0.0 || !super::super::asks_for_humidity(seen.room);
    if selection.chosen.is_some() || !selection.searched() || asks_for_nothing {
        return Vec::new();
    }
    let wanted = seen.room.selection.days_to_hold.value;
    let credit = seen.room.selection.coil_credit.value;
    let share = |x: f64| Value::new(x, Dim::Fraction).digits(2);
    let (what, measured, short) = match selection.candidates.first() {
        None => (
            Text::from("no model of the catalogue takes water at this room's air"),
            0.0,
            None,
        ),
        Some(best) => {
            let whole = best.counted(credit);
            // Where the set itself holds, it is the spare that is missing.
            let (judged, when) = match &best.one_unit_out {
                Some(out) if wanted <= whole.held_share() => (out, " with one unit out"),
                _ => (whole, ""),
            };
            (
                Text::from(format!(
                    "the best set tried, {}, holds {} of {} drawn days{when}",
                    whole.units.words(),
                    judged.held_days,
                    judged.days
                )),
                judged.held_share(),
                Some(judged),
            )
        }
    };
    let (what, why, remedy) = match short.and_then(|judged| swing(seen, judged)) {
        Some(swing) => (
            what.and(&swing),
            "in a small room the crop fills the air with water in the minutes between a stop and the next start: more or larger units do not mend that",
            "lower the setpoint or narrow the deadband so that units start earlier, shorten the shortest rest and the delay before a start as far as the maker allows, let units take turns with staging = \"step\", or give the crop more air volume",
        ),
        None => (
            what,
            "the room will be wet with every set that may be chosen",
            "allow more or larger models in [selection], raise the number of units, or take the measures listed",
        ),
    };
    vec![
        Said {
            check: "no_set_holds",
            severity: Severity::Stop,
            step: Step::Selection,
            place: Place::new("room"),
            what,
            why,
            remedy: remedy.into(),
            source: HoldRule::SOURCE,
        }
        .compared(share(measured), share(wanted)),
    ]
}

/// What says that rests between starts are the cause and not capacity: the set
/// takes well more than the load in the period that fails, and starts often.
fn swing(seen: &Seen<'_>, judged: &Judged) -> Option<Text> {
    let weakest = match judged.weakest_period()? {
        roomsim::Period::LightsOn => Period::LightsOn,
        roomsim::Period::Transition => Period::Transition,
        roomsim::Period::LightsOff => Period::LightsOff,
    };
    // The day's transitions follow lights-on as well; a room has no load of its
    // own for that hour.
    let load = seen.load.period(weakest)?.mean.water_kg_per_s;
    let capacities = &seen.selection.capacities;
    let capacity_kg_per_s: f64 = judged
        .units
        .groups()
        .iter()
        .filter_map(|(code, count)| {
            let capacity = capacities.iter().find(|c| c.code == *code)?;
            Some(f64::from(*count) * capacity.at(weakest).removal_kg_per_s)
        })
        .sum();
    let often = OFTEN <= judged.most_starts_per_hour;
    if load.high <= 0.0 || capacity_kg_per_s < AMPLE * load.high || !often {
        return None;
    }
    let water = |x: f64| Value::new(x, Dim::WaterRate).digits(2);
    Some(
        Text::from(format!("; {} they take ", when(seen.room, weakest)))
            .value(water(capacity_kg_per_s))
            .words(" where at most ")
            .value(water(load.high))
            .words(format!(
                " is given off, and start up to {} times an hour",
                judged.most_starts_per_hour
            )),
    )
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

    /// Ample is a quarter more than nine of ten days ask for, often is four starts
    /// an hour: short of either it is capacity that is missing.
    #[test]
    fn rests_are_blamed_only_with_ample_capacity_and_many_starts() {
        let room = &steps().room;
        let load = steps().load.period(Period::LightsOff).unwrap();
        let with = |over_load: f64, starts: u32| {
            let mut selection = nothing_chosen();
            let best = &mut selection.candidates[0];
            let days = best.judged.days;
            best.judged.held_days_by_period = [Some(days), Some(days), Some(17)];
            best.judged.most_starts_per_hour = starts;
            best.judged.units = crate::units::UnitSet::of("generic-30", 4);
            selection.capacities[0].lights_off.removal_kg_per_s =
                over_load * load.mean.water_kg_per_s.high / 4.0;
            let (finding, ..) = one(check(&seen(room, &selection)));
            finding
        };
        let blamed = with(1.251, 4);
        assert_eq!(blamed.severity, Severity::Stop);
        let said = blamed.remedy.show(UnitSystem::Us);
        for cure in ["deadband", "rest", "staging", "air volume"] {
            assert!(said.contains(cure), "{said}");
        }
        assert!(!said.contains("larger models"), "{said}");
        assert!(
            blamed
                .what
                .show(UnitSystem::Metric)
                .contains("4 times an hour")
        );
        for (over_load, starts) in [(1.249, 4), (1.251, 3)] {
            let said = with(over_load, starts).remedy.show(UnitSystem::Metric);
            assert!(
                said.contains("larger models"),
                "{over_load} {starts}: {said}"
            );
        }
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
