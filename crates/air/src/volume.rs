//! Specific volume and density.

use crate::ZERO_C_K;

/// Gas constant of dry air \[J/(kg K)\].
pub(crate) const DRY_AIR_GAS_CONSTANT: f64 = 287.042;

/// Volume of the moist air that holds one kilogram of dry air \[m³/kg dry air\].
///
/// ```text
/// v = 287.042 · (t + 273.15) · (1 + 1.607858 · W) / p
/// ```
///
/// - `t_c`: dry bulb \[°C\]
/// - `humidity_ratio`: \[kg water/kg dry air\]
/// - `p_pa`: barometric pressure \[Pa\]
///
/// **Valid** −100 to 200 °C, unsaturated air.
/// **Error** ideal gases: 0.1 %.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 26.
/// **Checked** `tests/cross/psychrometric_states.csv`.
#[inline]
pub fn specific_volume_m3_per_kg(t_c: f64, humidity_ratio: f64, p_pa: f64) -> f64 {
    DRY_AIR_GAS_CONSTANT * (t_c + ZERO_C_K) * (1.0 + 1.607858 * humidity_ratio) / p_pa
}

/// Density of moist air, its vapour included \[kg/m³\].
///
/// ```text
/// ρ = (1 + W) / v
/// ```
///
/// - `t_c`: dry bulb \[°C\]
/// - `humidity_ratio`: \[kg water/kg dry air\]
/// - `p_pa`: barometric pressure \[Pa\]
///
/// **Valid** as [`specific_volume_m3_per_kg`].
/// **Error** 0.1 %.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 11.
/// **Checked** `tests/cross/psychrometric_states.csv`.
#[inline]
pub fn density_kg_per_m3(t_c: f64, humidity_ratio: f64, p_pa: f64) -> f64 {
    (1.0 + humidity_ratio) / specific_volume_m3_per_kg(t_c, humidity_ratio, p_pa)
}
