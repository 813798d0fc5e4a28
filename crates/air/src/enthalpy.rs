//! Enthalpy of moist air, vapour, water and ice; latent heat.
//!
//! Zero for dry air at 0 °C and for liquid water at 0 °C.

/// Enthalpy of moist air \[J/kg dry air\].
///
/// ```text
/// h = 1006 · t + W · (2 501 000 + 1860 · t)
/// ```
///
/// - `t_c`: dry bulb \[°C\]
/// - `humidity_ratio`: \[kg water/kg dry air\]
///
/// **Valid** −50 to 110 °C for differences of a few hundred J/kg to matter.
/// **Error** 0.6 kJ/kg at 40 °C and saturation, 0.2 kJ/kg up to 28 °C and 80 %.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 30.
/// **Checked** `tests/cross/psychrometric_states.csv`.
#[inline]
pub fn enthalpy_j_per_kg(t_c: f64, humidity_ratio: f64) -> f64 {
    1006.0 * t_c + humidity_ratio * vapour_enthalpy_j_per_kg(t_c)
}

/// Dry bulb of air with this enthalpy and humidity ratio \[°C\].
///
/// ```text
/// t = (h − 2 501 000 · W) / (1006 + 1860 · W)
/// ```
///
/// - `h_j_per_kg`: enthalpy \[J/kg dry air\]
/// - `humidity_ratio`: \[kg water/kg dry air\]
///
/// **Valid** as [`enthalpy_j_per_kg`].
/// **Error** none beyond it.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 30 solved for t.
/// **Checked** round trips in `tests/properties.rs`.
#[inline]
pub fn dry_bulb_from_enthalpy_c(h_j_per_kg: f64, humidity_ratio: f64) -> f64 {
    (h_j_per_kg - 2_501_000.0 * humidity_ratio) / (1006.0 + 1860.0 * humidity_ratio)
}

/// Humidity ratio of air with this dry bulb and enthalpy \[kg water/kg dry air\].
///
/// ```text
/// W = (h − 1006 · t) / (2 501 000 + 1860 · t)
/// ```
///
/// - `t_c`: dry bulb \[°C\]
/// - `h_j_per_kg`: enthalpy \[J/kg dry air\]
///
/// **Valid** as [`enthalpy_j_per_kg`]; negative where the enthalpy is less
/// than that of dry air.
/// **Error** none beyond it.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 30 solved for W.
/// **Checked** round trips in `tests/properties.rs`.
#[inline]
pub fn humidity_ratio_from_enthalpy(t_c: f64, h_j_per_kg: f64) -> f64 {
    (h_j_per_kg - 1006.0 * t_c) / vapour_enthalpy_j_per_kg(t_c)
}

/// Enthalpy of water vapour \[J/kg\].
///
/// ```text
/// h_g = 2 501 000 + 1860 · t
/// ```
///
/// - `t_c`: temperature \[°C\]
///
/// **Valid** −50 to 110 °C, low pressure.
/// **Error** 0.1 % of the latent heat against the handbook's table 3, 0 to 40 °C.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 29.
/// **Checked** `tests/published/`.
#[inline]
pub fn vapour_enthalpy_j_per_kg(t_c: f64) -> f64 {
    2_501_000.0 + 1860.0 * t_c
}

/// Enthalpy of liquid water \[J/kg\].
///
/// ```text
/// h_f = 4186 · t
/// ```
///
/// - `t_c`: temperature \[°C\]
///
/// **Valid** 0 to 60 °C.
/// **Error** 0.3 kJ/kg against the handbook's table 3, 0 to 40 °C.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 32.
/// **Checked** `tests/published/`.
#[inline]
pub fn water_enthalpy_j_per_kg(t_c: f64) -> f64 {
    4186.0 * t_c
}

/// Enthalpy of ice \[J/kg\].
///
/// ```text
/// h_i = −329 000 + 2100 · t
/// ```
///
/// - `t_c`: temperature \[°C\]
///
/// **Valid** −50 to 0 °C.
/// **Error** 4.5 kJ/kg (table 3 has −333.5 kJ/kg at 0 °C); kept because
/// it is what the wet-bulb equation over ice uses, and balances then close.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, the ice terms of eq. 35.
/// **Checked** through eq. 35, `tests/cross/wet_bulb.csv`.
#[inline]
pub fn ice_enthalpy_j_per_kg(t_c: f64) -> f64 {
    -329_000.0 + 2100.0 * t_c
}

/// Latent heat of vaporisation of water \[J/kg\].
///
/// ```text
/// λ = 2 501 000 − 2361 · t
/// ```
///
/// - `t_c`: temperature of the water \[°C\]
///
/// **Valid** 0 to 60 °C.
/// **Error** 0.1 % against the handbook's table 3, 0 to 40 °C.
/// **Source** Allen, Pereira, Raes, Smith 1998, Crop evapotranspiration, FAO
/// Irrigation and Drainage Paper 56, annex 3, eq. 3-1 (read in implementations of it).
/// **Checked** `tests/published/`.
#[inline]
pub fn latent_heat_j_per_kg(t_c: f64) -> f64 {
    2_501_000.0 - 2361.0 * t_c
}
