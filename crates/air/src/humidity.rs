//! Vapour pressure and humidity ratio.

use crate::saturation::saturation_pressure_pa;

/// Molar mass of water over that of dry air.
pub(crate) const WATER_TO_AIR_MOLAR_MASS: f64 = 0.621945;

/// Humidity ratio of air with this vapour pressure \[kg water/kg dry air\].
///
/// ```text
/// W = 0.621945 · p_w / (p − p_w)
/// ```
///
/// - `p_w_pa`: vapour pressure \[Pa\]
/// - `p_pa`: barometric pressure \[Pa\]
///
/// **Valid** 0 ≤ p_w < p. At and above the barometric pressure nothing but
/// vapour is left: infinity.
/// **Error** ideal gases: 0.5 % low at saturation (real-gas enhancement left out).
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 20.
/// **Checked** `tests/cross/psychrometric_states.csv`.
#[inline]
pub fn humidity_ratio_from_vapour_pressure(p_w_pa: f64, p_pa: f64) -> f64 {
    if p_pa <= p_w_pa {
        return f64::INFINITY;
    }
    WATER_TO_AIR_MOLAR_MASS * p_w_pa / (p_pa - p_w_pa)
}

/// Vapour pressure of air with this humidity ratio \[Pa\].
///
/// ```text
/// p_w = p · W / (0.621945 + W)
/// ```
///
/// - `humidity_ratio`: \[kg water/kg dry air\]
/// - `p_pa`: barometric pressure \[Pa\]
///
/// **Valid** W ≥ 0.
/// **Error** as [`humidity_ratio_from_vapour_pressure`].
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 20 solved for p_w.
/// **Checked** `tests/cross/psychrometric_states.csv`.
#[inline]
pub fn vapour_pressure_from_humidity_ratio_pa(humidity_ratio: f64, p_pa: f64) -> f64 {
    p_pa * humidity_ratio / (WATER_TO_AIR_MOLAR_MASS + humidity_ratio)
}

/// Humidity ratio of saturated air \[kg water/kg dry air\].
///
/// ```text
/// W_s = 0.621945 · p_ws(t) / (p − p_ws(t))
/// ```
///
/// - `t_c`: air temperature \[°C\]
/// - `p_pa`: barometric pressure \[Pa\]
///
/// **Valid** −100 °C to the boiling point at `p_pa`; from there on infinity.
/// **Error** as [`humidity_ratio_from_vapour_pressure`].
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 21.
/// **Checked** `tests/published/`, `tests/cross/`.
#[inline]
pub fn saturation_humidity_ratio(t_c: f64, p_pa: f64) -> f64 {
    humidity_ratio_from_vapour_pressure(saturation_pressure_pa(t_c), p_pa)
}
