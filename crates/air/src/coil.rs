//! A cold coil: apparatus dew point and bypass factor.

use quantity::Dim;

use crate::enthalpy::enthalpy_j_per_kg;
use crate::error::{AirError, check_range};
use crate::humidity::saturation_humidity_ratio;
use crate::mixing::settle;
use crate::state::MoistAir;

/// Air that leaves a cold coil.
///
/// ```text
/// t_out = t_adp + BF · (t_in − t_adp)
/// W_out = W_adp + BF · (W_in − W_adp),   W_adp = min(W_s(t_adp), W_in)
/// ```
///
/// A share BF of the air passes untouched, the rest leaves saturated at the
/// apparatus dew point; a coil above the dew point of the air only cools.
/// Where the straight line between the two lies above saturation (inlet air
/// nearly saturated), the fog is taken to drain with the condensate: the air
/// leaves saturated at the temperature at which the enthalpy balances.
///
/// - `inlet`: air entering
/// - `adp_c`: apparatus dew point, not above the dry bulb of the inlet \[°C\]
/// - `bypass_factor`: share of air that passes untouched, 0 to 1
///
/// **Valid** coils of several rows with water or refrigerant at nearly one temperature.
/// **Error** a model, not a law; a few per cent of capacity near its rating.
/// **Source** bypass-factor method of the ASHRAE handbooks (from memory, not looked up again).
/// **Checked** `tests/published/worked_examples.rs` (example 3), `tests/cross/coil.csv`.
///
/// # Errors
/// Apparatus dew point above the air or out of range; bypass factor outside 0 to 1.
pub fn cool_to_adp(inlet: MoistAir, adp_c: f64, bypass_factor: f64) -> Result<MoistAir, AirError> {
    check_range("bypass factor", bypass_factor, (0.0, 1.0), Dim::Fraction)?;
    check_range(
        "apparatus dew point",
        adp_c,
        (MoistAir::DRY_BULB_RANGE_C.0, inlet.dry_bulb_c()),
        Dim::Temperature,
    )?;
    let p_pa = inlet.pressure_pa();
    let w_in = inlet.humidity_ratio();
    let w_adp = saturation_humidity_ratio(adp_c, p_pa).min(w_in);
    let t_c = adp_c + bypass_factor * (inlet.dry_bulb_c() - adp_c);
    let w = w_adp + bypass_factor * (w_in - w_adp);
    match MoistAir::new(t_c, w, p_pa) {
        Err(AirError::Supersaturated { .. }) => {
            let out = settle(1.0, w, enthalpy_j_per_kg(t_c, w), p_pa)?;
            Ok(out.stream.air)
        }
        other => other,
    }
}
