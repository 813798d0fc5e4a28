//! The humidity sensors of a log against each other and against what air can
//! do.

use quantity::{Dim, Text, Value};
use readings::Measure;

use super::super::readings::{classes, reading};
use super::super::taken::HYGROMETER;
use super::{Line, Look};
use crate::acceptance::Estimate;
use crate::proof::{Sensor, SensorFault};

/// Apart by more than this, one of two hygrometers is wrong: common practice.
const APART: f64 = 0.05;
/// Probability that a sensor which was found to stand still or to jump is
/// faulty, and that a faulty one is not found. **Assumed**.
const FOUND_RIGHTLY: f64 = 0.95;

pub(super) fn line(look: &Look<'_>) -> Line {
    let those: Vec<&Sensor> = look
        .sensors
        .iter()
        .filter(|s| s.measure == Measure::RelHumidity)
        .collect();
    if those.is_empty() {
        return Line::Silent("the log has no relative humidity to look at as a sensor's".into());
    }
    let with = |is: fn(&SensorFault) -> bool| -> Vec<&str> {
        let of = look.faults.iter();
        of.filter(|f| f.measure == Measure::RelHumidity && is(&f.fault))
            .map(|f| f.name.as_str())
            .collect()
    };
    let broken = with(|f| matches!(f, SensorFault::Stuck { .. } | SensorFault::Jumps { .. }));
    let at_end = with(|f| matches!(f, SensorFault::Saturated { .. }));
    let (b, mut said) = if !broken.is_empty() {
        let words = format!("stands still or jumps: {}", broken.join(", "));
        (FOUND_RIGHTLY, Text::from(words))
    } else if !at_end.is_empty() {
        // A sensor at its end may be wet, or right.
        let words = format!(
            "stands at its end for hours, which a saturated room does too: {}",
            at_end.join(", ")
        );
        (0.5, Text::from(words))
    } else {
        let words = "no humidity sensor stands still or jumps";
        (1.0 - FOUND_RIGHTLY, Text::from(words))
    };
    let weights = match furthest(&those, (86_400.0 / look.series.step_s) as usize) {
        Some((name, d)) => {
            said = said
                .words(format!("; {name} reads "))
                .value(Value::new(d.value, Dim::RelHumidityDifference))
                .words(" from the others at its furthest day");
            let [near, far] = classes(d.size(), &[APART])[..] else {
                return Line::Silent(said);
            };
            vec![b, (1.0 - b) * far, (1.0 - b) * near]
        }
        // One alone cannot be seen to be apart.
        None => {
            said = said.words("; with one sensor alone a wrong one cannot be seen");
            vec![b, 1.0 - b, 1.0 - b]
        }
    };
    Line::Counts(reading("sensor-log", weights, said))
}

/// The sensor that is furthest from the mean of the others on any day's mean.
fn furthest<'a>(those: &[&'a Sensor], per_day: usize) -> Option<(&'a str, Estimate)> {
    if those.len() < 2 {
        return None;
    }
    let mut worst: Option<(&str, f64)> = None;
    for (i, sensor) in those.iter().enumerate() {
        let differences: Vec<f64> = sensor
            .values
            .iter()
            .enumerate()
            .map(|(k, x)| {
                let others = those
                    .iter()
                    .enumerate()
                    .filter(|(j, o)| *j != i && o.values[k].is_finite());
                let (sum, n) = others.fold((0.0, 0.0), |(s, n), (_, o)| (s + o.values[k], n + 1.0));
                x - sum / n
            })
            .collect();
        for part in differences.chunks(per_day.max(1)) {
            let known: Vec<f64> = part.iter().copied().filter(|x| x.is_finite()).collect();
            if 2 * known.len() < part.len() {
                continue;
            }
            let mean = known.iter().sum::<f64>() / known.len() as f64;
            if worst.is_none_or(|(_, w)| w.abs() < mean.abs()) {
                worst = Some((&sensor.name, mean));
            }
        }
    }
    let others = (those.len() - 1) as f64;
    let u = HYGROMETER * (1.0 + 1.0 / others).sqrt();
    worst.map(|(name, mean)| (name, Estimate::new(mean, u)))
}
