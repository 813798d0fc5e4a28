//! Irrigation seen in the log.

use readings::Measure;

use super::series::{Sensor, Series};

/// Days that irrigation was seen, and how often a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IrrigationSeen {
    /// Times that it began.
    pub count: usize,
    /// A day, over the known days.
    pub per_day: f64,
    /// Times in the dark.
    pub in_the_dark: usize,
}

/// Irrigation in the log; `None` without a channel.
pub(super) fn irrigation(
    series: &Series,
    sensors: &[Sensor],
    dark: impl Fn(usize) -> bool,
) -> Option<IrrigationSeen> {
    let mut those = sensors
        .iter()
        .filter(|s| s.measure == Measure::Irrigation)
        .peekable();
    those.peek()?;
    let mut on = vec![false; series.len()];
    let mut known = 0_usize;
    for sensor in those {
        let highest = sensor
            .values
            .iter()
            .copied()
            .filter(|x| x.is_finite())
            .fold(0.0, f64::max);
        known = known.max(sensor.values.iter().filter(|x| x.is_finite()).count());
        for (on, x) in on.iter_mut().zip(&sensor.values) {
            *on |= 0.0 < highest && 0.1 * highest < *x;
        }
    }
    let starts: Vec<usize> = (1..on.len()).filter(|&i| on[i] && !on[i - 1]).collect();
    let days = known as f64 * series.step_s / 86_400.0;
    Some(IrrigationSeen {
        count: starts.len(),
        per_day: if 0.0 < days {
            starts.len() as f64 / days
        } else {
            0.0
        },
        in_the_dark: starts.iter().filter(|&&i| dark(i)).count(),
    })
}
