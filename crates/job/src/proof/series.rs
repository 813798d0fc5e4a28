//! What the logs say of the room's air, step by step on one clock.

use air::{MoistAir, Property};
use readings::{Grid, Measure, WallClock};

/// Readings further apart than this many usual intervals have a gap between.
const GAP_INTERVALS: usize = 3;
/// No reading stands for longer than this \[s\].
const LONGEST_S: f64 = 3600.0;

/// One channel of a log over the steps, its own gaps filled.
#[derive(Clone, Debug, PartialEq)]
pub struct Sensor {
    /// Its name.
    pub name: String,
    /// What it measures.
    pub measure: Measure,
    /// Usual time between its readings \[s\].
    pub interval_s: f64,
    /// In SI, by step; not a number where there is none.
    pub values: Vec<f64>,
}

/// The room's air by step. Not a number where nothing is known.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Series {
    /// Length of a step \[s\].
    pub step_s: f64,
    /// Begin of each step \[s since 1970 UTC\].
    pub instant_s: Vec<i64>,
    /// Day on the wall clock, since 1970.
    pub day: Vec<i64>,
    /// Second after midnight on the wall clock.
    pub second: Vec<u32>,
    /// Dry bulb \[°C\].
    pub dry_bulb_c: Vec<f64>,
    /// Relative humidity, 0 to 1.
    pub rel_humidity: Vec<f64>,
    /// VPD of the air \[Pa\].
    pub vpd_pa: Vec<f64>,
    /// Dew point \[°C\].
    pub dew_point_c: Vec<f64>,
    /// Humidity ratio \[kg/kg\].
    pub humidity_ratio: Vec<f64>,
}

impl Series {
    /// Number of steps.
    pub fn len(&self) -> usize {
        self.instant_s.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.instant_s.is_empty()
    }

    /// Whether the air is known at a step.
    pub fn knows(&self, step: usize) -> bool {
        self.humidity_ratio[step].is_finite()
    }

    /// Date and time of a step on the wall clock, as "2025-03-01 07:30".
    pub fn moment(&self, step: usize) -> String {
        let (Some(day), Some(second)) = (self.day.get(step), self.second.get(step)) else {
            return "?".into();
        };
        let (hour, minute) = (second / 3600, second / 60 % 60);
        format!("{} {hour:02}:{minute:02}", readings::date(*day))
    }

    /// Steps at which the air is known.
    pub fn known(&self) -> impl Iterator<Item = usize> {
        (0..self.len()).filter(|&i| self.knows(i))
    }
}

/// The channels of the logs, each filled between its readings.
pub(super) fn sensors(grid: &Grid) -> Vec<Sensor> {
    let step_s = grid.step_s() as f64;
    grid.channels()
        .iter()
        .enumerate()
        .map(|(i, channel)| {
            let read = match channel.measure {
                Measure::Water => grid.sums(i),
                _ => grid.means(i),
            };
            let counts = grid.counts(i);
            let at: Vec<usize> = (0..counts.len()).filter(|&i| counts[i] != 0).collect();
            let mut gaps: Vec<usize> = at.windows(2).map(|w| w[1] - w[0]).collect();
            gaps.sort_unstable();
            let usual = gaps.get(gaps.len() / 2).copied().unwrap_or(1);
            let values = match channel.measure {
                // Amounts belong to their step; nothing lies between them.
                Measure::Water => read
                    .iter()
                    .zip(&counts)
                    .map(|(x, n)| if *n == 0 { f64::NAN } else { *x })
                    .collect(),
                measure => {
                    let most = (GAP_INTERVALS * usual)
                        .min((LONGEST_S / step_s) as usize)
                        .max(usual);
                    filled(read, &at, most, holds(measure))
                }
            };
            Sensor {
                name: channel.name.clone(),
                measure: channel.measure,
                interval_s: usual as f64 * step_s,
                values,
            }
        })
        .collect()
}

/// Whether a reading stands until the next one, instead of leading to it.
const fn holds(measure: Measure) -> bool {
    matches!(
        measure,
        Measure::UnitPower | Measure::UnitState | Measure::Irrigation | Measure::Light
    )
}

/// Between readings no more than `most` steps apart, straight lines; or the
/// reading before.
fn filled(mut values: Vec<f64>, at: &[usize], most: usize, hold: bool) -> Vec<f64> {
    for pair in at.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        if most < b - a {
            continue;
        }
        let (x, y) = (values[a], values[b]);
        for (k, between) in (1..).zip(&mut values[a + 1..b]) {
            let share = f64::from(k) / (b - a) as f64;
            *between = if hold { x } else { x + (y - x) * share };
        }
    }
    values
}

/// The room's air from the sensors that count: their middle at each step.
pub(super) fn series(
    grid: &Grid,
    clock: &WallClock,
    sensors: &[Sensor],
    counts: &[bool],
    pressure_pa: f64,
) -> Series {
    let instant_s: Vec<i64> = (0..grid.steps()).map(|i| grid.instant_s(i)).collect();
    let (day, second) = clock
        .days_and_seconds(instant_s.iter().copied())
        .into_iter()
        .unzip();
    let steps = instant_s.len();
    let of = |measure: Measure| -> Vec<f64> { middle(sensors, counts, measure, steps) };
    let mut series = Series {
        step_s: grid.step_s() as f64,
        dry_bulb_c: of(Measure::DryBulb),
        rel_humidity: of(Measure::RelHumidity),
        vpd_pa: vec![f64::NAN; steps],
        dew_point_c: vec![f64::NAN; steps],
        humidity_ratio: vec![f64::NAN; steps],
        day,
        second,
        instant_s,
    };
    let (vpd, dew, wet) = (
        of(Measure::Vpd),
        of(Measure::DewPoint),
        of(Measure::WetBulb),
    );
    for i in 0..series.len() {
        let humidity = [
            (
                series.rel_humidity[i].min(1.0),
                Property::RelHumidity as fn(f64) -> Property,
            ),
            (dew[i].min(series.dry_bulb_c[i]), Property::DewPoint),
            (vpd[i].max(0.0), Property::Vpd),
            (wet[i].min(series.dry_bulb_c[i]), Property::WetBulb),
        ];
        let dry_bulb_c = series.dry_bulb_c[i];
        // Of `min` with no number the number comes back: ask what was read.
        let read = [series.rel_humidity[i], dew[i], vpd[i], wet[i]];
        let state = dry_bulb_c.is_finite().then(|| {
            humidity
                .iter()
                .zip(read)
                .find(|(_, read)| read.is_finite())
                .and_then(|((x, property), _)| {
                    MoistAir::from_pair(Property::DryBulb(dry_bulb_c), property(*x), pressure_pa)
                        .ok()
                })
        });
        if let Some(Some(air)) = state {
            series.rel_humidity[i] = air.rel_humidity();
            series.vpd_pa[i] = air.vpd_pa();
            series.dew_point_c[i] = air.dew_point_c();
            series.humidity_ratio[i] = air.humidity_ratio();
        }
    }
    series
}

/// Middle of the sensors of one measure at each step.
pub(super) fn middle(
    sensors: &[Sensor],
    counts: &[bool],
    measure: Measure,
    steps: usize,
) -> Vec<f64> {
    let those: Vec<&Sensor> = sensors
        .iter()
        .zip(counts)
        .filter(|(s, counts)| **counts && s.measure == measure)
        .map(|(s, _)| s)
        .collect();
    (0..steps)
        .map(|i| {
            let mut now: Vec<f64> = those
                .iter()
                .map(|s| s.values[i])
                .filter(|x| x.is_finite())
                .collect();
            now.sort_by(f64::total_cmp);
            match now.len() {
                0 => f64::NAN,
                n if n % 2 == 1 => now[n / 2],
                n => (now[n / 2 - 1] + now[n / 2]) / 2.0,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_lead_to_the_next_or_stand_and_gaps_stay() {
        let none = f64::NAN;
        let read = vec![1.0, none, 3.0, none, none, none, 7.0];
        let at = [0, 2, 6];
        let led = filled(read.clone(), &at, 2, false);
        assert_eq!(led[1], 2.0);
        assert!(led[3].is_nan() && led[5].is_nan());
        let stood = filled(read, &at, 4, true);
        assert_eq!(stood, [1.0, 1.0, 3.0, 3.0, 3.0, 3.0, 7.0]);
    }
}
