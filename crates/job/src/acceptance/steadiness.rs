//! Whether the air held still while something was measured in it.

use quantity::{Dim, Text, Value};

use super::{Judgement, Verdict};

/// Air at an instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirReading {
    /// Time since the measurement began \[s\].
    pub at_s: f64,
    /// Dry bulb \[°C\].
    pub dry_bulb_c: f64,
    /// Relative humidity, 0 to 1.
    pub rel_humidity: f64,
}

/// How far dry bulb may stray either way \[K\].
///
/// **Source** common practice, no published source.
pub const STEADY_K: f64 = 1.0;
/// How far relative humidity may stray either way, 0 to 1.
///
/// **Source** common practice, no published source.
pub const STEADY_RH: f64 = 0.03;
/// Readings that show it: begin, half-way, end. **Assumed**.
pub const FEWEST: usize = 3;

/// Mean and spread of readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Mean dry bulb \[°C\].
    pub dry_bulb_c: f64,
    /// Mean relative humidity, 0 to 1.
    pub rel_humidity: f64,
    /// Half of what lies between the warmest and the coldest \[K\].
    pub half_k: f64,
    /// Half of what lies between the dampest and the driest, 0 to 1.
    pub half_rh: f64,
    /// Standard uncertainty of the mean dry bulb by the scatter alone \[K\].
    pub scatter_k: f64,
    /// Standard uncertainty of the mean humidity by the scatter alone, 0 to 1.
    pub scatter_rh: f64,
}

/// Mean and spread; `None` without readings.
pub fn spread(readings: &[AirReading]) -> Option<Spread> {
    let temperature = of(readings.iter().map(|r| r.dry_bulb_c))?;
    let humidity = of(readings.iter().map(|r| r.rel_humidity))?;
    Some(Spread {
        dry_bulb_c: temperature.mean,
        rel_humidity: humidity.mean,
        half_k: temperature.half,
        half_rh: humidity.half,
        scatter_k: temperature.of_mean,
        scatter_rh: humidity.of_mean,
    })
}

struct Row {
    mean: f64,
    half: f64,
    /// Standard deviation of the mean (JCGM 100, 4.2.3); 0 of a single one.
    of_mean: f64,
}

fn of(numbers: impl Iterator<Item = f64> + Clone) -> Option<Row> {
    let n = numbers.clone().count();
    if n == 0 {
        return None;
    }
    let mean = numbers.clone().sum::<f64>() / n as f64;
    let most = numbers.clone().fold(f64::NEG_INFINITY, f64::max);
    let least = numbers.clone().fold(f64::INFINITY, f64::min);
    let squares: f64 = numbers.map(|x| (x - mean).powi(2)).sum();
    let of_mean = if n < 2 {
        0.0
    } else {
        (squares / ((n - 1) * n) as f64).sqrt()
    };
    Some(Row {
        mean,
        half: 0.5 * (most - least),
        of_mean,
    })
}

/// Share of the time that must not go by unread at its begin or its end.
/// **Assumed**.
const UNREAD: f64 = 1.0 / 3.0;

/// Whether readings tell of the whole of a time of `over_s` \[s\].
fn span(readings: &[AirReading], over_s: f64) -> bool {
    let first = readings
        .iter()
        .map(|r| r.at_s)
        .fold(f64::INFINITY, f64::min);
    let last = readings.iter().map(|r| r.at_s).fold(0.0, f64::max);
    // A minute for walking from the jug to the inlet.
    let slack_s = UNREAD * over_s + 60.0;
    first <= slack_s && over_s - slack_s <= last
}

/// Whether the air held within ±[`STEADY_K`] and ±[`STEADY_RH`] over a time of
/// `over_s` \[s\]. Air that did not proves nothing; it is no fault of the unit.
pub fn judge(readings: &[AirReading], over_s: f64) -> Judgement {
    let few = readings.len() < FEWEST || !span(readings, over_s);
    let Some(spread) = spread(readings).filter(|_| !few) else {
        return Judgement {
            would_prove: vec![
                "read the inlet air at least three times: as collecting begins, half-way, as it ends"
                    .into(),
            ],
            ..Judgement::plain(
                Verdict::NotProven,
                format!(
                    "{} readings of the inlet air do not show whether it held still from begin to end",
                    readings.len()
                )
                .into(),
            )
        };
    };
    let said = |start: &'static str| {
        Text::from(start)
            .value(Value::new(spread.half_k, Dim::TemperatureDifference).digits(2))
            .words(" and ")
            .value(Value::new(spread.half_rh, Dim::RelHumidityDifference).digits(2))
    };
    if spread.half_k <= STEADY_K + 1e-9 && spread.half_rh <= STEADY_RH + 1e-9 {
        return Judgement::plain(Verdict::Pass, said("the inlet air held within ±"));
    }
    Judgement {
        would_prove: vec![
            Text::from("collect again while the inlet air holds within ±")
                .value(Value::new(STEADY_K, Dim::TemperatureDifference).digits(1))
                .words(" and ±")
                .value(Value::new(STEADY_RH, Dim::RelHumidityDifference).digits(1))
                .words(": doors shut, well away from lights switching and irrigation"),
        ],
        ..Judgement::plain(Verdict::NotProven, said("the inlet air strayed by ±"))
    }
}
