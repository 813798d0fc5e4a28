//! Relative humidity from a wet and a dry thermometer.

use air::saturation_pressure_over_water_pa;

/// Relative humidity (0 to 1) from an aspirated psychrometer.
///
/// ```text
/// e = e_s(T_w) − 6.53e-4 (1 + 0.000944 T_w) p (T − T_w)        RH = e / e_s(T)
/// ```
///
/// - `dry_bulb_c`: dry thermometer T \[°C\]
/// - `wet_bulb_c`: wet thermometer T_w, not frozen \[°C\]
/// - `pressure_pa`: barometric pressure \[Pa\]
///
/// `None` where it is no reading of a wicked thermometer in air: wet above
/// dry, below 0 °C, or so far apart that no vapour would be left.
///
/// **Valid** T_w 0 to 50 °C, 3 m/s and more over the wick, clean wick.
/// **Error** of the instrument: 6.6 %RH for each kelvin of wet bulb near 24 °C;
/// of the coefficient about 0.3 %RH (others give 6.2e-4 to 6.6e-4).
/// **Source** WMO-No. 8, Guide to Instruments and Methods of Observation,
/// annex 4.B, read second hand; e_s by [`saturation_pressure_over_water_pa`],
/// without the enhancement for moist air, which all but cancels.
/// **Checked** `tests/acceptance.rs`.
pub fn rel_humidity(dry_bulb_c: f64, wet_bulb_c: f64, pressure_pa: f64) -> Option<f64> {
    if !(0.0..=60.0).contains(&wet_bulb_c) || dry_bulb_c < wet_bulb_c || 60.0 < dry_bulb_c {
        return None;
    }
    let coefficient = 6.53e-4 * (1.0 + 0.000_944 * wet_bulb_c);
    let vapour_pa = saturation_pressure_over_water_pa(wet_bulb_c)
        - coefficient * pressure_pa * (dry_bulb_c - wet_bulb_c);
    (0.0 <= vapour_pa).then(|| vapour_pa / saturation_pressure_over_water_pa(dry_bulb_c))
}
