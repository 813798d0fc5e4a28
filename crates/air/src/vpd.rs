//! Vapour pressure deficit of air and of a leaf in it.

use crate::saturation::saturation_pressure_pa;

/// Vapour pressure deficit of air \[Pa\].
///
/// ```text
/// VPD = p_ws(t_air) − p_w
/// ```
///
/// - `t_c`: air temperature \[°C\]
/// - `p_w_pa`: vapour pressure \[Pa\]
///
/// **Valid** as the saturation pressure; negative for supersaturated air.
/// **Error** that of the saturation pressure.
/// **Source** definition.
/// **Checked** `tests/cross/psychrometric_states.csv`.
#[inline]
pub fn vpd_pa(t_c: f64, p_w_pa: f64) -> f64 {
    saturation_pressure_pa(t_c) - p_w_pa
}

/// Vapour pressure deficit between the inside of a leaf and the air \[Pa\].
///
/// ```text
/// leaf VPD = p_ws(t_leaf) − p_w
/// ```
///
/// - `leaf_c`: leaf temperature \[°C\]
/// - `p_w_pa`: vapour pressure of the air \[Pa\]
///
/// **Valid** as the saturation pressure. Negative where the leaf is below the
/// dew point: then it is being wetted.
/// **Error** the inside of the leaf is taken as saturated.
/// **Source** definition.
/// **Checked** `tests/cross/vpd.csv`.
#[inline]
pub fn leaf_vpd_pa(leaf_c: f64, p_w_pa: f64) -> f64 {
    saturation_pressure_pa(leaf_c) - p_w_pa
}
