//! When the units ran, how often they started, whether they pull down.

use equipment::Catalog;
use readings::Measure;
use room::{Room, UnitState};

use super::series::{Sensor, Series};
use super::setpoint::over_setpoint;
use crate::error::JobError;
use crate::machines::{self, Nodes};
use crate::placement::PlacedUnit;
use crate::units::{UnitAir, UnitSet};
use crate::zone;
use roomsim::setup::{CoilWater, Fan};
use roomsim::{Coil, RemovalTable};
use std::sync::Arc;

/// A unit of the room.
#[derive(Clone, Debug)]
pub(crate) struct RoomUnit {
    /// Its tag.
    pub(crate) tag: String,
    /// Its model.
    pub(crate) model: String,
    /// What it removes at each air.
    pub(crate) table: Arc<RemovalTable>,
    /// Water on its coil.
    pub(crate) coil: CoilWater,
    /// Habit of its fan.
    pub(crate) fan: Fan,
}

/// How it is known when units ran.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RunsFrom {
    /// Power or state in the log.
    Log,
    /// The humidistat of the room file, followed over the logged humidity.
    Humidistat,
}

impl RunsFrom {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Log => "power or state of units in the log",
            Self::Humidistat => {
                "no unit in the log: the setpoint of the room file, followed over the logged humidity"
            }
        }
    }
}

/// What one unit did.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitRuns {
    /// Its tag.
    pub tag: String,
    /// Its model.
    pub model: String,
    /// The channel that tells, if one does.
    pub channel: Option<String>,
    /// Usual time between its readings \[s\].
    pub interval_s: f64,
    /// Share of each step that it ran; not a number where unknown.
    pub run: Vec<f64>,
    /// Starts.
    pub starts: usize,
    /// Most starts in any hour.
    pub most_starts_per_hour: usize,
    /// Share of the known time that it ran.
    pub run_share: f64,
    /// Middle length of its runs \[s\]; `None` without a whole run.
    pub usual_run_s: Option<f64>,
    /// How the air answers to its starts and stops, over what its record says;
    /// `None` where too few switchings stand alone.
    pub pull_down: Option<PullDown>,
}

/// How the room's humidity ratio answers to one unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PullDown {
    /// Change of slope of the humidity ratio at its switchings over that which
    /// its record asks for.
    pub factor: f64,
    /// Standard deviation of it.
    pub deviation: f64,
    /// Switchings it rests on.
    pub switchings: usize,
}

/// Fewest switchings that say anything of a unit.
const LEAST_SWITCHINGS: usize = 6;
/// Time to each side of a switching over which slopes are taken \[s\].
const SLOPE_S: f64 = 600.0;

/// The units that stand in the room, else those of `set`, D1, D2 and on.
///
/// # Errors
/// A model that is not in the catalogue or cannot be tabulated.
pub(super) fn of_room(
    room: &Room,
    catalog: &Catalog,
    set: &UnitSet,
    placed: &[PlacedUnit],
    pressure_pa: f64,
) -> Result<Vec<RoomUnit>, JobError> {
    let there: Vec<(String, String)> = room
        .units
        .iter()
        .filter(|u| u.state.value == UnitState::InUse)
        .map(|u| (u.tag.value.clone(), u.model.value.clone()))
        .collect();
    let all = if there.is_empty() {
        let tags = (1..).map(|n| format!("D{n}"));
        tags.zip(set.models().map(str::to_owned)).collect()
    } else {
        there
    };
    all.into_iter()
        .map(|(tag, code)| {
            let model = machines::record(&catalog.dehumidifiers, &code, &tag)?;
            let share = placed
                .iter()
                .find(|p| p.tag == tag)
                .map_or(room.selection.short_circuit.value, |p| p.short_circuit);
            let air = UnitAir {
                short_circuit: share,
                ducted_m3_per_s: None,
            };
            let table = machines::removal_table(model, pressure_pa, air, Nodes::Fine)?;
            Ok(RoomUnit {
                tag,
                coil: zone::coil_of(model),
                fan: zone::fan_of(room, model),
                model: code,
                table,
            })
        })
        .collect()
}

/// Follows each unit through the log.
pub(super) fn runs(
    room: &Room,
    series: &Series,
    sensors: &[Sensor],
    units: &[RoomUnit],
    held_kg_per_ratio: f64,
) -> (RunsFrom, Vec<UnitRuns>) {
    let channels: Vec<&Sensor> = sensors
        .iter()
        .filter(|s| matches!(s.measure, Measure::UnitPower | Measure::UnitState))
        .collect();
    let of_unit = joined(&channels, units);
    let from = if of_unit.iter().any(Option::is_some) {
        RunsFrom::Log
    } else {
        RunsFrom::Humidistat
    };
    let by_humidistat = match from {
        RunsFrom::Log => Vec::new(),
        RunsFrom::Humidistat => humidistat(room, series),
    };
    let all_runs: Vec<Vec<f64>> = of_unit
        .iter()
        .map(|channel| match channel {
            Some(c) => running(&channels[*c].values, channels[*c].measure),
            None if from == RunsFrom::Log => vec![f64::NAN; series.len()],
            None => by_humidistat.clone(),
        })
        .collect();
    let runs = units
        .iter()
        .enumerate()
        .map(|(i, unit)| {
            let run = all_runs[i].clone();
            let starts: Vec<usize> = (1..run.len())
                .filter(|&k| run[k - 1] < 0.5 && 0.5 <= run[k])
                .collect();
            let stops: Vec<usize> = (1..run.len())
                .filter(|&k| 0.5 <= run[k - 1] && run[k] < 0.5)
                .collect();
            let known: Vec<f64> = run.iter().copied().filter(|x| x.is_finite()).collect();
            let alone = from == RunsFrom::Log
                && of_unit[i]
                    .is_some_and(|c| of_unit.iter().filter(|o| **o == Some(c)).count() == 1);
            UnitRuns {
                tag: unit.tag.clone(),
                model: unit.model.clone(),
                channel: of_unit[i].map(|c| channels[c].name.clone()),
                interval_s: of_unit[i].map_or(series.step_s, |c| channels[c].interval_s),
                most_starts_per_hour: most_in_an_hour(&starts, series.step_s),
                run_share: known.iter().sum::<f64>() / known.len().max(1) as f64,
                usual_run_s: usual_run_s(&starts, &stops, series.step_s),
                pull_down: if alone {
                    pull_down(series, &all_runs, i, unit, held_kg_per_ratio)
                } else {
                    None
                },
                starts: starts.len(),
                run,
            }
        })
        .collect();
    (from, runs)
}

/// Which channel tells of each unit: by its tag in the name; channels without
/// a tag go to units without one in their order; one channel for all units
/// tells of all.
fn joined(channels: &[&Sensor], units: &[RoomUnit]) -> Vec<Option<usize>> {
    let words = |s: &Sensor| -> Vec<String> {
        s.name
            .split(|c: char| !c.is_alphanumeric())
            .map(str::to_lowercase)
            .collect()
    };
    let mut of_unit: Vec<Option<usize>> = units
        .iter()
        .map(|u| {
            let tag = u.tag.to_lowercase();
            // Power tells more than a state that was asked for.
            let those = || {
                channels
                    .iter()
                    .enumerate()
                    .filter(|(_, s)| words(s).contains(&tag))
            };
            let power = those().find(|(_, s)| s.measure == Measure::UnitPower);
            power.or_else(|| those().next()).map(|(i, _)| i)
        })
        .collect();
    let free: Vec<usize> = (0..channels.len())
        .filter(|i| !of_unit.contains(&Some(*i)))
        .collect();
    let open: Vec<usize> = (0..units.len()).filter(|i| of_unit[*i].is_none()).collect();
    if free.len() == open.len() {
        for (unit, channel) in open.iter().zip(&free) {
            of_unit[*unit] = Some(*channel);
        }
    } else if let ([channel], true) = (&free[..], open.len() == units.len()) {
        of_unit.fill(Some(*channel));
    }
    of_unit
}

/// Share of each step that a unit ran.
fn running(values: &[f64], measure: Measure) -> Vec<f64> {
    if measure == Measure::UnitState {
        return values.to_vec();
    }
    let mut sorted: Vec<f64> = values.iter().copied().filter(|x| x.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    let at = |share: f64| sorted.get((share * sorted.len() as f64) as usize).copied();
    let (Some(rest), Some(full)) = (at(0.02), at(0.98)) else {
        return values.to_vec();
    };
    // A unit that never draws power never ran; one that always does always ran.
    const LEAST_W: f64 = 60.0;
    let (rest, full) = if full < LEAST_W {
        (0.0, f64::INFINITY)
    } else if 0.6 * full < rest {
        (0.0, rest)
    } else {
        (rest, full)
    };
    values
        .iter()
        .map(|x| {
            let share = (x - rest) / (full - rest);
            // Power follows the air by a tenth or two: what is nearly full is full.
            if 0.8 < share {
                1.0
            } else if share < 0.1 {
                0.0
            } else {
                share
            }
        })
        .collect()
}

/// On above setpoint and half the deadband, off below setpoint less half.
fn humidistat(room: &Room, series: &Series) -> Vec<f64> {
    let mut on = false;
    (0..series.len())
        .map(|i| {
            if !series.knows(i) {
                return f64::NAN;
            }
            let over = over_setpoint(room, series, i).unwrap_or(-2.0);
            on = 1.0 < over || (on && -1.0 < over);
            f64::from(u8::from(on))
        })
        .collect()
}

fn most_in_an_hour(starts: &[usize], step_s: f64) -> usize {
    let hour = (3600.0 / step_s).round() as usize;
    (0..starts.len())
        .map(|i| {
            starts[i..]
                .iter()
                .take_while(|s| **s - starts[i] < hour)
                .count()
        })
        .max()
        .unwrap_or(0)
}

fn usual_run_s(starts: &[usize], stops: &[usize], step_s: f64) -> Option<f64> {
    let mut lengths: Vec<usize> = starts
        .iter()
        .filter_map(|s| stops.iter().find(|t| *s < **t).map(|t| t - s))
        .collect();
    lengths.sort_unstable();
    lengths.get(lengths.len() / 2).map(|n| *n as f64 * step_s)
}

/// Slope of the humidity ratio after each switching of one unit less that
/// before, where no other unit switches near it.
fn pull_down(
    series: &Series,
    all_runs: &[Vec<f64>],
    which: usize,
    unit: &RoomUnit,
    held_kg_per_ratio: f64,
) -> Option<PullDown> {
    let width = (SLOPE_S / series.step_s).round().max(2.0) as usize;
    let switches = |run: &[f64], k: usize| (run[k - 1] < 0.5) != (run[k] < 0.5);
    let mut factors = Vec::new();
    for k in width..series.len().saturating_sub(width) {
        if !switches(&all_runs[which], k) {
            continue;
        }
        let near = k - width + 1..k + width;
        let alone = all_runs.iter().enumerate().all(|(i, run)| {
            near.clone()
                .all(|j| run[j].is_finite() && (i == which && j == k || !switches(run, j)))
        });
        if !alone || !near.clone().all(|j| series.knows(j)) {
            continue;
        }
        let slope = |from: usize, to: usize| {
            (series.humidity_ratio[to] - series.humidity_ratio[from])
                / ((to - from) as f64 * series.step_s)
        };
        let starts = 0.5 <= all_runs[which][k];
        let change = slope(k, k + width - 1) - slope(k - width + 1, k);
        let removal = unit
            .table
            .at(series.dry_bulb_c[k], series.rel_humidity[k])
            .removal_kg_per_s;
        if 0.0 < removal {
            let answer = if starts { -change } else { change };
            factors.push(answer * held_kg_per_ratio / removal);
        }
    }
    let n = factors.len();
    if n < LEAST_SWITCHINGS {
        return None;
    }
    let mean = factors.iter().sum::<f64>() / n as f64;
    let variance = factors.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1) as f64;
    Some(PullDown {
        factor: mean,
        deviation: (variance / n as f64).sqrt(),
        switchings: n,
    })
}

/// Water that a unit took from the air and gave back in each step by its
/// record \[kg\]; not a number where its running or the air is unknown.
pub(super) fn taken_and_given_back(
    series: &Series,
    unit: &RoomUnit,
    runs: &UnitRuns,
    pressure_pa: f64,
) -> Vec<(f64, f64)> {
    let run = &runs.run;
    let interval = (runs.interval_s / series.step_s).round() as usize;
    let dt = series.step_s;
    let mut coil = Coil::new(&unit.coil, dt);
    let on = switched(run, interval);
    (0..series.len())
        .map(|i| {
            if !series.knows(i) || !run[i].is_finite() {
                coil = Coil::new(&unit.coil, dt);
                return (f64::NAN, f64::NAN);
            }
            if on[i] {
                let point = unit.table.at(series.dry_bulb_c[i], series.rel_humidity[i]);
                let taken = point.removal_kg_per_s * coil.running() * dt;
                coil.wet(taken);
                (taken, 0.0)
            } else if unit.fan == Fan::Continuous && 0.0 < coil.water_kg() {
                let wet_bulb_c =
                    air::wet_bulb_c(series.dry_bulb_c[i], series.humidity_ratio[i], pressure_pa);
                (0.0, coil.drying(series.dry_bulb_c[i] - wet_bulb_c))
            } else {
                coil.resting();
                (0.0, 0.0)
            }
        })
        .collect()
}

/// Shares of a step as on and off, where a mean over each interval of the log
/// is all that is known: the unit ran at that end of an interval at which it
/// ran before or after.
fn switched(run: &[f64], interval: usize) -> Vec<bool> {
    let mut on = Vec::with_capacity(run.len());
    let intervals: Vec<&[f64]> = run
        .chunk_by(|a, b| a == b)
        .flat_map(|same| same.chunks(interval.max(1)))
        .collect();
    for (k, same) in intervals.iter().enumerate() {
        let share =
            |other: Option<usize>| other.and_then(|o| intervals.get(o)).map_or(0.0, |s| s[0]);
        let (before, after) = (share(k.checked_sub(1)), share(Some(k + 1)));
        let n = same.len();
        let ran = (same[0] * n as f64).round() as usize;
        // A pause between two runs lies in the middle.
        let first = match (0.5 <= before, 0.5 <= after) {
            (true, true) => ran.div_ceil(2),
            (false, true) => 0,
            _ if before < after => 0,
            _ => ran,
        };
        on.extend((0..n).map(|i| i < first || n <= i + ran - first));
    }
    on
}

/// How often the humidity turns back by more than a deadband \[1/s\]: what
/// shows the cycling of units where nothing logs them.
pub(super) fn sawtooth_per_s(room: &Room, series: &Series) -> f64 {
    let width = room.control.deadband.value.max(0.02) / 2.0;
    let (mut turns, mut known_s) = (0_usize, 0.0);
    let (mut low, mut high, mut rising) = (f64::INFINITY, f64::NEG_INFINITY, true);
    for i in series.known() {
        known_s += series.step_s;
        let x = series.rel_humidity[i];
        if rising {
            high = high.max(x);
            if x < high - width {
                (rising, low) = (false, x);
                turns += 1;
            }
        } else {
            low = low.min(x);
            if low + width < x {
                (rising, high) = (true, x);
            }
        }
    }
    if 0.0 < known_s {
        turns as f64 / known_s
    } else {
        0.0
    }
}

/// Water removed as it was counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Counted {
    /// Counted in each step \[kg\]; not a number where nothing is known.
    pub kg: Vec<f64>,
    /// In all \[kg\].
    pub all_kg: f64,
    /// Over the time from the first to the last count \[s\].
    pub over_s: f64,
}

/// What counters and amounts in the log add up to; `None` without any.
pub(super) fn counted(series: &Series, sensors: &[Sensor]) -> Option<Counted> {
    let mut kg = vec![f64::NAN; series.len()];
    let mut add = |i: usize, amount: f64| {
        kg[i] = if kg[i].is_finite() {
            kg[i] + amount
        } else {
            amount
        };
    };
    let mut any = false;
    for sensor in sensors {
        match sensor.measure {
            Measure::Water => {
                for (i, x) in sensor
                    .values
                    .iter()
                    .enumerate()
                    .filter(|(_, x)| x.is_finite())
                {
                    any = true;
                    add(i, *x);
                }
            }
            Measure::WaterCounter => {
                let known: Vec<usize> = (0..series.len())
                    .filter(|&i| sensor.values[i].is_finite())
                    .collect();
                for pair in known.windows(2) {
                    let rise = sensor.values[pair[1]] - sensor.values[pair[0]];
                    // A counter that falls was set back: what came between is
                    // not known, what it shows since is the least.
                    let amount = if rise < 0.0 {
                        sensor.values[pair[1]]
                    } else {
                        rise
                    };
                    any = true;
                    add(pair[1], amount);
                }
            }
            _ => {}
        }
    }
    let known: Vec<usize> = (0..kg.len()).filter(|&i| kg[i].is_finite()).collect();
    let (first, last) = (*known.first()?, *known.last()?);
    any.then(|| Counted {
        all_kg: known.iter().map(|&i| kg[i]).sum(),
        over_s: (last - first + 1) as f64 * series.step_s,
        kg,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn means_of_running_become_runs_that_join() {
        let of = |shares: &[f64]| {
            let run: Vec<f64> = shares.iter().flat_map(|s| [*s; 5]).collect();
            let on = switched(&run, 5);
            on.iter()
                .map(|on| if *on { '1' } else { '0' })
                .collect::<String>()
        };
        assert_eq!(of(&[0.0, 0.4, 1.0, 0.6, 0.0]), "0000000011111111110000000");
        assert_eq!(of(&[1.0, 0.6, 1.0]), "111111100111111");
        assert_eq!(of(&[0.4, 0.4]).matches('1').count(), 4);
    }
}
