//! Sensors that stand still, jump, drift apart or are at their end.

use readings::Measure;

use super::series::Sensor;

/// What is wrong with a sensor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SensorFault {
    /// The same reading for this long \[s\] while another sensor or the day
    /// moves, from this step.
    Stuck {
        /// How long \[s\].
        for_s: f64,
        /// From which step.
        from: usize,
    },
    /// Readings that jump further than air can.
    Jumps {
        /// How many.
        count: usize,
        /// The largest \[SI\].
        largest: f64,
        /// Where that is.
        at: usize,
    },
    /// Comes to read differently from the middle of the others.
    Drifts {
        /// Over the whole log \[SI\].
        over_log: f64,
    },
    /// Reads differently from the middle of the others all along \[SI\].
    Differs {
        /// By how much.
        by: f64,
    },
    /// Humidity at its end: no more is shown.
    Saturated {
        /// How long in all \[s\].
        for_s: f64,
        /// The reading at which it ends.
        at: f64,
    },
}

/// A sensor and what is wrong with it.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultySensor {
    /// Its name.
    pub name: String,
    /// What it measures.
    pub measure: Measure,
    /// The fault.
    pub fault: SensorFault,
    /// Whether it was left out of the room's air.
    pub left_out: bool,
}

/// How a measure is judged. Common practice, no published source.
struct Limits {
    /// Further apart within five minutes than air goes \[SI\].
    jump: f64,
    /// Apart from the others, or come to be so \[SI\].
    apart: f64,
}

const fn limits(measure: Measure) -> Option<Limits> {
    match measure {
        Measure::DryBulb => Some(Limits {
            jump: 6.0,
            apart: 1.5,
        }),
        Measure::RelHumidity => Some(Limits {
            jump: 0.25,
            apart: 0.05,
        }),
        Measure::DewPoint => Some(Limits {
            jump: 6.0,
            apart: 1.5,
        }),
        Measure::Vpd => Some(Limits {
            jump: 900.0,
            apart: 250.0,
        }),
        _ => None,
    }
}

/// A live sensor of a crop room does not show one number for so long \[s\].
const STUCK_S: f64 = 8.0 * 3600.0;
/// Nor for so long in a room that is held however well \[s\].
const STUCK_ANYHOW_S: f64 = 24.0 * 3600.0;
/// Saturated for so long in all is a fault of sensor or room \[s\].
const SATURATED_S: f64 = 1800.0;
/// Humidity from which a sensor is near its end, 0 to 1.
const NEAR_END: f64 = 0.97;

/// Finds the faults, and which sensors count for the room's air.
///
/// - `switchings`: steps at which the lights come on or go out; what stands
///   still between two of them may be a room that is held well
pub(super) fn faults(
    sensors: &[Sensor],
    step_s: f64,
    switchings: &[usize],
) -> (Vec<FaultySensor>, Vec<bool>) {
    let mut found = Vec::new();
    let mut counts = vec![true; sensors.len()];
    for (i, sensor) in sensors.iter().enumerate() {
        let Some(limits) = limits(sensor.measure) else {
            continue;
        };
        let others: Vec<usize> = (0..sensors.len())
            .filter(|&j| j != i && sensors[j].measure == sensor.measure)
            .collect();
        let mut add = |fault, left_out: bool| {
            let left_out = left_out && !others.is_empty();
            if left_out {
                counts[i] = false;
            }
            found.push(FaultySensor {
                name: sensor.name.clone(),
                measure: sensor.measure,
                fault,
                left_out,
            });
        };
        if let Some((from, steps)) = longest_still(&sensor.values) {
            let for_s = steps as f64 * step_s;
            // At its end it is saturated, not stuck.
            let at_end = sensor.measure == Measure::RelHumidity && NEAR_END <= sensor.values[from];
            let aside = (3600.0 / step_s) as usize;
            let through_a_switching = switchings
                .iter()
                .any(|s| from + aside < *s && *s + aside < from + steps);
            let others_move = others
                .iter()
                .any(|&j| limits.apart < range(&sensors[j].values[from..from + steps]));
            let stuck = through_a_switching || others_move || STUCK_ANYHOW_S <= for_s;
            if STUCK_S <= for_s && stuck && !at_end {
                add(SensorFault::Stuck { for_s, from }, true);
                continue;
            }
        }
        if let Some((count, largest, at)) =
            jumps(&sensor.values, limits.jump, step_s, sensor.interval_s)
        {
            add(SensorFault::Jumps { count, largest, at }, false);
        }
        if sensor.measure == Measure::RelHumidity
            && let Some((for_s, at)) = saturated(&sensor.values, step_s)
        {
            add(SensorFault::Saturated { for_s, at }, false);
        }
        // Two sensors cannot say which of them is wrong: both are told of, by
        // half of the difference each from their middle.
        if !others.is_empty()
            && let Some((mean, drift)) = apart(sensors, i, &others, step_s)
        {
            let threshold = if others.len() == 1 {
                limits.apart / 2.0
            } else {
                limits.apart
            };
            if threshold < drift.abs() {
                add(SensorFault::Drifts { over_log: drift }, false);
            } else if threshold < mean.abs() {
                add(SensorFault::Differs { by: mean }, false);
            }
        }
    }
    (found, counts)
}

/// Highest less lowest; 0 where nothing is known.
fn range(values: &[f64]) -> f64 {
    let known = || values.iter().copied().filter(|x| x.is_finite());
    let (low, high) = (
        known().fold(f64::INFINITY, f64::min),
        known().fold(f64::NEG_INFINITY, f64::max),
    );
    (high - low).max(0.0)
}

/// The longest run of one number: from which step, how many.
fn longest_still(values: &[f64]) -> Option<(usize, usize)> {
    let mut best: Option<(usize, usize)> = None;
    let mut from = 0;
    for i in 1..=values.len() {
        let same = i < values.len() && (values[i] - values[from]).abs() < 1e-9;
        if !same {
            if values[from].is_finite() && best.is_none_or(|(_, n)| n < i - from) {
                best = Some((from, i - from));
            }
            from = i;
        }
    }
    best
}

/// Steps between readings that are larger than air goes.
fn jumps(values: &[f64], most: f64, step_s: f64, interval_s: f64) -> Option<(usize, f64, usize)> {
    // Between readings there are straight lines: look from one to the next.
    let apart = ((interval_s / step_s).round() as usize).max(1);
    let most = most * (interval_s / 300.0).clamp(1.0, 3.0);
    let (mut count, mut largest, mut at) = (0, 0.0_f64, 0);
    let mut i = apart;
    while i < values.len() {
        let size = values[i] - values[i - apart];
        if most < size.abs() {
            count += 1;
            if largest.abs() < size.abs() {
                (largest, at) = (size, i);
            }
            i += apart;
        } else {
            i += 1;
        }
    }
    (0 < count).then_some((count, largest, at))
}

/// Time at the highest reading, where that is near saturation.
fn saturated(values: &[f64], step_s: f64) -> Option<(f64, f64)> {
    let highest = values
        .iter()
        .copied()
        .filter(|x| x.is_finite())
        .fold(0.0, f64::max);
    if highest < NEAR_END {
        return None;
    }
    let there = values.iter().filter(|x| highest - **x < 0.001).count();
    let for_s = there as f64 * step_s;
    (SATURATED_S <= for_s).then_some((for_s, highest))
}

/// Mean difference from the middle of a sensor and its others, and its change
/// over the log by daily means: last fifth less first fifth.
fn apart(sensors: &[Sensor], i: usize, others: &[usize], step_s: f64) -> Option<(f64, f64)> {
    let mut differences = Vec::new();
    for (step, x) in sensors[i].values.iter().enumerate() {
        let mut all: Vec<f64> = others
            .iter()
            .map(|&j| sensors[j].values[step])
            .chain([*x])
            .filter(|x| x.is_finite())
            .collect();
        if x.is_finite() && 1 < all.len() {
            all.sort_by(f64::total_cmp);
            let n = all.len();
            let middle = (all[(n - 1) / 2] + all[n / 2]) / 2.0;
            differences.push(x - middle);
        }
    }
    if (differences.len() as f64) * step_s < 86_400.0 {
        return None;
    }
    let mean = |part: &[f64]| part.iter().sum::<f64>() / part.len().max(1) as f64;
    let fifth = differences.len() / 5;
    let drift = mean(&differences[differences.len() - fifth..]) - mean(&differences[..fifth]);
    // Less than five days hold no drift that is more than weather.
    let drift = if differences.len() as f64 * step_s < 5.0 * 86_400.0 {
        0.0
    } else {
        drift
    };
    Some((mean(&differences), drift))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sensor(name: &str, measure: Measure, values: Vec<f64>) -> Sensor {
        Sensor {
            name: name.into(),
            measure,
            interval_s: 300.0,
            values,
        }
    }

    /// A day that swings by 6 K, in steps of 300 s.
    fn day(i: usize) -> f64 {
        24.0 + 3.0 * (i as f64 * std::f64::consts::TAU / 288.0).sin()
    }

    #[test]
    fn each_fault_is_found_and_a_sound_sensor_is_not() {
        let steps = 288 * 8;
        let sound: Vec<f64> = (0..steps).map(day).collect();
        let mut stuck = sound.clone();
        stuck[400..600].fill(25.0);
        let mut jumps = sound.clone();
        jumps[700] += 9.0;
        let drift: Vec<f64> = (0..steps)
            .map(|i| day(i) + 4.0 * i as f64 / steps as f64)
            .collect();
        let (found, counts) = faults(
            &[
                sensor("a", Measure::DryBulb, sound.clone()),
                sensor("b", Measure::DryBulb, sound.clone()),
                sensor("stuck", Measure::DryBulb, stuck),
                sensor("jumps", Measure::DryBulb, jumps),
                sensor("drift", Measure::DryBulb, drift),
            ],
            300.0,
            &[],
        );
        let of = |name: &str| found.iter().filter(|f| f.name == name).collect::<Vec<_>>();
        assert!(of("a").is_empty() && of("b").is_empty(), "{found:?}");
        assert!(matches!(
            of("stuck")[..],
            [FaultySensor {
                fault: SensorFault::Stuck { from: 400, .. },
                left_out: true,
                ..
            }]
        ));
        assert!(
            matches!(
                of("jumps")[..],
                [FaultySensor {
                    fault: SensorFault::Jumps {
                        count: 2,
                        at: 700 | 701,
                        ..
                    },
                    ..
                }]
            ),
            "{:?}",
            of("jumps")
        );
        let [
            FaultySensor {
                fault: SensorFault::Drifts { over_log },
                ..
            },
        ] = of("drift")[..]
        else {
            panic!("{found:?}")
        };
        assert!((over_log - 3.2).abs() < 0.1, "{over_log}");
        assert_eq!(counts, [true, true, false, true, true]);
    }

    #[test]
    fn humidity_at_its_end_is_seen() {
        let values: Vec<f64> = (0..288)
            .map(|i| (0.9 + 0.001 * f64::from(i)).min(1.0))
            .collect();
        let (found, _) = faults(&[sensor("rh", Measure::RelHumidity, values)], 300.0, &[]);
        assert!(
            found
                .iter()
                .any(|f| matches!(f.fault, SensorFault::Saturated { .. }))
        );
    }
}
