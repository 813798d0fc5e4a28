//! Whether a unit pulls the room down: how the humidity answers when it starts
//! and stops.

use super::coil_water::taken_and_given_back;
use super::series::Series;
use super::units::{RoomUnit, UnitRuns};

/// How the room's humidity ratio answers to one unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PullDown {
    /// Change of slope of the humidity ratio at its switchings over that which
    /// its record asks for; over that of the other units where theirs is more
    /// than their records ask for.
    pub factor: f64,
    /// Standard deviation of it.
    pub deviation: f64,
    /// Switchings it rests on.
    pub switchings: usize,
    /// Change of the water taken that the air shows at a switching, mean
    /// \[kg/s\].
    pub answered_kg_per_s: f64,
    /// The same as the record asks for \[kg/s\].
    pub asked_kg_per_s: f64,
}

/// Fewest switchings that say anything of a unit.
const LEAST_SWITCHINGS: usize = 6;
/// Time to each side of a switching over which slopes are taken \[s\]; longer
/// where readings are further apart.
const SLOPE_S: f64 = 600.0;
/// A switching asks for at least this share of what a unit takes: a start on a
/// coil that was wet, or a short run, says too little.
const LEAST_ASKED: f64 = 0.5;

/// What the room's air and what lies about hold of water.
#[derive(Clone, Copy, Debug)]
pub(super) struct Held {
    /// Water per change of the humidity ratio \[kg\].
    pub(super) kg_per_ratio: f64,
    /// Standard deviation of the logarithm of it.
    pub(super) deviation: f64,
    /// Water from a surveyed layer per vapour pressure \[kg/(s Pa)\].
    pub(super) layer_kg_per_s_pa: f64,
}

/// How the air answers to each unit that has a channel of its own: slope of the
/// humidity ratio after each of its switchings less that before, where no other
/// unit switches near it, over what its record asks for.
pub(super) fn pull_downs(
    series: &Series,
    units: &[RoomUnit],
    runs: &[UnitRuns],
    held: Held,
    pressure_pa: f64,
) -> Vec<Option<PullDown>> {
    let own = |r: &UnitRuns| {
        let same = runs.iter().filter(|o| o.channel == r.channel);
        r.channel.is_some() && same.count() == 1
    };
    let by_itself: Vec<Option<PullDown>> = units
        .iter()
        .zip(runs)
        .enumerate()
        .map(|(which, (unit, of_unit))| {
            let by_record = || -> Vec<f64> {
                taken_and_given_back(series, unit, of_unit, pressure_pa)
                    .into_iter()
                    .map(|(taken, back)| (taken - back) / unit.over_record.likely / series.step_s)
                    .collect()
            };
            own(of_unit)
                .then(|| pull_down(series, runs, which, &by_record(), held))
                .flatten()
        })
        .collect();
    (0..by_itself.len())
        .map(|which| against_others(&by_itself, which))
        .collect()
}

/// What the room holds is common to all its units: where the others answer with
/// more than their records ask for, it was reckoned too large, for this unit as
/// well.
fn against_others(all: &[Option<PullDown>], which: usize) -> Option<PullDown> {
    let own = all[which]?;
    let others = all.iter().enumerate().filter(|(i, _)| *i != which);
    let (weighed, weight) = others
        .filter_map(|(_, other)| *other)
        .map(|other| (other.factor, other.deviation.powi(-2)))
        .fold((0.0, 0.0), |(x, all), (factor, w)| {
            (x + w * factor, all + w)
        });
    if weight <= 0.0 || !weight.is_finite() {
        return Some(own);
    }
    let scale = (weighed / weight).max(1.0);
    Some(PullDown {
        factor: own.factor / scale,
        deviation: own.deviation / scale,
        answered_kg_per_s: own.answered_kg_per_s / scale,
        ..own
    })
}

/// - `by_record`: water that the unit takes by its record in each step \[kg/s\]
fn pull_down(
    series: &Series,
    runs: &[UnitRuns],
    which: usize,
    by_record: &[f64],
    held: Held,
) -> Option<PullDown> {
    let span_s = SLOPE_S.max(2.0 * runs[which].interval_s);
    let width = (span_s / series.step_s).round().max(2.0) as usize;
    let switches = |run: &[f64], k: usize| (run[k - 1] < 0.5) != (run[k] < 0.5);
    let most = by_record.iter().copied().fold(0.0, f64::max);
    let over = |of: &dyn Fn(usize) -> f64, (from, to): (usize, usize)| {
        (from..to).map(of).sum::<f64>() / (to - from) as f64
    };
    // Answered and asked [kg/s], a start and a stop alike.
    let mut all: Vec<(f64, f64)> = Vec::new();
    for k in width..series.len().saturating_sub(width) {
        if !switches(&runs[which].run, k) {
            continue;
        }
        let near = k - width + 1..k + width;
        let alone = runs.iter().enumerate().all(|(i, r)| {
            near.clone()
                .all(|j| r.run[j].is_finite() && (i == which && j == k || !switches(&r.run, j)))
        });
        if !alone || !near.clone().all(|j| series.knows(j)) {
            continue;
        }
        let (before, after) = ((k - width, k - 1), (k, k + width - 1));
        let slope = |(from, to): (usize, usize)| {
            (series.humidity_ratio[to] - series.humidity_ratio[from])
                / ((to - from) as f64 * series.step_s)
        };
        let change = |of: &dyn Fn(usize) -> f64| over(of, after) - over(of, before);
        let vapour_pa =
            |i: usize| series.rel_humidity[i] * air::saturation_pressure_pa(series.dry_bulb_c[i]);
        let asked = change(&|i| by_record[i]);
        if asked.abs() < LEAST_ASKED * most || !asked.is_finite() {
            continue;
        }
        // What comes out of a layer while the air dries is taken too.
        let answer = held.kg_per_ratio * (slope(before) - slope(after))
            - held.layer_kg_per_s_pa * change(&vapour_pa);
        all.push((answer * asked.signum(), asked.abs()));
    }
    let n = all.len();
    if n < LEAST_SWITCHINGS {
        return None;
    }
    let mean = |of: &dyn Fn(&(f64, f64)) -> f64| all.iter().map(of).sum::<f64>() / n as f64;
    let (answered, asked) = (mean(&|x| x.0), mean(&|x| x.1));
    let factor = answered / asked;
    let rests = mean(&|x| (x.0 - factor * x.1).powi(2)) / (n - 1) as f64;
    Some(PullDown {
        factor,
        // What the room holds is the same at every switching: more of them make
        // it no surer.
        deviation: (rests / asked.powi(2) + (factor * held.deviation).powi(2)).sqrt(),
        switchings: n,
        answered_kg_per_s: answered,
        asked_kg_per_s: asked,
    })
}
