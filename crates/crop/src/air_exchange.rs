//! Water and heat that come and go with air.

use air::MoistAir;

/// What entering air brings to a room, against the room air that leaves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirExchangeGain {
    /// Dry air that comes and goes \[kg/s\].
    pub dry_air_kg_per_s: f64,
    /// Water brought \[kg/s\]; negative where the outdoor air dries the room.
    pub water_kg_per_s: f64,
    /// Heat brought by temperature \[W\].
    pub sensible_w: f64,
    /// Heat brought as vapour \[W\], at the vapour enthalpy of the room.
    pub latent_w: f64,
}

/// Water and heat brought by air exchange.
///
/// ```text
/// ṁ_da = V̇_out / v_out
/// water    = ṁ_da · (W_out − W_in)
/// sensible = ṁ_da · (1006 + 1860·W_out) · (t_out − t_in)
/// latent   = water · (2 501 000 + 1860·t_in)        sum = ṁ_da · (h_out − h_in)
/// ```
///
/// - `outdoor`: air that enters; `indoor`: air that leaves
/// - `flow_m3_per_s`: volume flow at the outdoor state \[m³/s\]
///
/// **Valid** both states at one pressure; leaks, doors, make-up air. A flow
/// measured at room state must be brought to the outdoor state first.
/// **Error** none beyond the air states; the flow is the doubt.
/// **Source** conservation of water and of enthalpy (ASHRAE Handbook,
/// Fundamentals 2017, ch. 1, eq. 30).
/// **Checked** `tests/cross/other_sources.csv`; the sum in a unit test.
///
/// ```
/// use air::MoistAir;
/// use crop::air_exchange::air_exchange;
/// let outdoor = MoistAir::from_rel_humidity(32.0, 0.70, 101_325.0).unwrap();
/// let indoor = MoistAir::from_rel_humidity(26.0, 0.60, 101_325.0).unwrap();
/// let gain = air_exchange(&outdoor, &indoor, 100.0 / 3600.0);
/// assert!((gain.water_kg_per_s * 3600.0 - 0.951).abs() < 0.0095);
/// ```
pub fn air_exchange(outdoor: &MoistAir, indoor: &MoistAir, flow_m3_per_s: f64) -> AirExchangeGain {
    let dry_air_kg_per_s = flow_m3_per_s / outdoor.specific_volume_m3_per_kg();
    let water_kg_per_s = dry_air_kg_per_s * (outdoor.humidity_ratio() - indoor.humidity_ratio());
    AirExchangeGain {
        dry_air_kg_per_s,
        water_kg_per_s,
        sensible_w: dry_air_kg_per_s
            * (1006.0 + 1860.0 * outdoor.humidity_ratio())
            * (outdoor.dry_bulb_c() - indoor.dry_bulb_c()),
        latent_w: water_kg_per_s * air::vapour_enthalpy_j_per_kg(indoor.dry_bulb_c()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_sum_to_the_enthalpy_brought() {
        let outdoor = MoistAir::from_rel_humidity(-5.0, 0.80, 101_325.0).unwrap();
        let indoor = MoistAir::from_rel_humidity(26.0, 0.60, 101_325.0).unwrap();
        let gain = air_exchange(&outdoor, &indoor, 0.05);
        let whole_w =
            gain.dry_air_kg_per_s * (outdoor.enthalpy_j_per_kg() - indoor.enthalpy_j_per_kg());
        assert!((gain.sensible_w + gain.latent_w - whole_w).abs() < 1e-6);
        assert!(gain.water_kg_per_s < 0.0 && gain.sensible_w < 0.0);
    }

    #[test]
    fn the_same_air_brings_nothing() {
        let air = MoistAir::from_rel_humidity(26.0, 0.60, 101_325.0).unwrap();
        let gain = air_exchange(&air, &air, 1.0);
        assert_eq!(gain.water_kg_per_s, 0.0);
        assert_eq!(gain.sensible_w, 0.0);
    }
}
