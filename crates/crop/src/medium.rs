//! Water from wet growing medium: uncovered beds, trays and slabs.

use air::{MoistAir, latent_heat_j_per_kg, saturation_slope_pa_per_k};

use crate::air_side::AirSide;
use crate::penman_monteith::{Combination, latent_w_per_m2};

/// A surface of growing medium and what reaches it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MediumSurface {
    /// Light that it takes up \[W/m²\]; see [`light_on_medium_w_per_m2`].
    pub absorbed_light_w_per_m2: f64,
    /// Resistance of the air layer above it \[s/m\].
    pub aero_resistance_s_per_m: f64,
    /// Resistance of its own dry skin \[s/m\]; 0 when wet.
    pub skin_resistance_s_per_m: f64,
}

/// Light that reaches the medium under a canopy \[W/m²\].
///
/// ```text
/// R_s = I · exp( −k · LAI )        k = 0.5
/// ```
///
/// - `light_w_per_m2`: light above the canopy \[W/m²\]
/// - `lai`: leaf area index above the medium \[–\]
///
/// **Valid** LAI 0 and up; bare medium takes up all of it (a high-side figure).
/// **Error** k spans about 0.4 to 0.8 over crops.
/// **Source** the exponential law of light in canopies, k = 0.5 as in
/// [`crate::canopy::coverage_from_lai`].
/// **Checked** unit tests of this file.
///
/// ```
/// assert_eq!(crop::medium::light_on_medium_w_per_m2(100.0, 0.0), 100.0);
/// ```
pub fn light_on_medium_w_per_m2(light_w_per_m2: f64, lai: f64) -> f64 {
    light_w_per_m2 * (-0.5 * lai.max(0.0)).exp()
}

/// Resistance of the skin of a drying medium \[s/m\].
///
/// ```text
/// r_m = 10 · exp( 0.3563 · (15 − θ%) )   below 15 % surface moisture, else 0
/// ```
///
/// - `surface_moisture`: water by volume in the top centimetre, 0 to 1
///
/// **Valid** measured on fine sandy loam; other media for want of better.
/// Above 15 % the surface is taken as wet. At 0 % it is about 2100 s/m.
/// **Error** not known for soilless media.
/// **Source** van de Griend and Owe, Water Resour. Res. 30 (1994) 181, recalled
/// and not looked up.
/// **Checked** unit tests of this file.
///
/// ```
/// assert_eq!(crop::medium::skin_resistance_s_per_m(0.40), 0.0);
/// assert!((crop::medium::skin_resistance_s_per_m(0.05) - 352.8).abs() < 0.5);
/// ```
pub fn skin_resistance_s_per_m(surface_moisture: f64) -> f64 {
    if surface_moisture >= 0.15 {
        0.0
    } else {
        10.0 * (0.3563 * (15.0 - 100.0 * surface_moisture.max(0.0))).exp()
    }
}

/// Water evaporating from medium \[kg/(m² s)\].
///
/// ```text
/// E = [ Δ·R_s + ρc_p·VPD/r_a ] / ( λ·[ Δ + γ·(1 + r_m/r_a) ] )
/// ```
///
/// - `surface`: light and resistances
/// - `air`: state of the air above it
///
/// **Valid** medium in heat balance with its air: no heat stored in it or led
/// through it. Wet and dark, it sits near the wet bulb.
/// **Error** some 20 % from resistances; more on media never measured. The
/// straight line at air temperature alone reads 10 % low on wet, dark medium at
/// 24 °C and 60 %.
/// **Source** Penman and Monteith's combination, as in FAO Irrigation and
/// Drainage Paper 56 (1998).
/// **Checked** unit tests of this file; algebra in `tests/published/fao56.csv`
/// by way of [`crate::penman_monteith::latent_w_per_m2`].
///
/// ```
/// use air::MoistAir;
/// use crop::medium::{MediumSurface, medium_water_kg_per_m2_s};
/// let air = MoistAir::from_rel_humidity(24.0, 0.60, 101_325.0).unwrap();
/// let wet = MediumSurface {
///     absorbed_light_w_per_m2: 20.0, aero_resistance_s_per_m: 100.0, skin_resistance_s_per_m: 0.0,
/// };
/// let g_per_m2_h = medium_water_kg_per_m2_s(&wet, &air) * 3.6e6;
/// assert!(g_per_m2_h > 50.0 && g_per_m2_h < 150.0);
/// ```
pub fn medium_water_kg_per_m2_s(surface: &MediumSurface, air: &MoistAir) -> f64 {
    let side = AirSide::of(air);
    let r_a = surface.aero_resistance_s_per_m;
    let latent_w_per_m2 = latent_w_per_m2(&Combination {
        available_w_per_m2: surface.absorbed_light_w_per_m2,
        slope_pa_per_k: saturation_slope_pa_per_k(side.dry_bulb_c),
        psychrometric_pa_per_k: side.psychrometric_constant_pa_per_k(),
        vpd_pa: side.vpd_pa(),
        conductance_w_per_m2_k: side.heat_capacity_j_per_m3_k() / r_a,
        resistance_ratio: surface.skin_resistance_s_per_m / r_a,
    });
    latent_w_per_m2 / latent_heat_j_per_kg(side.dry_bulb_c)
}

/// How a medium dries at its surface after irrigation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DryingPulse {
    /// How long the surface stays wet after irrigation \[s\].
    pub wet_s: f64,
    /// Time in which the rate then halves \[s\].
    pub half_time_s: f64,
}

impl DryingPulse {
    /// Rate as a share of the wet rate, 0 to 1, so long after irrigation.
    ///
    /// ```text
    /// 1 up to wet time, then 2^( −(t − wet)/half time )
    /// ```
    ///
    /// - `since_irrigation_s`: time since the last irrigation \[s\]
    ///
    /// **Valid** any time from 0 on; a half-time of zero stops at once.
    /// **Error** both times are the medium's own and must be given.
    /// **Assumed** a constant-rate stage and a first-order falling stage, as any
    /// wet porous body shows.
    /// **Checked** unit tests of this file.
    ///
    /// ```
    /// use crop::medium::DryingPulse;
    /// let p = DryingPulse { wet_s: 1800.0, half_time_s: 3600.0 };
    /// assert_eq!(p.share_of_wet_rate(900.0), 1.0);
    /// assert_eq!(p.share_of_wet_rate(5400.0), 0.5);
    /// ```
    pub fn share_of_wet_rate(&self, since_irrigation_s: f64) -> f64 {
        let falling_s = since_irrigation_s - self.wet_s;
        if falling_s <= 0.0 {
            1.0
        } else if self.half_time_s > 0.0 {
            (-falling_s / self.half_time_s).exp2()
        } else {
            0.0
        }
    }

    /// Seconds at the wet rate that give as much water as the time since
    /// irrigation has given: the integral of [`Self::share_of_wet_rate`].
    ///
    /// ```text
    /// t up to wet time, then wet + half time/ln 2 · (1 − share)
    /// ```
    ///
    /// - `since_irrigation_s`: time since the last irrigation \[s\]
    ///
    /// **Valid**, **Error**, **Assumed** as [`Self::share_of_wet_rate`].
    /// **Checked** against a sum of small steps in a unit test.
    ///
    /// ```
    /// use crop::medium::DryingPulse;
    /// let p = DryingPulse { wet_s: 1800.0, half_time_s: 3600.0 };
    /// assert!((p.wet_seconds(1e9) - (1800.0 + 3600.0 / 2_f64.ln())).abs() < 1e-6);
    /// ```
    pub fn wet_seconds(&self, since_irrigation_s: f64) -> f64 {
        if since_irrigation_s <= self.wet_s {
            since_irrigation_s.max(0.0)
        } else {
            let share = self.share_of_wet_rate(since_irrigation_s);
            self.wet_s + self.half_time_s.max(0.0) / std::f64::consts::LN_2 * (1.0 - share)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn air(rel_humidity: f64) -> MoistAir {
        MoistAir::from_rel_humidity(24.0, rel_humidity, 101_325.0).unwrap()
    }

    const WET: MediumSurface = MediumSurface {
        absorbed_light_w_per_m2: 0.0,
        aero_resistance_s_per_m: 100.0,
        skin_resistance_s_per_m: 0.0,
    };

    #[test]
    fn drier_air_more_light_and_a_wetter_skin_give_more_water() {
        let base = medium_water_kg_per_m2_s(&WET, &air(0.6));
        assert!(medium_water_kg_per_m2_s(&WET, &air(0.5)) > base);
        let lit = MediumSurface {
            absorbed_light_w_per_m2: 20.0,
            ..WET
        };
        assert!(medium_water_kg_per_m2_s(&lit, &air(0.6)) > base);
        let dry = MediumSurface {
            skin_resistance_s_per_m: 300.0,
            ..WET
        };
        assert!(medium_water_kg_per_m2_s(&dry, &air(0.6)) < base);
    }

    #[test]
    fn saturated_and_dark_gives_nothing() {
        let e = medium_water_kg_per_m2_s(&WET, &air(1.0));
        assert!(e.abs() < 1e-12, "{e}");
    }

    #[test]
    fn wet_and_dark_sits_at_the_wet_bulb() {
        // Heat taken from the air across r_a at the wet bulb is what evaporates.
        // Near saturation the wet bulb is close and the straight line exact;
        // psychrometric constant and wet bulb agree to the vapour's share, 3 %.
        let air = air(0.95);
        let side = AirSide::of(&air);
        let at_wet_bulb = side.heat_capacity_j_per_m3_k() * (24.0 - air.wet_bulb_c())
            / 100.0
            / latent_heat_j_per_kg(24.0);
        let e = medium_water_kg_per_m2_s(&WET, &air);
        assert!((e / at_wet_bulb - 1.0).abs() < 0.03, "{e} {at_wet_bulb}");
    }

    #[test]
    fn light_fades_through_the_canopy() {
        assert!((light_on_medium_w_per_m2(100.0, 3.0) - 22.313).abs() < 0.001);
        assert_eq!(light_on_medium_w_per_m2(100.0, -1.0), 100.0);
    }

    #[test]
    fn the_skin_dries() {
        assert!((skin_resistance_s_per_m(0.1499) - 10.0).abs() < 0.1);
        assert!(skin_resistance_s_per_m(0.0) > skin_resistance_s_per_m(0.05));
        assert!(skin_resistance_s_per_m(-1.0).is_finite());
    }

    #[test]
    fn the_integral_is_the_sum_of_the_shares() {
        let pulse = DryingPulse {
            wet_s: 1200.0,
            half_time_s: 2400.0,
        };
        let step_s = 1.0;
        let sum: f64 = (0..7200)
            .map(|i| pulse.share_of_wet_rate((f64::from(i) + 0.5) * step_s) * step_s)
            .sum();
        assert!((sum - pulse.wet_seconds(7200.0)).abs() < 0.01);
    }
}
