//! Lifting a unit.

use quantity::STANDARD_GRAVITY_M_PER_S2;

/// Mass above which a unit is lifted by a machine \[kg\]: load constant of the
/// NIOSH lifting equation, under ideal conditions.
pub const MANUAL_LIMIT_KG: f64 = 23.0;

/// Tension in each leg of a sling with two legs \[N\].
///
/// ```text
/// T = m g / (2 sin α)       α from the horizontal
/// ```
///
/// - `mass_kg`: mass that hangs on it \[kg\]
/// - `angle_rad`: angle of each leg from the horizontal \[rad\]
///
/// **Valid** equal legs, 30° to 90°. Below 30° slings are not used.
/// **Error** none: statics; shock comes on top.
/// **Source** statics.
/// **Checked** `tests/hanging.rs`, 150 kg at 60°: 849 N.
pub fn sling_tension_n(mass_kg: f64, angle_rad: f64) -> f64 {
    mass_kg * STANDARD_GRAVITY_M_PER_S2 / (2.0 * angle_rad.sin())
}
