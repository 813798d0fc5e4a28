//! Water from open surfaces: reservoirs, troughs, pools. Wet floors: [`crate::film`].

use air::{MoistAir, latent_heat_j_per_kg};

/// Heat carried over by vapour pressure under an air stream \[W/(m² Pa)\]:
/// the handbook's (0.089 + 0.0782 V) in kW/(m² kPa), which is the same number.
pub(crate) fn handbook_w_per_m2_pa(air_speed_m_per_s: f64) -> f64 {
    0.089 + 0.0782 * air_speed_m_per_s.max(0.0)
}

/// Water evaporating from a surface under moving air \[kg/(m² s)\].
///
/// ```text
/// E = (p_w − p_a) · (0.089 + 0.0782·V) / Y        p in Pa, V in m/s, Y in J/kg
/// ```
///
/// - `water_c`: temperature of the water surface \[°C\]
/// - `air`: state of the air above it
/// - `air_speed_m_per_s`: speed over the surface \[m/s\]
///
/// **Valid** air speed 0.05 to 1 m/s. Negative where room vapour condenses on
/// cold water. Multiply by 0.5 for a quiet pool (recalled), and see
/// [`shah_kg_per_m2_s`] for still air.
/// **Error** measured quiet pools gave 74 % of it (Smith, Löf, Jones, ASHRAE
/// Trans. 104(1A), 1998, abstract).
/// **Source** ASHRAE Handbook, HVAC Applications, natatoriums; SI constants
/// recalled and not looked up.
/// **Checked** `tests/cross/other_sources.csv`.
///
/// ```
/// use air::MoistAir;
/// let air = MoistAir::from_rel_humidity(24.0, 0.60, 101_325.0).unwrap();
/// let e = crop::water_surface::handbook_kg_per_m2_s(20.0, &air, 0.1);
/// assert!((e * 3600.0 - 0.0778).abs() < 0.0008);
/// ```
pub fn handbook_kg_per_m2_s(water_c: f64, air: &MoistAir, air_speed_m_per_s: f64) -> f64 {
    (air::saturation_pressure_pa(water_c) - air.vapour_pressure_pa())
        * handbook_w_per_m2_pa(air_speed_m_per_s)
        / latent_heat_j_per_kg(water_c)
}

/// Water evaporating from an undisturbed surface in still air \[kg/(m² s)\].
///
/// ```text
/// E = max( 35·ρ_w·(ρ_r − ρ_w)^(1/3)·(W_w − W_r),  5.0e-5·(p_w − p_r) )   in kg/(m² h)
/// ρ: kg of dry air per m³ of mixture; w: saturated at the water, r: the room
/// ```
///
/// - `water_c`: temperature of the water surface \[°C\]
/// - `air`: state of the room air
///
/// **Valid** water 7 to 94 °C, air 6 to 35 °C, 28 to 95 % RH. Zero, never
/// negative, where the room would condense on the water. The first term is
/// zero where room air is lighter than air at the surface.
/// **Error** mean deviation 18 % over 11 data sets (Shah 2002, abstract).
/// **Source** Shah, ASHRAE Trans. 120(2) (2014), SE-14-001. The density is that
/// of dry air: with moist density the published table is not met.
/// **Checked** `tests/published/shah_lookup.csv`, `tests/cross/other_sources.csv`.
///
/// ```
/// use air::MoistAir;
/// let air = MoistAir::from_rel_humidity(28.0, 0.50, 101_325.0).unwrap();
/// let e = crop::water_surface::shah_kg_per_m2_s(28.0, &air);
/// assert!((e * 3600.0 - 0.1360).abs() < 0.0005);
/// ```
pub fn shah_kg_per_m2_s(water_c: f64, air: &MoistAir) -> f64 {
    let p_w_pa = air::saturation_pressure_pa(water_c);
    let forced = 5.0e-5 * (p_w_pa - air.vapour_pressure_pa());
    if p_w_pa >= air.pressure_pa() {
        // Boiling: the buoyant term has no meaning there.
        return forced.max(0.0) / 3600.0;
    }
    let saturated_ratio = air::saturation_humidity_ratio(water_c, air.pressure_pa());
    let surface_kg_per_m3 =
        1.0 / air::specific_volume_m3_per_kg(water_c, saturated_ratio, air.pressure_pa());
    let lift_kg_per_m3 = (1.0 / air.specific_volume_m3_per_kg() - surface_kg_per_m3).max(0.0);
    let buoyant =
        35.0 * surface_kg_per_m3 * lift_kg_per_m3.cbrt() * (saturated_ratio - air.humidity_ratio());
    buoyant.max(forced).max(0.0) / 3600.0
}

/// How the air moves over a water surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum AirOverWater {
    /// No fan reaches it.
    Still,
    /// A fan blows over it at this speed \[m/s\].
    Moving {
        /// Air speed over the surface \[m/s\].
        air_speed_m_per_s: f64,
    },
}

/// Water evaporating from a reservoir or trough \[kg/(m² s)\].
///
/// ```text
/// still: Shah;   moving: the larger of the handbook form and Shah
/// ```
///
/// - `water_c`: temperature of the water surface \[°C\]
/// - `air`: state of the room air
/// - `over`: how the air moves over it
///
/// **Valid**, **Error** as [`shah_kg_per_m2_s`] and [`handbook_kg_per_m2_s`].
/// Never negative.
/// **Assumed** which form serves which air.
/// **Checked** unit tests of this file.
///
/// ```
/// use air::MoistAir;
/// use crop::water_surface::{AirOverWater, open_water_kg_per_m2_s};
/// let air = MoistAir::from_rel_humidity(24.0, 0.60, 101_325.0).unwrap();
/// let still = open_water_kg_per_m2_s(20.0, &air, AirOverWater::Still);
/// let blown = open_water_kg_per_m2_s(20.0, &air, AirOverWater::Moving { air_speed_m_per_s: 0.3 });
/// assert!(still < blown);
/// ```
pub fn open_water_kg_per_m2_s(water_c: f64, air: &MoistAir, over: AirOverWater) -> f64 {
    let still = shah_kg_per_m2_s(water_c, air);
    match over {
        AirOverWater::Still => still,
        AirOverWater::Moving { air_speed_m_per_s } => {
            still.max(handbook_kg_per_m2_s(water_c, air, air_speed_m_per_s))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn air(dry_bulb_c: f64, rel_humidity: f64) -> MoistAir {
        MoistAir::from_rel_humidity(dry_bulb_c, rel_humidity, 101_325.0).unwrap()
    }

    #[test]
    fn warmer_water_and_drier_air_give_more() {
        let base = shah_kg_per_m2_s(24.0, &air(24.0, 0.6));
        assert!(shah_kg_per_m2_s(27.0, &air(24.0, 0.6)) > base);
        assert!(shah_kg_per_m2_s(24.0, &air(24.0, 0.5)) > base);
        let slow = handbook_kg_per_m2_s(24.0, &air(24.0, 0.6), 0.1);
        assert!(handbook_kg_per_m2_s(24.0, &air(24.0, 0.6), 0.5) > slow);
    }

    #[test]
    fn cold_water_gives_nothing() {
        let damp = air(26.0, 0.9);
        assert_eq!(shah_kg_per_m2_s(10.0, &damp), 0.0);
        assert!(handbook_kg_per_m2_s(10.0, &damp, 0.2) < 0.0);
        assert_eq!(
            open_water_kg_per_m2_s(
                10.0,
                &damp,
                AirOverWater::Moving {
                    air_speed_m_per_s: 0.2
                }
            ),
            0.0
        );
    }

    #[test]
    fn extremes_stay_finite() {
        for water_c in [0.0, 50.0, 99.0, 110.0] {
            assert!(shah_kg_per_m2_s(water_c, &air(24.0, 1.0)).is_finite());
        }
    }
}
