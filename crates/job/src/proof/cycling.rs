//! How often units start, and how often the humidity turns as if they did.

use room::Room;

use super::series::Series;

pub(super) fn most_in_an_hour(starts: &[usize], step_s: f64) -> usize {
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

pub(super) fn usual_run_s(starts: &[usize], stops: &[usize], step_s: f64) -> Option<f64> {
    let mut lengths: Vec<usize> = starts
        .iter()
        .filter_map(|s| stops.iter().find(|t| *s < **t).map(|t| t - s))
        .collect();
    lengths.sort_unstable();
    lengths.get(lengths.len() / 2).map(|n| *n as f64 * step_s)
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
