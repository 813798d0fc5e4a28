//! Water removed as it was counted.

use readings::Measure;

use super::series::{Sensor, Series};

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
                    // A counter that falls far was set back: what came between is
                    // not known, what it shows since is the least. One that
                    // falls a little trembles.
                    let amount = if sensor.values[pair[1]] < 0.5 * sensor.values[pair[0]] {
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
