//! Weighted percentiles and the draw of a number from its band.

use quantity::Band;

/// Standard normal deviate of the 90th percentile.
pub(crate) const Z90: f64 = 1.281_551_565_5;

/// Deviates beyond this are cut: a 1-in-100 tail on either side is as far as
/// a spread that was guessed at three points can be trusted.
const Z_CUT: f64 = 2.326;

/// A number drawn from its band by a standard normal deviate `z`.
///
/// Positive bands are taken as log-normal to either side of the likely value,
/// so that "450..1200..2400" never draws a negative; a band that touches zero
/// or below is taken as normal to either side. 10 % of draws fall below `low`,
/// 10 % above `high`.
///
/// **Assumed**: shape of the spread; only its three points are known.
pub(crate) fn from_band(band: Band, z: f64) -> f64 {
    let z = z.clamp(-Z_CUT, Z_CUT);
    let edge = if z < 0.0 { band.low } else { band.high };
    if 0.0 < band.low {
        band.likely * (edge / band.likely).powf(z.abs() / Z90)
    } else {
        band.likely + (edge - band.likely) * z.abs() / Z90
    }
}

/// Weighted percentile (0 to 1) of `values`, interpolated between the middles
/// of the weights. NaN if there is no weight at all.
pub(crate) fn percentile(values: &[f64], weights: &[f64], share: f64) -> f64 {
    let mut order: Vec<usize> = (0..values.len()).filter(|&i| 0.0 < weights[i]).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]));
    let total: f64 = order.iter().map(|&i| weights[i]).sum();
    let (Some(&first), Some(&last)) = (order.first(), order.last()) else {
        return f64::NAN;
    };
    let mut below = 0.0;
    let mut previous = (0.0, values[first]);
    for &i in &order {
        let middle = (below + weights[i] / 2.0) / total;
        if share <= middle {
            let span = middle - previous.0;
            let part = if 0.0 < span {
                (share - previous.0) / span
            } else {
                1.0
            };
            return previous.1 + (values[i] - previous.1) * part;
        }
        previous = (middle, values[i]);
        below += weights[i];
    }
    values[last]
}

/// 10th, 50th and 90th weighted percentile.
pub(crate) fn band(values: &[f64], weights: &[f64]) -> Band {
    Band::new(
        percentile(values, weights, 0.1),
        percentile(values, weights, 0.5),
        percentile(values, weights, 0.9),
    )
}

/// Weighted mean.
pub(crate) fn mean(values: &[f64], weights: &[f64]) -> f64 {
    let total: f64 = weights.iter().sum();
    values.iter().zip(weights).map(|(v, w)| v * w).sum::<f64>() / total
}

/// How many equally weighted draws these weights are worth (Kish):
/// (Σw)² / Σw².
pub(crate) fn effective_count(weights: &[f64]) -> f64 {
    let sum: f64 = weights.iter().sum();
    let squares: f64 = weights.iter().map(|w| w * w).sum();
    if squares == 0.0 {
        0.0
    } else {
        sum * sum / squares
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn band_points_come_back_at_their_deviates() {
        let night = Band::new(450.0, 1200.0, 2400.0);
        assert!((from_band(night, -Z90) - 450.0).abs() < 1e-9);
        assert!((from_band(night, 0.0) - 1200.0).abs() < 1e-9);
        assert!((from_band(night, Z90) - 2400.0).abs() < 1e-9);
        let around_zero = Band::new(-1.0, 0.0, 3.0);
        assert!((from_band(around_zero, Z90) - 3.0).abs() < 1e-12);
        assert!((from_band(Band::exact(7.0), 2.0) - 7.0).abs() < 1e-12);
    }

    #[test]
    fn percentile_of_equal_weights_is_the_middle() {
        let v = [3.0, 1.0, 2.0];
        assert!((percentile(&v, &[1.0; 3], 0.5) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn weight_moves_the_percentile() {
        let v = [1.0, 2.0, 3.0];
        assert!(percentile(&v, &[1.0, 1.0, 8.0], 0.5) > 2.5);
        assert!((percentile(&v, &[0.0, 1.0, 0.0], 0.9) - 2.0).abs() < 1e-12);
        assert!(percentile(&v, &[0.0; 3], 0.5).is_nan());
    }

    #[test]
    fn effective_count_is_n_when_equal_and_one_when_single() {
        assert!((effective_count(&[0.2; 50]) - 50.0).abs() < 1e-9);
        assert!((effective_count(&[0.0, 5.0, 0.0]) - 1.0).abs() < 1e-12);
    }
}
