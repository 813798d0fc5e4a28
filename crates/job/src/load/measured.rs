//! Measured water fed less runoff, and what it says of the draws.

use quantity::Band;
use room::{Crop, Room};

use super::given_off::DayGivenOff;
use crate::stats;

/// Least spread of a measured day's water, as a share: a water meter and a
/// runoff bucket are not better than this.
///
/// **Assumed**; a logged meter over a week would allow less.
const LEAST_SPREAD: f64 = 0.05;

/// Runoff taken where water fed was measured and runoff was not.
///
/// Common practice, no published source: 10 to 30 % of what is fed.
pub const RUNOFF_NOT_MEASURED: Band = Band::new(0.10, 0.20, 0.30);

/// Natural logarithms per standard deviation between 10th and 90th percentile.
const DEVIATIONS_10_TO_90: f64 = 2.563;

/// Weights of fewer worth than this share of the draws mean that measurement
/// and model do not speak of the same room.
const LEAST_WORTH: f64 = 0.02;

/// Water that left as vapour by measurement, and how the draws agree.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// (fed − runoff) × vapour share \[kg/day\].
    pub vapour_kg_per_day: Band,
    /// The draws before weighting \[kg/day\].
    pub drawn_kg_per_day: Band,
    /// How many draws of equal weight the weighted ones are worth.
    pub worth_draws: f64,
    /// Whether the draws could be weighted; if not, they stand unweighted and
    /// a finding says which input to doubt.
    pub agrees: bool,
    /// One weight per draw.
    pub(crate) weights: Vec<f64>,
}

/// Weighs the drawn days by how well each agrees with the measurement.
///
/// Each weight is exp(−z²/2), z the distance of the two logarithms in standard
/// deviations of the measurement. `None` without water fed or without a crop
/// that gives off any.
pub(super) fn measured(room: &Room, days: &[DayGivenOff]) -> Option<Measured> {
    let vapour_kg_per_day = vapour_of(room.crop.as_ref()?)?;
    let drawn: Vec<f64> = days
        .iter()
        .map(DayGivenOff::crop_water_kg_per_day)
        .collect();
    let even = vec![1.0; drawn.len()];
    let drawn_kg_per_day = stats::band(&drawn, &even);
    if !(0.0 < drawn_kg_per_day.high && 0.0 < vapour_kg_per_day.low) {
        return None;
    }
    let deviation = ((vapour_kg_per_day.high / vapour_kg_per_day.low).ln() / DEVIATIONS_10_TO_90)
        .max(LEAST_SPREAD);
    let weights: Vec<f64> = drawn
        .iter()
        .map(|&kg| {
            let z = (kg / vapour_kg_per_day.likely).ln() / deviation;
            if 0.0 < kg { (-0.5 * z * z).exp() } else { 0.0 }
        })
        .collect();
    let worth_draws = stats::effective_count(&weights);
    // Weights can be even because all draws are equally far away.
    let best = weights.iter().copied().fold(0.0, f64::max);
    let agrees = LEAST_WORTH * drawn.len() as f64 <= worth_draws && 0.01 < best;
    Some(Measured {
        vapour_kg_per_day,
        drawn_kg_per_day,
        worth_draws: if agrees { worth_draws } else { 0.0 },
        agrees,
        weights: if agrees { weights } else { even },
    })
}

/// Water fed to a crop less its runoff, times the share that leaves as vapour
/// \[kg/day\]; `None` where it is not known how much is fed.
pub(crate) fn vapour_of(crop: &Crop) -> Option<Band> {
    let fed = crop.water_fed_kg_per_s.as_ref()?.value;
    let runoff = crop
        .runoff
        .as_ref()
        .map_or(RUNOFF_NOT_MEASURED, |r| r.value);
    Some(vapour(fed, runoff, crop.vapour_share.value))
}

/// Fed less runoff times the share that leaves as vapour \[kg/day\].
fn vapour(fed_kg_per_s: Band, runoff: Band, vapour_share: f64) -> Band {
    let day = 86_400.0 * vapour_share;
    let likely = fed_kg_per_s.likely * (1.0 - runoff.likely) * day;
    // Two independent spreads: their squares add, in logarithms.
    let side = |fed: f64, kept: f64| {
        let a = (fed / fed_kg_per_s.likely).ln();
        let b = (kept / (1.0 - runoff.likely)).ln();
        a.hypot(b)
    };
    if likely <= 0.0 {
        return Band::exact(0.0);
    }
    Band::new(
        likely * (-side(fed_kg_per_s.low, 1.0 - runoff.high)).exp(),
        likely,
        likely * side(fed_kg_per_s.high, 1.0 - runoff.low).exp(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spreads_add_as_squares_in_logarithms() {
        let exact = vapour(Band::exact(1.0), Band::exact(0.2), 0.95);
        assert!((exact.likely - 0.8 * 0.95 * 86_400.0).abs() < 1e-6);
        assert!(!exact.is_spread());
        let both = vapour(Band::new(0.9, 1.0, 1.1), Band::new(0.1, 0.2, 0.3), 1.0);
        let high = ((1.1f64).ln().powi(2) + (0.9f64 / 0.8).ln().powi(2)).sqrt();
        assert!((both.high / both.likely - high.exp()).abs() < 1e-12);
        assert!(both.low < both.likely);
    }
}
