//! The log cut into half hours over which the balance must close.

use room::Period;

use super::coil_water::{drained, taken_and_given_back};
use super::lights::{LightsFrom, Lit};
use super::series::Series;
use super::units::{RoomUnit, RunsFrom, UnitRuns};

/// Length of the parts in which the balance is reckoned \[s\]; longer where
/// the log is coarser.
const PART_S: f64 = 300.0;
/// Length of a window over which it must close \[s\].
pub(super) const WINDOW_S: f64 = 1800.0;
/// Known time before a window, in windows: leaves and coils then have forgotten
/// how they were before.
const WINDOWS_BEFORE: usize = 2;
/// Time from and to which air before and after an end of a window is that beside
/// it \[s\].
const BESIDE_S: (f64, f64) = (300.0, 900.0);
/// Times that a window is in doubt in which, or beside which, lights switch
/// that only the room file tells of.
///
/// **Assumed**.
const DOUBT_AT_LIGHTS: f64 = 4.0;
/// Most windows: four weeks, the last of the log. A crop changes over more.
const MOST_WINDOWS: usize = 28 * 48;

/// A part of a window.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part {
    pub(super) dry_bulb_c: f64,
    /// By how much the dry bulb rises from its begin to its end \[K\].
    pub(super) rise_k: f64,
    pub(super) rel_humidity: f64,
    pub(super) second: f64,
    pub(super) light: f64,
    pub(super) period: Period,
    pub(super) outdoor: Option<f64>,
    /// The air before this part is not known: leaves and store start anew.
    pub(super) anew: bool,
    pub(super) length_s: f64,
    pub(super) first_run: usize,
}

/// What a unit did in a part.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Run {
    /// Share of the part that it ran.
    pub(super) share: f64,
    /// Water taken by its record at the logged air \[kg\].
    pub(super) taken_kg: f64,
    /// Water that went back from its coil \[kg\].
    pub(super) back_kg: f64,
    /// Removal by its record at the mean logged air \[kg/s\].
    pub(super) logged_kg_per_s: f64,
}

/// The air at an end of a window: dry bulb \[°C\] and relative humidity.
#[derive(Clone, Copy, Debug)]
pub(super) struct End {
    /// As logged there.
    pub(super) logged: (f64, f64),
    /// Mean over [`BESIDE_S`] before and after: of other readings than those.
    pub(super) beside: (f64, f64),
}

/// A window.
#[derive(Clone, Copy, Debug)]
pub(super) struct Window {
    /// First step of the series.
    pub(super) step: usize,
    pub(super) parts: (usize, usize),
    pub(super) begin: End,
    pub(super) end: End,
    /// Water counted in it \[kg\]; not a number if unknown.
    pub(super) counted_kg: f64,
    /// Times that what is not explained of it may be as large as of others.
    pub(super) doubt: f64,
}

/// What is laid into windows.
#[derive(Clone, Copy)]
pub(super) struct Laid<'a> {
    pub(super) series: &'a Series,
    pub(super) lit: &'a Lit,
    pub(super) units: &'a [RoomUnit],
    /// Of each unit, in their order.
    pub(super) runs: &'a [UnitRuns],
    pub(super) runs_from: RunsFrom,
    pub(super) pressure_pa: f64,
    /// Logged outdoor dry bulb by step \[°C\]; not a number where unknown.
    pub(super) outdoor_c: &'a [f64],
    /// Water counted by step \[kg\], if any was.
    pub(super) counted_kg: Option<&'a [f64]>,
}

/// The windows with their parts.
pub(super) struct Windows {
    pub(super) parts: Vec<Part>,
    /// What each unit did in each part.
    pub(super) runs: Vec<Run>,
    pub(super) all: Vec<Window>,
    /// Share of a part beyond the end of a window of which the air at its end
    /// tells, since that is a mean around it.
    pub(super) beyond: f64,
}

impl Windows {
    /// Windows whose air and runs are known throughout, the last of the log.
    pub(super) fn of(laid: &Laid<'_>) -> Self {
        let Laid {
            series,
            lit,
            units,
            runs,
            runs_from,
            pressure_pa,
            outdoor_c,
            counted_kg,
        } = *laid;
        let mut windows = Self {
            parts: Vec::new(),
            runs: Vec::new(),
            all: Vec::new(),
            beyond: 0.0,
        };
        let per_part = (PART_S / series.step_s).round().max(1.0) as usize;
        // Readings up to so many steps after the end are in its mean; each tells
        // of all that flowed before it.
        let around = per_part / 2;
        windows.beyond = (around * (around + 1)) as f64 / (2 * (per_part | 1) * per_part) as f64;
        let part_s = per_part as f64 * series.step_s;
        let per_window = (WINDOW_S / part_s).round().max(1.0) as usize * per_part;
        let complete = |from: usize| {
            (from..=from + per_window).all(|i| {
                series.knows(i)
                    && lit.period[i].is_some()
                    && runs.iter().all(|r| r.run[i].is_finite())
            })
        };
        let mut starts = Vec::new();
        let (mut from, mut known) = (0, 0);
        while from + per_window < series.len() {
            if complete(from) {
                known += 1;
                if WINDOWS_BEFORE < known {
                    starts.push(from);
                }
                from += per_window;
            } else {
                known = 0;
                from += per_part;
            }
        }
        let starts = starts.split_off(starts.len().saturating_sub(MOST_WINDOWS));
        let water_of_units: Vec<Vec<(f64, f64)>> = units
            .iter()
            .zip(runs)
            .map(|(unit, runs)| match runs_from {
                RunsFrom::Count => drained(series, unit, runs),
                RunsFrom::Log | RunsFrom::Setpoint => {
                    taken_and_given_back(series, unit, runs, pressure_pa)
                }
            })
            .collect();
        let mean = |values: &[f64], from: usize, n: usize| {
            values[from..from + n].iter().sum::<f64>() / n as f64
        };
        // Of what is read at single moments, the end of the part as well.
        let over = |values: &[f64], from: usize| {
            let ends = f64::midpoint(values[from], values[from + per_part]);
            (ends + values[from + 1..from + per_part].iter().sum::<f64>()) / per_part as f64
        };
        // Single readings are noisy: the middle of some around a moment.
        let at = |values: &[f64], i: usize| {
            known_mean(&values[i.saturating_sub(around)..(i + around + 1).min(series.len())])
        };
        let (near, far) = (BESIDE_S.0 / series.step_s, BESIDE_S.1 / series.step_s);
        let (near, far) = (near.round() as usize, far.round() as usize);
        let beside = |values: &[f64], i: usize| {
            let before = i.saturating_sub(far)..(i + 1).saturating_sub(near);
            let after = (i + near).min(series.len())..(i + far + 1).min(series.len());
            let both = [&values[before], &values[after]].map(known_mean);
            let known = || both.into_iter().filter(|x| x.is_finite());
            match known().count() {
                0 => at(values, i),
                n => known().sum::<f64>() / n as f64,
            }
        };
        // The log's clock and the room's timer may differ by minutes, which moves
        // the heat of all lamps from one half hour to the next.
        let doubt_of = |start: usize| {
            let near = start.saturating_sub(per_window)..start + 2 * per_window;
            let switched = lit.came_on.iter().chain(&lit.went_out);
            match lit.from {
                LightsFrom::RoomFile if switched.into_iter().any(|i| near.contains(i)) => {
                    DOUBT_AT_LIGHTS
                }
                _ => 1.0,
            }
        };
        let mut before = None;
        for &start in &starts {
            let first = windows.parts.len();
            for from in (start..start + per_window).step_by(per_part) {
                let middle = from + per_part / 2;
                let first_run = windows.runs.len();
                let (t, rh) = (
                    over(&series.dry_bulb_c, from),
                    over(&series.rel_humidity, from),
                );
                for (i, unit) in runs.iter().enumerate() {
                    let part = &water_of_units[i][from..from + per_part];
                    windows.runs.push(Run {
                        share: mean(&unit.run, from, per_part),
                        taken_kg: part.iter().map(|(taken, _)| taken).sum(),
                        back_kg: part.iter().map(|(_, back)| back).sum(),
                        logged_kg_per_s: units[i].table.at(t, rh).removal_kg_per_s,
                    });
                }
                let outdoor = over(outdoor_c, from);
                windows.parts.push(Part {
                    dry_bulb_c: t,
                    rise_k: at(&series.dry_bulb_c, from + per_part) - at(&series.dry_bulb_c, from),
                    rel_humidity: rh,
                    second: f64::from(series.second[middle]),
                    light: mean(&lit.share, from, per_part),
                    period: lit.period[middle].unwrap_or(Period::LightsOff),
                    outdoor: outdoor.is_finite().then_some(outdoor),
                    anew: from == start && before != Some(start),
                    length_s: part_s,
                    first_run,
                });
            }
            before = Some(start + per_window);
            let air_at = |i: usize| End {
                logged: (at(&series.dry_bulb_c, i), at(&series.rel_humidity, i)),
                beside: (
                    beside(&series.dry_bulb_c, i),
                    beside(&series.rel_humidity, i),
                ),
            };
            windows.all.push(Window {
                step: start,
                parts: (first, windows.parts.len()),
                begin: air_at(start),
                end: air_at(start + per_window),
                doubt: doubt_of(start),
                counted_kg: counted_kg
                    .map_or(f64::NAN, |kg| kg[start..start + per_window].iter().sum()),
            });
        }
        windows
    }
}

fn known_mean(values: &[f64]) -> f64 {
    let known = || values.iter().filter(|x| x.is_finite());
    known().sum::<f64>() / known().count() as f64
}
