//! When a unit ran: by its power or state, else by the humidistat of the room
//! file.

use crop::Lag;
use readings::Measure;
use room::{Room, Staging};

use super::series::Series;
use super::setpoint::over_setpoint;

/// Share of each step that a unit ran.
pub(super) fn running(values: &[f64], measure: Measure) -> Vec<f64> {
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

/// Which units the control of the room file runs over the logged humidity: on
/// above setpoint and half the deadband, off below setpoint less half, each at
/// least as long as it must; one at a time where they are staged. Of each unit,
/// share of each step; not a number where the air is unknown.
///
/// - `step`: the coarsest step of relative humidity of those where it is set
/// - `least_runs_s`: least time that each unit runs, and that it rests
pub(super) fn humidistat(
    room: &Room,
    step: Option<f64>,
    series: &Series,
    least_runs_s: &[(f64, f64)],
) -> Vec<Vec<f64>> {
    let control = &room.control;
    let stage_s = match control.staging.value {
        Staging::All => None,
        Staging::Step => Some(control.stage_delay_s.value),
    };
    let sensor = Lag {
        passed_s: series.step_s,
        time_constant_s: control.sensor_lag_s.value,
    };
    let follow = 1.0 - sensor.left();
    let mut units = vec![Switch::RESTED; least_runs_s.len()];
    let (mut started_s, mut stopped_s) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
    let mut felt: Option<f64> = None;
    let mut runs = vec![vec![f64::NAN; series.len()]; units.len()];
    for i in 0..series.len() {
        if !series.knows(i) {
            felt = None;
            continue;
        }
        let now_s = i as f64 * series.step_s;
        let over = over_setpoint(room, step, series, i).unwrap_or(-2.0);
        let value = felt.map_or(over, |before| before + follow * (over - before));
        felt = Some(value);
        let turn = |since_s: f64| stage_s.is_none_or(|wait_s| wait_s <= now_s - since_s);
        let (mut may_start, mut may_stop) = (turn(started_s), turn(stopped_s));
        // The first resting unit starts, the last running one stops.
        if 1.0 < value {
            for (unit, (least_on_s, _)) in units.iter_mut().zip(least_runs_s) {
                if may_start && unit.switches(true, now_s, *least_on_s) {
                    started_s = now_s;
                    may_start = stage_s.is_none();
                }
            }
        } else if value < -1.0 {
            for (unit, (_, least_off_s)) in units.iter_mut().zip(least_runs_s).rev() {
                // Staged, none before the last running one may stop.
                let turn = may_stop;
                may_stop &= stage_s.is_none() || !unit.on;
                if turn && unit.switches(false, now_s, *least_off_s) {
                    stopped_s = now_s;
                }
            }
        }
        for (run, unit) in runs.iter_mut().zip(&units) {
            run[i] = f64::from(u8::from(unit.on));
        }
    }
    runs
}

/// A unit under the humidistat.
#[derive(Clone, Copy, Debug)]
struct Switch {
    on: bool,
    /// Until when it must go on as it is \[s\].
    until_s: f64,
}

impl Switch {
    const RESTED: Self = Self {
        on: false,
        until_s: f64::NEG_INFINITY,
    };

    /// Switches it if it is not so already and may be; whether it did.
    fn switches(&mut self, on: bool, now_s: f64, least_s: f64) -> bool {
        let does = self.on != on && self.until_s <= now_s;
        if does {
            *self = Self {
                on,
                until_s: now_s + least_s,
            };
        }
        does
    }
}
