//! One unit in a log: whether the room gets drier by it, what it draws, how it
//! cycles, whether its air is fit for it.

use air::MoistAir;
use equipment::{FilterState, Model};
use quantity::{Dim, Text, Value};
use readings::Measure;
use room::Period;

use super::super::readings::{REMOVAL_BOUNDS, below, classes, inlet, ratio, reading};
use super::super::taken::{HYGROMETER, THERMOMETER_K};
use super::{Line, Look, habit, some};
use crate::acceptance::condensate::map_uncertainty;
use crate::acceptance::{COVERAGE, Estimate};
use crate::proof::{Lit, RunsFrom, UnitRuns};

/// Standard uncertainty of logged power over a record's, over it. **Assumed**:
/// meter and map a twentieth each.
const POWER_SHARE: f64 = 0.07;
/// Power over that of the record at the air: fan only, below, about, above.
/// **Assumed**.
const POWER_BOUNDS: [f64; 3] = [0.30, 0.75, 1.15];
/// A run shorter than this is short \[s\]: common practice.
const SHORT_RUN_S: f64 = 600.0;
/// More starts than this in an hour are too many: common practice.
const MOST_STARTS: f64 = 6.0;
/// Rows further apart than this do not show short runs \[s\].
const COARSE_S: f64 = 300.0;
/// Asked for so long in all, and not running, a unit does not run \[s\].
const ASKED_S: f64 = 1_800.0;
/// The air at an inlet against that of the logger in the room, standard
/// uncertainty \[K\]. **Assumed**.
const INLET_FOR_ROOM_K: f64 = 0.5;
/// Standard uncertainty of a water counter, over what it counts. **Assumed**.
const COUNTER_SHARE: f64 = 0.03;

/// - `model`: its record, where it is known
pub(super) fn lines(look: &Look<'_>, unit: &UnitRuns, model: Option<&Model>) -> Vec<Line> {
    let mut lines = Vec::new();
    if unit.channel.is_some() {
        if let (Some(_), Some(model)) = (look.of_room, model) {
            lines.push(pull_down(look, unit, model));
        }
        lines.extend(model.and_then(|m| power(look, unit, m)));
        lines.extend(cycling(look, unit));
        lines.extend(model.and_then(|m| at_rest(look, unit, m)));
        lines.extend(model.and_then(|m| water(look, unit, m)));
    } else {
        lines.push(Line::Silent(
            format!(
                "the log has no power or state of {}: what it did is not known",
                unit.tag
            )
            .into(),
        ));
    }
    lines.extend(model.and_then(|m| air_for_it(look, unit, m)));
    lines
}

fn share(x: f64) -> Value {
    Value::new(x, Dim::Fraction).digits(2)
}

fn time(s: f64) -> Value {
    Value::new(s, Dim::Duration).digits(2)
}

/// The air's answer to its starts and stops against its record.
fn pull_down(look: &Look<'_>, unit: &UnitRuns, model: &Model) -> Line {
    let Some(down) = unit.pull_down else {
        return Line::Silent(
            format!(
                "{} starts and stops too seldom alone for the air to tell its removal",
                unit.tag
            )
            .into(),
        );
    };
    let map = middle(look, unit).map_or(0.10, |air| {
        map_uncertainty(model, &model.at(air, FilterState::Clean))
    }) / COVERAGE;
    // The answer was taken with the room's store of water as the log has it, of
    // air or of a surveyed layer; its deviation holds what the log left open.
    let factor = down.factor;
    let u = down.deviation.hypot(factor * map);
    let said = Text::from(format!(
        "at {} switchings alone the air answers with ",
        down.switchings
    ))
    .value(share(factor.max(0.0)))
    .words(" ± ")
    .value(share(COVERAGE * u))
    .words(" of what its record removes at that air");
    Line::Counts(reading(
        "pull-down",
        classes(Estimate::new(factor, u), &REMOVAL_BOUNDS),
        said,
    ))
}

/// Steps at which it ran, whole.
fn running(look: &Look<'_>, unit: &UnitRuns) -> Vec<usize> {
    let series = look.series;
    (0..series.len())
        .filter(|&i| series.knows(i) && 0.99 <= unit.run[i])
        .collect()
}

/// Steps at which the air asked for it beyond its delay.
fn asked(look: &Look<'_>, model: &Model) -> Vec<usize> {
    let wait = look.steps(model.delays.restart_s + 300.0);
    let mut since = 0;
    (0..look.series.len())
        .filter(|&i| {
            let over = look.over_setpoint(i);
            since = if over.is_some_and(|x| 1.0 < x) {
                since + 1
            } else {
                0
            };
            wait < since
        })
        .collect()
}

/// The air in the middle of its running, else of all known.
fn middle(look: &Look<'_>, unit: &UnitRuns) -> Option<MoistAir> {
    let series = look.series;
    let ran = running(look, unit);
    let steps = if ran.is_empty() {
        series.known().collect()
    } else {
        ran
    };
    let of = |values: &[f64]| {
        let mut all: Vec<f64> = some(&steps).map(|i| values[i]).collect();
        all.sort_by(f64::total_cmp);
        all.get(all.len() / 2).copied()
    };
    let (t, rh) = (of(&series.dry_bulb_c)?, of(&series.rel_humidity)?);
    MoistAir::from_rel_humidity(t, rh, look.pressure_pa).ok()
}

/// What it draws while it runs; while it is asked for, where it never ran.
fn power(look: &Look<'_>, unit: &UnitRuns, model: &Model) -> Option<Line> {
    let series = look.series;
    let channel = unit.channel.as_ref()?;
    let sensor = look.sensors.iter().find(|s| s.name == *channel)?;
    let ran = running(look, unit);
    let never = (ran.len() as f64) * series.step_s < ASKED_S;
    let steps = if never { asked(look, model) } else { ran };
    if (steps.len() as f64) * series.step_s < ASKED_S {
        let why = if look.has_setpoint() {
            "hardly ran, and the air hardly asked for it"
        } else {
            "hardly ran; whether the air asked for it needs the setpoint"
        };
        return Some(Line::Silent(format!("{} {why}", unit.tag).into()));
    }
    if sensor.measure != Measure::UnitPower {
        return never.then(|| {
            Line::Silent(
                Text::from(format!(
                    "{} stays off though the air asked for it for ",
                    unit.tag
                ))
                .value(time(steps.len() as f64 * series.step_s)),
            )
        });
    }
    let mut ratios: Vec<(f64, f64, f64)> = some(&steps)
        .filter_map(|i| {
            let air = MoistAir::from_rel_humidity(
                series.dry_bulb_c[i],
                series.rel_humidity[i],
                look.pressure_pa,
            );
            let expected = model.at(air.ok()?, FilterState::Clean).power_w;
            let drawn = sensor.values[i];
            (0.0 < expected && drawn.is_finite()).then(|| (drawn / expected, drawn, expected))
        })
        .collect();
    ratios.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (ratio, drawn, expected) = *ratios.get(ratios.len() / 2)?;
    let watts = |si: f64| Value::new(si, Dim::Power);
    let when = if never {
        "the air asks for it and it draws "
    } else {
        "while it runs it draws "
    };
    let said = Text::from(when)
        .value(watts(drawn))
        .words(" where its record has ")
        .value(watts(expected));
    let x = Estimate::new(ratio, (POWER_SHARE * ratio).max(0.02));
    Some(Line::Counts(reading(
        "run-current",
        classes(x, &POWER_BOUNDS),
        said,
    )))
}

/// How long it runs, and where the humidity stands as it stops.
fn cycling(look: &Look<'_>, unit: &UnitRuns) -> Vec<Line> {
    let series = look.series;
    if COARSE_S < unit.interval_s {
        return vec![Line::Silent(
            Text::from("rows lie ")
                .value(time(unit.interval_s))
                .words(" apart: short runs do not show"),
        )];
    }
    let Some(usual_s) = unit.usual_run_s else {
        return vec![Line::Silent(
            format!("{} has no whole run in the log", unit.tag).into(),
        )];
    };
    let run = &unit.run;
    let mut started = None;
    // Narrow band, still above, long; short where no setpoint tells which.
    let (mut counts, mut short) = ([0_usize; 3], 0);
    for k in 1..run.len() {
        match (run[k - 1] < 0.5, run[k] < 0.5) {
            (true, false) if run[k].is_finite() => started = Some(k),
            (false, true) => {
                if let Some(from) = started.take() {
                    let long = SHORT_RUN_S <= (k - from) as f64 * series.step_s;
                    match look.over_setpoint(k) {
                        _ if long => counts[2] += 1,
                        Some(over) => counts[usize::from(0.0 < over)] += 1,
                        None => short += 1,
                    }
                }
            }
            _ => {}
        }
    }
    let all = counts.iter().sum::<usize>() + short;
    let (stops, weights) = if look.has_setpoint() {
        let words = format!(
            "of {all} runs {} are short and stop as the humidity crosses its band, {} are short and stop while it is still above; the usual run lasts ",
            counts[0], counts[1]
        );
        (words, habit(&counts))
    } else {
        let words = format!(
            "of {all} runs {short} are short; where the humidity stands as they stop needs the setpoint; the usual run lasts "
        );
        let [short, long] = habit(&[short, counts[2]])[..] else {
            return Vec::new();
        };
        (words, vec![short, short, long])
    };
    let stops = Text::from(stops).value(time(usual_s));
    let [narrow, above, long] = weights[..] else {
        return Vec::new();
    };
    // Whether the reading falls as it starts is not told by a room's log: it
    // goes with the narrow band.
    let cycles = reading("cycle-log", vec![narrow, above, narrow, long], stops);
    let starts = Estimate::new(unit.most_starts_per_hour as f64, 1.0);
    let few = below(starts, MOST_STARTS + 0.5);
    let said = Text::from(format!(
        "{} starts in the busiest hour; more than {MOST_STARTS} are too many",
        unit.most_starts_per_hour
    ));
    vec![
        Line::Counts(cycles),
        Line::Counts(reading("short-cycles", vec![1.0 - few, few], said)),
    ]
}

/// A unit that rests at the end of the log though the air asks for it, against
/// its restart delay.
fn at_rest(look: &Look<'_>, unit: &UnitRuns, model: &Model) -> Option<Line> {
    let series = look.series;
    let last = series.known().last()?;
    let asks = look.over_setpoint(last).is_some_and(|x| 1.0 < x);
    let runs_or_unknown = unit.run[last].is_nan() || 0.5 <= unit.run[last];
    if !asks || runs_or_unknown {
        return None;
    }
    let stopped = (0..=last).rev().find(|&i| 0.5 <= unit.run[i]);
    let rested_s = (last - stopped.unwrap_or(0)) as f64 * series.step_s;
    let delay_s = model.delays.restart_s;
    let not_yet = below(
        Estimate::new(rested_s, unit.interval_s.max(series.step_s)),
        delay_s,
    );
    let said = Text::from("at the end of the log it had rested for ")
        .value(time(rested_s))
        .words(" with the air asking for it; the restart delay of its record is ")
        .value(time(delay_s));
    Some(Line::Counts(reading(
        "since-power-up",
        vec![not_yet, 1.0 - not_yet],
        said,
    )))
}

/// Water that was counted, where this is the only unit, against its record.
fn water(look: &Look<'_>, unit: &UnitRuns, model: &Model) -> Option<Line> {
    let counted = look.counted.filter(|c| !c.is_impossible())?;
    if look.units.len() != 1 || look.runs_from != RunsFrom::Log {
        return None;
    }
    let series = look.series;
    let known: Vec<usize> = (0..series.len())
        .filter(|&i| counted.kg[i].is_finite())
        .collect();
    let all: Vec<usize> = (*known.first()?..=*known.last()?).collect();
    let (mut kg_per_s, mut looks, mut map) = (0.0, 0.0, 0.0_f64);
    for i in some(&all).filter(|&i| series.knows(i) && unit.run[i].is_finite()) {
        let air = MoistAir::from_rel_humidity(
            series.dry_bulb_c[i],
            series.rel_humidity[i],
            look.pressure_pa,
        );
        let out = model.at(air.ok()?, FilterState::Clean);
        kg_per_s += unit.run[i] * out.removal_kg_per_s;
        map = map.max(map_uncertainty(model, &out) / COVERAGE);
        looks += 1.0;
    }
    let expected = kg_per_s / looks * counted.over_s;
    if expected.is_nan() || expected <= 0.0 {
        return None;
    }
    let r = ratio(
        Estimate::new(counted.all_kg, COUNTER_SHARE * counted.all_kg),
        Estimate::new(expected, map * expected),
    )?;
    let kg = |si: f64| Value::new(si, Dim::Mass);
    let said = Text::from("counted ")
        .value(kg(counted.all_kg))
        .words(" of water where its record removes ")
        .value(kg(expected))
        .words(" over its runs");
    Some(Line::Counts(reading(
        "condensate",
        classes(r, &REMOVAL_BOUNDS),
        said,
    )))
}

/// Hours of a day.
#[derive(Clone, Copy)]
enum Hours {
    LightsOn,
    Dark,
    /// Where nothing tells the lights.
    All,
}

impl Hours {
    const fn words(self) -> &'static str {
        match self {
            Self::LightsOn => "with lights on ",
            Self::Dark => "with lights off ",
            Self::All => "over all hours, since nothing tells the lights, ",
        }
    }

    fn holds(self, lit: Option<&Lit>, step: usize) -> bool {
        match self {
            Self::LightsOn => lit.is_some_and(|l| l.period[step] == Some(Period::LightsOn)),
            Self::Dark => lit.is_some_and(|l| l.is_dark(step)),
            Self::All => true,
        }
    }
}

/// The air that it runs in against what it can do: the period that is worst
/// for it.
fn air_for_it(look: &Look<'_>, unit: &UnitRuns, model: &Model) -> Option<Line> {
    let series = look.series;
    let ran = running(look, unit);
    let runs_known = look.runs_from == RunsFrom::Log && ASKED_S <= ran.len() as f64 * series.step_s;
    let steps: Vec<usize> = if runs_known {
        ran
    } else {
        series.known().collect()
    };
    let mut worst: Option<(Vec<f64>, &str, f64, f64)> = None;
    let hours: &[Hours] = match look.lit {
        Some(_) => &[Hours::LightsOn, Hours::Dark],
        None => &[Hours::All],
    };
    for hours in hours {
        let those: Vec<usize> = steps
            .iter()
            .copied()
            .filter(|&i| hours.holds(look.lit, i))
            .collect();
        if (those.len() as f64) * series.step_s < ASKED_S {
            continue;
        }
        let (mut weights, mut looks, mut t_c, mut rh) = ([0.0; 3], 0.0, 0.0, 0.0);
        for i in some(&those) {
            let (t, h) = (series.dry_bulb_c[i], series.rel_humidity[i]);
            let Some(super::Known::Reading { weights: w, .. }) = inlet(
                model,
                Estimate::new(t, THERMOMETER_K.hypot(INLET_FOR_ROOM_K)),
                Estimate::new(h, HYGROMETER),
                look.pressure_pa,
            ) else {
                continue;
            };
            weights.iter_mut().zip(&w).for_each(|(a, b)| *a += b);
            (t_c, rh, looks) = (t_c + t, rh + h, looks + 1.0);
        }
        if 0.0 < looks {
            let weights: Vec<f64> = weights.iter().map(|w| w / looks).collect();
            if worst.as_ref().is_none_or(|(w, ..)| weights[2] < w[2]) {
                worst = Some((weights, hours.words(), t_c / looks, rh / looks));
            }
        }
    }
    let (weights, when, t_c, rh) = worst?;
    let said = Text::from(when)
        .words(if runs_known {
            "it runs in "
        } else {
            "the room has "
        })
        .value(Value::new(t_c, Dim::Temperature))
        .words(" and ")
        .value(Value::new(rh, Dim::RelHumidity))
        .words(" on the mean: too cold for it in ")
        .value(share(weights[0]))
        .words(" of that time, little expected in ")
        .value(share(weights[1]));
    Some(Line::Counts(reading("inlet-air", weights, said)))
}
