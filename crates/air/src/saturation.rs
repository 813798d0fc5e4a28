//! Saturation over water and over ice, and its inverse, the dew or frost point.

use crate::ZERO_C_K;
use crate::solve::rising_root;

/// Triple point of water \[°C\]: ice up to here, liquid above.
pub(crate) const TRIPLE_POINT_C: f64 = 0.01;

/// Lowest temperature of the ice equation \[°C\]; the dew point of air drier
/// than this can show is reported as this.
pub(crate) const LOWEST_C: f64 = -100.0;

/// Highest temperature of the water equation \[°C\].
const HIGHEST_C: f64 = 200.0;

/// Vapour pressure of saturated air: over liquid water above 0.01 °C, over
/// ice up to there \[Pa\].
///
/// - `t_c`: temperature \[°C\]
///
/// **Valid** −100 to 200 °C. Outside: a finite number that means nothing;
/// `MoistAir::new` is where the range is refused.
/// **Error** 300 ppm of the handbook's table 3, −40 to 100 °C; the two
/// equations meet at 0.01 °C within 4e-6 Pa.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 5 and 6.
/// **Checked** `tests/published/`, `tests/cross/`.
///
/// ```
/// assert!((air::saturation_pressure_pa(25.0) / 3169.7 - 1.0).abs() < 2e-4);
/// ```
#[inline]
pub fn saturation_pressure_pa(t_c: f64) -> f64 {
    if TRIPLE_POINT_C < t_c {
        saturation_pressure_over_water_pa(t_c)
    } else {
        saturation_pressure_over_ice_pa(t_c)
    }
}

/// Vapour pressure over plane liquid water, also supercooled \[Pa\].
///
/// ```text
/// ln p = −5800.2206/T + 1.3914993 − 4.8640239e-2·T + 4.1764768e-5·T²
///        − 1.4452093e-8·T³ + 6.5459673·ln T           T in K
/// ```
///
/// - `t_c`: temperature of the water \[°C\]
///
/// **Valid** 0.01 to 200 °C; used for supercooled water it is an extrapolation.
/// **Error** 300 ppm of the handbook's table 3, 0.01 to 100 °C.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 6.
/// **Checked** `tests/published/saturation_pressure.csv`.
#[inline]
pub fn saturation_pressure_over_water_pa(t_c: f64) -> f64 {
    ln_over_water(t_c + ZERO_C_K).exp()
}

/// Vapour pressure over plane ice \[Pa\].
///
/// ```text
/// ln p = −5674.5359/T + 6.3925247 − 9.677843e-3·T + 6.2215701e-7·T²
///        + 2.0747825e-9·T³ − 9.484024e-13·T⁴ + 4.1635019·ln T    T in K
/// ```
///
/// - `t_c`: temperature of the ice \[°C\]
///
/// **Valid** −100 to 0.01 °C.
/// **Error** 300 ppm of the handbook's table 3, −40 to 0.01 °C; 324 ppm high
/// against IAPWS R14-08 at 230 K.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 5.
/// **Checked** `tests/published/saturation_pressure.csv`.
#[inline]
pub fn saturation_pressure_over_ice_pa(t_c: f64) -> f64 {
    ln_over_ice(t_c + ZERO_C_K).exp()
}

/// Slope of [`saturation_pressure_pa`] with temperature \[Pa/K\].
///
/// ```text
/// dp/dT = p · d(ln p)/dT, with d(ln p)/dT from eq. 5 or 6 term by term
/// ```
///
/// - `t_c`: temperature \[°C\]
///
/// **Valid** −100 to 200 °C.
/// **Error** none beyond the saturation equation: it is its derivative.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 5 and 6, differentiated here.
/// **Checked** against differences of the saturation pressure, beside the code.
#[inline]
pub fn saturation_slope_pa_per_k(t_c: f64) -> f64 {
    saturation_pressure_and_slope(t_c).1
}

/// Dew point, or frost point below 0.01 °C, of air with this vapour pressure \[°C\].
///
/// Newton's method inside a bracket on the logarithm of eq. 5 or 6, to 1e-10 K.
///
/// - `p_w_pa`: vapour pressure \[Pa\]
///
/// **Valid** vapour pressures of saturation from −100 to 200 °C. Drier air,
/// also wholly dry air, is reported as −100 °C; NaN gives NaN.
/// **Error** that of the saturation equations.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, inverse of eq. 5 and 6
/// (its explicit fits 37 and 38 are less accurate and not used).
/// **Checked** `tests/cross/`, round trips in `tests/properties.rs`.
///
/// ```
/// let dew_c = air::dew_point_from_vapour_pressure_c(air::saturation_pressure_pa(12.0));
/// assert!((dew_c - 12.0).abs() < 1e-9);
/// ```
#[inline]
pub fn dew_point_from_vapour_pressure_c(p_w_pa: f64) -> f64 {
    if p_w_pa.is_nan() {
        return f64::NAN;
    }
    if p_w_pa <= 0.0 {
        return LOWEST_C;
    }
    let ln_p = p_w_pa.ln();
    let triple_k = TRIPLE_POINT_C + ZERO_C_K;
    // Inverse of a Magnus-type curve; only a place to start.
    let x = ln_p - 6.4158;
    let t_k = if ln_p <= ln_over_ice(triple_k) {
        let start_k = ZERO_C_K + 272.62 * x / (22.46 - x);
        rising_root((LOWEST_C + ZERO_C_K, triple_k), start_k, |t_k| {
            (ln_over_ice(t_k) - ln_p, ln_slope_over_ice(t_k))
        })
    } else {
        let start_k = ZERO_C_K + 243.12 * x / (17.62 - x);
        rising_root((triple_k, HIGHEST_C + ZERO_C_K), start_k, |t_k| {
            (ln_over_water(t_k) - ln_p, ln_slope_over_water(t_k))
        })
    };
    t_k - ZERO_C_K
}

/// Saturation pressure and its slope together, for solvers.
#[inline]
pub(crate) fn saturation_pressure_and_slope(t_c: f64) -> (f64, f64) {
    let t_k = t_c + ZERO_C_K;
    if TRIPLE_POINT_C < t_c {
        let p_pa = ln_over_water(t_k).exp();
        (p_pa, p_pa * ln_slope_over_water(t_k))
    } else {
        let p_pa = ln_over_ice(t_k).exp();
        (p_pa, p_pa * ln_slope_over_ice(t_k))
    }
}

#[inline]
fn ln_over_water(t_k: f64) -> f64 {
    -5800.2206 / t_k
        + 1.3914993
        + t_k * (-4.8640239e-2 + t_k * (4.1764768e-5 - t_k * 1.4452093e-8))
        + 6.5459673 * t_k.ln()
}

#[inline]
fn ln_slope_over_water(t_k: f64) -> f64 {
    (5800.2206 / t_k + 6.5459673) / t_k - 4.8640239e-2
        + t_k * (2.0 * 4.1764768e-5 - t_k * 3.0 * 1.4452093e-8)
}

#[inline]
fn ln_over_ice(t_k: f64) -> f64 {
    -5674.5359 / t_k
        + 6.3925247
        + t_k * (-9.677843e-3 + t_k * (6.2215701e-7 + t_k * (2.0747825e-9 - t_k * 9.484024e-13)))
        + 4.1635019 * t_k.ln()
}

#[inline]
fn ln_slope_over_ice(t_k: f64) -> f64 {
    (5674.5359 / t_k + 4.1635019) / t_k - 9.677843e-3
        + t_k * (2.0 * 6.2215701e-7 + t_k * (3.0 * 2.0747825e-9 - t_k * 4.0 * 9.484024e-13))
}
