//! The cooling cannot carry lights and units together.
//!
//! Each unit gives back the heat of the water that it takes, and its own
//! power; a room that is too warm reads dry while the crop drinks more.
//!
//! A setpoint that steps down at lights-off leaves every room above it for a
//! while: that is following, not a shortage, and the first two hours of it do not
//! count.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use roomsim::setup::Setup;
use roomsim::{Outcome, Record};

use super::Seen;
use super::again::again;
use crate::finding::Said;
use crate::selection::{Candidate, Selection};
use crate::stats;
use crate::units::UnitSet;
use crate::zone::Circumstances;

/// Time a day above the setpoint by more than [`TOO_WARM_K`] that counts as
/// short.
///
/// **Assumed**: an hour in all is a hot afternoon, more is a shortage.
const LONGEST_S: f64 = 3600.0;

/// Above the setpoint by more than this is too warm \[K\].
const TOO_WARM_K: f64 = 1.0;

/// Time from the moment that a setpoint begins to fall in which a room may
/// follow it \[s\].
///
/// **Assumed**: walls and leaves give their heat back within two hours; cooling
/// that takes longer is short.
const PULL_DOWN_S: f64 = 2.0 * 3600.0;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let Some(candidate) = judged_set(seen.selection) else {
        return Vec::new();
    };
    // With the pull-down it is longer: only then is it worth a second run.
    if candidate.judged.cooling_shortfall_s.likely <= LONGEST_S {
        return Vec::new();
    }
    let set = &candidate.judged.units;
    let days = again(
        seen,
        set,
        Circumstances::DESIGN,
        Record::Minutes,
        |_| {},
        day_short_s,
    );
    days.and_then(|days_s| {
        let even = vec![1.0; days_s.len()];
        short(seen, set, stats::percentile(&days_s, &even, 0.5))
    })
    .into_iter()
    .collect()
}

/// What stands in the room is judged before what should.
fn judged_set(selection: &Selection) -> Option<&Candidate> {
    selection.present.as_ref().or(selection.chosen.as_ref())
}

/// Time of a run's one day in which its cooling is short \[s\].
fn day_short_s(setup: &Setup, outcome: &Outcome) -> f64 {
    let step_s = setup.run.step_s;
    let timetable = &setup.timetable;
    let setpoint_c = timetable.cooling_setpoints_c(step_s, setup.zone.pressure_pa);
    outcome
        .series
        .as_ref()
        .map_or(0.0, |s| short_s(&s.dry_bulb_c, &setpoint_c, step_s))
}

/// Time too warm, less that in which the room follows a falling setpoint \[s\].
/// The day is one of many alike: its evening lies before its morning.
fn short_s(dry_bulb_c: &[f64], setpoint_c: &[f64], step_s: f64) -> f64 {
    let steps = setpoint_c.len();
    if steps == 0 {
        return 0.0;
    }
    let falls = |i: usize| setpoint_c[i % steps] < setpoint_c[(i + steps - 1) % steps] - 1e-9;
    let begins = |i: usize| falls(i) && !falls(i + steps - 1);
    let follow = (PULL_DOWN_S / step_s).round() as usize;
    let mut following = vec![false; steps];
    for begin in (0..steps).filter(|&i| begins(i)) {
        for i in begin..begin + follow.min(steps) {
            following[i % steps] = true;
        }
    }
    let too_warm = |i: &usize| setpoint_c[*i] + TOO_WARM_K < dry_bulb_c[*i];
    let inside = (0..steps.min(dry_bulb_c.len())).filter(|&i| !following[i]);
    inside.filter(too_warm).count() as f64 * step_s
}

fn short(seen: &Seen<'_>, set: &UnitSet, short_s: f64) -> Option<Finding> {
    if short_s <= LONGEST_S {
        return None;
    }
    let value = |s: f64| Value::new(s, Dim::Duration).digits(2);
    let remedy = if seen.room.cooling.is_empty() {
        "survey the cooling and enter it; without any the room's heat stays in it"
    } else {
        "check the cooling's capacity at the design outdoor air, or add cooling; units with a higher energy factor add less heat"
    };
    let said = Said {
        check: "cooling_short",
        severity: Severity::Fix,
        step: Step::Selection,
        place: Place::new("cooling"),
        what: Text::from(format!("with {} the room is more than ", set.words()))
            .value(Value::new(TOO_WARM_K, Dim::TemperatureDifference).digits(2))
            .words(" above its cooling setpoint for ")
            .value(value(short_s))
            .words(" a day, the first ")
            .value(value(PULL_DOWN_S))
            .words(" after a set-back not counted"),
        why: "what the units take as water they give back as heat; a room above its temperature is neither at its humidity nor at its VPD",
        remedy: remedy.into(),
        source: Source::assumed(
            "an hour a day above setpoint is let pass, and two hours to follow a setpoint that falls",
        ),
    };
    Some(said.compared(value(short_s), value(LONGEST_S)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{Sheet, one, steps};
    use crate::selection::checks::tests::seen;
    use quantity::{Band, UnitSystem};

    const STEP_S: f64 = 60.0;

    /// A day of minutes: 26 °C until minute 1200, then 20 °C.
    fn set_back() -> Vec<f64> {
        (0..1440)
            .map(|i| if i < 1200 { 26.0 } else { 20.0 })
            .collect()
    }

    /// The room of that day too warm from one minute to another.
    fn too_warm(setpoint_c: &[f64], from: usize, to: usize) -> f64 {
        let room = setpoint_c.iter().enumerate();
        let room: Vec<f64> = room
            .map(|(i, t)| {
                if (from..to).contains(&i) {
                    t + 1.01
                } else {
                    t + 0.99
                }
            })
            .collect();
        short_s(&room, setpoint_c, STEP_S)
    }

    #[test]
    fn two_hours_after_a_set_back_do_not_count() {
        let day = set_back();
        assert_eq!(too_warm(&day, 1200, 1320), 0.0);
        assert_eq!(too_warm(&day, 1200, 1321), STEP_S);
        // A pull-down that takes half the night is short for the rest of it.
        assert_eq!(too_warm(&day, 1200, 1440), 120.0 * STEP_S);
        // By day nothing falls.
        assert_eq!(too_warm(&day, 600, 700), 100.0 * STEP_S);
    }

    /// A setpoint that rises at minute 0 is met at once; one that falls there is
    /// followed past midnight.
    #[test]
    fn the_day_goes_on_past_midnight() {
        let mut day = vec![20.0; 1440];
        day[1400..].fill(19.0);
        assert_eq!(too_warm(&day, 0, 80), 0.0);
        assert_eq!(too_warm(&day, 0, 81), STEP_S);
    }

    /// Two hours from where it begins to glide, however long the glide is.
    #[test]
    fn a_glide_is_one_fall() {
        let mut day = set_back();
        for (k, t) in day[1200..1380].iter_mut().enumerate() {
            *t = 26.0 - (k + 1) as f64 / 30.0;
        }
        assert_eq!(too_warm(&day, 1200, 1320), 0.0);
        assert_eq!(too_warm(&day, 1200, 1380), 60.0 * STEP_S);
    }

    #[test]
    fn an_hour_a_day_is_let_pass() {
        let seen = seen(&steps().room, &steps().selection);
        let set = steps().selection.design_set();
        assert!(short(&seen, &set, 3600.0).is_none());
        let (finding, measured, limit) = one(short(&seen, &set, 3601.0).into_iter().collect());
        assert_eq!(finding.severity, Severity::Fix);
        assert_eq!((measured, limit), (3601.0, 3600.0));
        assert!(finding.what.show(UnitSystem::Us).contains("1.8 °F above"));
    }

    #[test]
    fn remedy_asks_for_the_survey_first() {
        let set = steps().selection.design_set();
        let said = |room| {
            let found = short(&seen(room, &steps().selection), &set, 7200.0);
            found.unwrap().remedy.show(UnitSystem::Metric)
        };
        assert!(said(&steps().room).contains("survey the cooling"));
        let cooled = Sheet::leafy().and("[[cooling]]\nname = \"AC\"\ncapacity = \"5 kW\"");
        assert!(said(&cooled.room()).contains("capacity"));
    }

    #[test]
    fn units_present_come_first() {
        let mut selection = steps().selection.clone();
        let chosen = selection.chosen.as_mut().unwrap();
        chosen.judged.cooling_shortfall_s = Band::exact(7200.0);
        selection.present = steps().selection.chosen.clone();
        let judged = judged_set(&selection).unwrap();
        assert_eq!(judged.judged, selection.present.as_ref().unwrap().judged);
        selection.present = None;
        let judged = judged_set(&selection).unwrap();
        assert_eq!(judged.judged.cooling_shortfall_s.likely, 7200.0);
    }
}
