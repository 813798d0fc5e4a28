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
use roomsim::{HeatPath, Outcome, Record, Series};

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
        short_day,
    );
    days.as_deref()
        .and_then(middle)
        .and_then(|day| short(seen, set, &day))
        .into_iter()
        .collect()
}

/// A day of a room whose cooling is short; means are of the time that counts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct ShortDay {
    /// How long \[s\].
    short_s: f64,
    /// Dry bulb above the setpoint at the worst \[K\].
    above_k: f64,
    /// Heat that the lights give to the air \[W\].
    lights_w: f64,
    /// Sensible heat that the dehumidifiers give to it \[W\].
    units_w: f64,
    /// Sensible heat that the cooling takes from it \[W\].
    cooled_w: f64,
    /// Share of the time that the cooling machines run; `None` without any.
    cooling_runs: Option<f64>,
}

/// The day in the middle of all by how long it is short.
fn middle(days: &[ShortDay]) -> Option<ShortDay> {
    let short_s: Vec<f64> = days.iter().map(|d| d.short_s).collect();
    let even = vec![1.0; days.len()];
    let half_s = stats::percentile(&short_s, &even, 0.5);
    let from_half = |d: &ShortDay| (d.short_s - half_s).abs();
    days.iter()
        .min_by(|a, b| from_half(a).total_cmp(&from_half(b)))
        .map(|d| ShortDay {
            short_s: half_s,
            ..*d
        })
}

/// What stands in the room is judged before what should.
fn judged_set(selection: &Selection) -> Option<&Candidate> {
    selection.present.as_ref().or(selection.chosen.as_ref())
}

/// A run's one day.
fn short_day(setup: &Setup, outcome: &Outcome) -> ShortDay {
    let step_s = setup.run.step_s;
    let setpoint_c = setup
        .timetable
        .cooling_setpoints_c(step_s, setup.zone.pressure_pa);
    outcome
        .series
        .as_ref()
        .map_or_else(ShortDay::default, |series| {
            let short = short_steps(&series.dry_bulb_c, &setpoint_c, step_s);
            ShortDay {
                short_s: short.len() as f64 * step_s,
                above_k: short
                    .iter()
                    .map(|&i| series.dry_bulb_c[i] - setpoint_c[i])
                    .fold(0.0, f64::max),
                ..means(series, &short)
            }
        })
}

/// Means over these steps.
fn means(series: &Series, steps: &[usize]) -> ShortDay {
    let count = steps.len().max(1) as f64;
    let heat_w = |path: HeatPath| {
        let sum: f64 = steps.iter().map(|&i| series.heat_w[i][path as usize]).sum();
        sum / count
    };
    let machines = series.cooling_run.len() / series.len().max(1);
    let runs: f64 = steps
        .iter()
        .flat_map(|&i| &series.cooling_run[i * machines..(i + 1) * machines])
        .sum();
    ShortDay {
        lights_w: heat_w(HeatPath::Lights),
        units_w: heat_w(HeatPath::Dehumidifiers),
        cooled_w: -heat_w(HeatPath::Cooling),
        cooling_runs: (0 < machines).then(|| runs / (count * machines as f64)),
        ..ShortDay::default()
    }
}

/// Steps too warm, less those in which the room follows a falling setpoint.
/// The day is one of many alike: its evening lies before its morning.
fn short_steps(dry_bulb_c: &[f64], setpoint_c: &[f64], step_s: f64) -> Vec<usize> {
    let steps = setpoint_c.len();
    if steps == 0 {
        return Vec::new();
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
    inside.filter(too_warm).collect()
}

/// Where the heat comes from and what takes it, in numbers.
fn because(day: &ShortDay) -> Text {
    let power = |w: f64| Value::new(w, Dim::Power).digits(2);
    let text = Text::from(": in that time the lights give ")
        .value(power(day.lights_w))
        .words(" to the air and the units ")
        .value(power(day.units_w));
    let text = match day.cooling_runs {
        Some(runs) => text
            .words(", while the cooling takes ")
            .value(power(day.cooled_w))
            .words(" of sensible heat and runs ")
            .value(Value::new(runs, Dim::Fraction).digits(2))
            .words(" of it"),
        None => text.words(", and no cooling takes it"),
    };
    text.words("; the room gets up to ")
        .value(Value::new(day.above_k, Dim::TemperatureDifference).digits(2))
        .words(" above its setpoint")
}

fn short(seen: &Seen<'_>, set: &UnitSet, day: &ShortDay) -> Option<Finding> {
    let short_s = day.short_s;
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
            .words(" after a set-back not counted")
            .and(&because(day)),
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
        short_steps(&room, setpoint_c, STEP_S).len() as f64 * STEP_S
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
        assert!(short(&seen, &set, &so_long(3600.0)).is_none());
        let found = short(&seen, &set, &so_long(3601.0));
        let (finding, measured, limit) = one(found.into_iter().collect());
        assert_eq!(finding.severity, Severity::Fix);
        assert_eq!((measured, limit), (3601.0, 3600.0));
        assert!(finding.what.show(UnitSystem::Us).contains("1.8 °F above"));
    }

    /// Short for so long, with the numbers of a reason.
    fn so_long(short_s: f64) -> ShortDay {
        ShortDay {
            short_s,
            above_k: 2.5,
            lights_w: 8000.0,
            units_w: 1500.0,
            cooled_w: 4200.0,
            cooling_runs: Some(1.0),
        }
    }

    #[test]
    fn the_reason_is_given_in_numbers() {
        let seen = seen(&steps().room, &steps().selection);
        let set = steps().selection.design_set();
        let said = |day: &ShortDay| {
            let found = short(&seen, &set, day).unwrap();
            found.what.show(UnitSystem::Metric)
        };
        let with = said(&so_long(7200.0));
        for part in ["8.0 kW", "1.5 kW", "4.2 kW", "100 %", "2.5 K"] {
            assert!(with.contains(part), "{with}");
        }
        let without = said(&ShortDay {
            cooling_runs: None,
            ..so_long(7200.0)
        });
        assert!(without.contains("no cooling takes it"), "{without}");
    }

    /// Means are of the steps that count alone, and the machines' runs of all
    /// machines.
    #[test]
    fn means_are_of_the_short_time() {
        let mut hot = [0.0; HeatPath::COUNT];
        hot[HeatPath::Lights as usize] = 900.0;
        hot[HeatPath::Dehumidifiers as usize] = 300.0;
        hot[HeatPath::Cooling as usize] = -600.0;
        let series = Series {
            dry_bulb_c: vec![20.0; 3],
            heat_w: vec![[5.0; HeatPath::COUNT], hot, hot],
            cooling_run: vec![0.0, 0.0, 1.0, 0.5, 1.0, 0.5],
            ..Series::default()
        };
        let day = means(&series, &[1, 2]);
        assert_eq!(
            (day.lights_w, day.units_w, day.cooled_w),
            (900.0, 300.0, 600.0)
        );
        assert_eq!(day.cooling_runs, Some(0.75));
    }

    #[test]
    fn the_middle_day_stands_for_all() {
        let days = [9000.0, 1000.0, 5000.0].map(so_long);
        assert_eq!(middle(&days).unwrap().short_s, 5000.0);
        assert_eq!(middle(&[]), None);
    }

    #[test]
    fn remedy_asks_for_the_survey_first() {
        let set = steps().selection.design_set();
        let said = |room| {
            let found = short(&seen(room, &steps().selection), &set, &so_long(7200.0));
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
