//! The canopy as one big leaf in energy balance: the default model.
//!
//! All flows are per square metre of cultivated area. Sensible heat is counted
//! from the leaf to the air, so a canopy cooler than its air has a negative
//! sensible flow: it cools the room and gives that heat back as vapour.

use air::{MoistAir, latent_heat_j_per_kg, saturation_slope_pa_per_k};

use crate::air_side::{
    AirSide, VAPOUR_GAS_CONSTANT_J_PER_KG_K, ZERO_C_K, vapour_density_kg_per_m3,
};
use crate::penman_monteith::{Combination, latent_w_per_m2};

/// Largest leaf area index that the balance uses.
///
/// **Assumed** after Graamans et al. 2017, who recommend 3 as the active leaf
/// area: lower leaves are shaded and add little.
pub const ACTIVE_LAI_CAP: f64 = 3.0;

/// What the balance needs to know of a canopy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Canopy {
    /// Leaf area per cultivated area \[–\]; above [`ACTIVE_LAI_CAP`] the cap is used.
    pub lai: f64,
    /// Share of the cultivated area that leaves cover, 0 to 1.
    pub coverage: f64,
    /// Resistance of the air layer at a leaf to heat \[s/m\].
    pub leaf_aero_resistance_s_per_m: f64,
    /// Share of the light that the canopy reflects, 0 to 1.
    pub reflectance: f64,
    /// Energy that the light carries per photon \[J/µmol\].
    pub photon_energy_j_per_umol: f64,
}

/// Air layer resistance with circulation fans on \[s/m\].
///
/// **Source** Graamans et al. 2017, section 3.1.3, read in a transcription.
pub const AERO_RESISTANCE_FANS_ON_S_PER_M: f64 = 100.0;
/// Air layer resistance with circulation fans off \[s/m\].
///
/// **Source** Graamans et al. 2017, section 3.1.3, read in a transcription.
pub const AERO_RESISTANCE_FANS_OFF_S_PER_M: f64 = 200.0;

impl Canopy {
    /// A closed canopy in moving air, as in Graamans et al. 2017: leaf area
    /// index 3, coverage 0.9, 100 s/m, reflectance 0.05, 0.20 J/µmol.
    pub const CLOSED: Self = Self {
        lai: 3.0,
        coverage: 0.9,
        leaf_aero_resistance_s_per_m: AERO_RESISTANCE_FANS_ON_S_PER_M,
        reflectance: 0.05,
        photon_energy_j_per_umol: 0.20,
    };

    /// Leaf area index that the balance uses \[–\], 0 to [`ACTIVE_LAI_CAP`].
    pub fn active_lai(&self) -> f64 {
        self.lai.clamp(0.0, ACTIVE_LAI_CAP)
    }
}

/// What a square metre of canopy exchanges with its air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CanopyFlux {
    /// Light taken up \[W/m²\].
    pub net_radiation_w_per_m2: f64,
    /// Heat to the air \[W/m²\]; negative where the canopy cools it.
    pub sensible_w_per_m2: f64,
    /// Heat carried off as vapour \[W/m²\].
    pub latent_w_per_m2: f64,
    /// Water given off \[kg/(m² s)\].
    pub water_kg_per_m2_s: f64,
    /// Leaf temperature \[°C\].
    pub leaf_c: f64,
}

/// Share of the ground that leaves cover \[–\].
///
/// ```text
/// coverage = 1 − exp( −k · LAI )        k = 0.5
/// ```
///
/// - `lai`: leaf area index \[–\]
///
/// **Valid** LAI 0 and up; a negative one is taken as 0.
/// **Error** not stated; k spans about 0.4 to 0.8 over crops.
/// **Source** the exponential law of light in canopies with k = 0.5, read in a
/// public code that follows Graamans et al. 2017.
/// **Checked** unit tests of this file.
///
/// ```
/// assert!((crop::canopy::coverage_from_lai(3.0) - 0.777).abs() < 0.001);
/// ```
pub fn coverage_from_lai(lai: f64) -> f64 {
    1.0 - (-0.5 * lai.max(0.0)).exp()
}

/// Light that a canopy takes up \[W/m²\].
///
/// ```text
/// R_net = (1 − ρ_r) · e_ph · PPFD · coverage
/// ```
///
/// - `canopy`: its reflectance, photon energy and coverage
/// - `ppfd_umol_per_m2_s`: photon flux density at the canopy \[µmol/(m² s)\]
///
/// **Valid** lamps of known photon energy (0.18 J/µmol deep red to 0.27 blue;
/// 0.20–0.21 white with red); negative light is taken as dark; without leaves
/// nothing is taken up. Long-wave exchange with lamps and walls is left out.
/// **Error** with the photon energy, about ±5 % where the spectrum is not known.
/// **Source** Graamans et al., Agricultural Systems 153 (2017), eq. 8; read in
/// four independent transcriptions.
/// **Checked** `tests/cross/canopy_balance.csv`.
///
/// ```
/// use crop::canopy::{Canopy, net_radiation_w_per_m2};
/// let r = net_radiation_w_per_m2(&Canopy::CLOSED, 600.0);
/// assert!((r - 102.6).abs() < 1e-9);
/// ```
pub fn net_radiation_w_per_m2(canopy: &Canopy, ppfd_umol_per_m2_s: f64) -> f64 {
    if canopy.active_lai() <= 0.0 {
        return 0.0;
    }
    (1.0 - canopy.reflectance)
        * canopy.photon_energy_j_per_umol
        * ppfd_umol_per_m2_s.max(0.0)
        * canopy.coverage
}

/// Resistance of the air layer from leaf size and air speed \[s/m\].
///
/// ```text
/// r_a = 350 · √(l/u) / LAI
/// ```
///
/// - `leaf`: leaf size and air speed
/// - `lai`: leaf area index \[–\]
///
/// **Valid** near LAI 3 only: the equation already divides by LAI while the
/// balance multiplies by it, so elsewhere the sensible conductance goes with
/// LAI². The fixed 100 and 200 s/m are the default. Still air gives a
/// resistance that grows without limit; the speed is held at 0.01 m/s.
/// **Error** not stated.
/// **Source** Graamans et al., Agricultural Systems 153 (2017), eq. 10, read in
/// transcriptions.
/// **Checked** unit tests of this file.
///
/// ```
/// use crop::canopy::{LeafInWind, aero_resistance_s_per_m};
/// let leaf = LeafInWind { leaf_size_m: 0.1, air_speed_m_per_s: 0.15 };
/// assert!((aero_resistance_s_per_m(leaf, 3.0) - 95.26).abs() < 0.01);
/// ```
pub fn aero_resistance_s_per_m(leaf: LeafInWind, lai: f64) -> f64 {
    350.0 * (leaf.leaf_size_m / leaf.air_speed_m_per_s.max(0.01)).sqrt() / lai.max(0.1)
}

/// A leaf and the wind on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeafInWind {
    /// Mean leaf size along the wind \[m\].
    pub leaf_size_m: f64,
    /// Air speed outside the leaf's air layer \[m/s\].
    pub air_speed_m_per_s: f64,
}

/// Water and heat of a canopy, from its exact energy balance.
///
/// ```text
/// R_net − H − λE = 0                       solved for T_s
/// H  = LAI · ρc_p · (T_s − T_a) / r_a
/// λE = LAI · λ · (χ_s − χ_a) / (r_s + r_a)
/// χ  = p / (461.5 · (T + 273.15)),  each at its own temperature,  p_s = p_ws(T_s)
/// ```
///
/// - `canopy`: leaves and air layer
/// - `air`: state of the air around them
/// - `ppfd_umol_per_m2_s`: photon flux density at the canopy \[µmol/(m² s)\]
/// - `stomatal_resistance_s_per_m`: from [`crate::stomata`] \[s/m\]
///
/// **Valid** closed canopies under lamps, 15 to 30 °C, 40 to 90 % RH, any
/// altitude; resistances above zero, LAI 0 to 3 (capped). Without leaves all
/// flows are zero. Saturated, dark air gives zero, never a negative rate.
/// **Error** about 1 % at the paper's own point (a graph read good to 5 %). A
/// sealed wheat chamber gave 4.35 kg/(m² d) over its life where this gives 3.9
/// at full cover, 3.4 with the CO2 factor. The night rate is no better than its
/// resistance (factor of 2 to 4).
/// **Source** Graamans et al., Agricultural Systems 153 (2017) 138–147, eqs 4–8,
/// read in four independent transcriptions. **Assumed** exact saturation
/// pressure instead of the paper's straight line; λ at air temperature.
/// **Checked** `tests/published/graamans_2017.csv`,
/// `tests/cross/canopy_balance.csv`.
///
/// ```
/// use air::MoistAir;
/// use crop::canopy::{Canopy, canopy_flux};
/// let air = MoistAir::from_rel_humidity(21.0, 0.73, 101_325.0).unwrap();
/// let f = canopy_flux(&Canopy::CLOSED, &air, 600.0, 157.5);
/// assert!((f.water_kg_per_m2_s * 3.6e6 - 181.8).abs() < 1.8); // g/(m² h)
/// assert!(f.leaf_c < 21.0);
/// ```
pub fn canopy_flux(
    canopy: &Canopy,
    air: &MoistAir,
    ppfd_umol_per_m2_s: f64,
    stomatal_resistance_s_per_m: f64,
) -> CanopyFlux {
    let guess_c = air.dry_bulb_c() - 1.0;
    canopy_flux_from(
        canopy,
        air,
        ppfd_umol_per_m2_s,
        stomatal_resistance_s_per_m,
        guess_c,
    )
}

/// [`canopy_flux`] that starts from a leaf temperature already known.
///
/// ```text
/// as canopy_flux
/// ```
///
/// - `leaf_guess_c`: leaf temperature of the step before \[°C\]; a poor one
///   costs time, never accuracy
///
/// **Valid**, **Error**, **Source** as [`canopy_flux`].
/// **Checked** unit and property tests: the same answer from any start.
///
/// ```
/// use air::MoistAir;
/// use crop::canopy::{Canopy, canopy_flux, canopy_flux_from};
/// let air = MoistAir::from_rel_humidity(21.0, 0.73, 101_325.0).unwrap();
/// let cold = canopy_flux(&Canopy::CLOSED, &air, 600.0, 157.5);
/// let warm = canopy_flux_from(&Canopy::CLOSED, &air, 600.0, 157.5, 35.0);
/// assert!((cold.leaf_c - warm.leaf_c).abs() < 1e-6);
/// ```
pub fn canopy_flux_from(
    canopy: &Canopy,
    air: &MoistAir,
    ppfd_umol_per_m2_s: f64,
    stomatal_resistance_s_per_m: f64,
    leaf_guess_c: f64,
) -> CanopyFlux {
    let side = AirSide::of(air);
    let Some(balance) = Balance::new(
        canopy,
        &side,
        ppfd_umol_per_m2_s,
        stomatal_resistance_s_per_m,
    ) else {
        return nothing(side.dry_bulb_c);
    };
    let leaf_c = balance.leaf_c(leaf_guess_c);
    balance.flux(leaf_c)
}

/// No leaves, no flows.
fn nothing(dry_bulb_c: f64) -> CanopyFlux {
    CanopyFlux {
        net_radiation_w_per_m2: 0.0,
        sensible_w_per_m2: 0.0,
        latent_w_per_m2: 0.0,
        water_kg_per_m2_s: 0.0,
        leaf_c: dry_bulb_c,
    }
}

/// The energy balance with everything but the leaf temperature filled in.
struct Balance {
    net_radiation_w_per_m2: f64,
    /// H per kelvin of leaf above air \[W/(m² K)\].
    sensible_w_per_m2_k: f64,
    /// λE per vapour density difference \[W m/kg\].
    latent_w_m_per_kg: f64,
    air_vapour_kg_per_m3: f64,
    latent_heat_j_per_kg: f64,
    air_c: f64,
}

impl Balance {
    /// `None` where there are no leaves.
    fn new(
        canopy: &Canopy,
        air: &AirSide,
        ppfd_umol_per_m2_s: f64,
        stomatal_resistance_s_per_m: f64,
    ) -> Option<Self> {
        let lai = canopy.active_lai();
        if lai <= 0.0 {
            return None;
        }
        let r_a = canopy.leaf_aero_resistance_s_per_m;
        let latent_heat_j_per_kg = latent_heat_j_per_kg(air.dry_bulb_c);
        Some(Self {
            net_radiation_w_per_m2: net_radiation_w_per_m2(canopy, ppfd_umol_per_m2_s),
            sensible_w_per_m2_k: lai * air.heat_capacity_j_per_m3_k() / r_a,
            latent_w_m_per_kg: lai * latent_heat_j_per_kg / (stomatal_resistance_s_per_m + r_a),
            air_vapour_kg_per_m3: vapour_density_kg_per_m3(air.vapour_pressure_pa, air.dry_bulb_c),
            latent_heat_j_per_kg,
            air_c: air.dry_bulb_c,
        })
    }

    /// H + λE − R_net at a leaf temperature, and its slope over temperature.
    fn excess(&self, leaf_c: f64) -> (f64, f64) {
        let leaf_k = leaf_c + ZERO_C_K;
        let leaf_vapour = vapour_density_kg_per_m3(air::saturation_pressure_pa(leaf_c), leaf_c);
        let excess = self.sensible_w_per_m2_k * (leaf_c - self.air_c)
            + self.latent_w_m_per_kg * (leaf_vapour - self.air_vapour_kg_per_m3)
            - self.net_radiation_w_per_m2;
        // Clausius and Clapeyron: near enough to steer by, and no further exp.
        let vapour_slope = leaf_vapour
            * (latent_heat_j_per_kg(leaf_c) / (VAPOUR_GAS_CONSTANT_J_PER_KG_K * leaf_k) - 1.0)
            / leaf_k;
        let slope = self.sensible_w_per_m2_k + self.latent_w_m_per_kg * vapour_slope;
        (excess, slope)
    }

    /// Leaf temperature at which the balance closes \[°C\].
    ///
    /// The excess rises with leaf temperature throughout, so the root is
    /// between a leaf as warm as if it gave off no water and one so cold that
    /// it takes up heat; Newton's step is taken where it stays inside.
    fn leaf_c(&self, guess_c: f64) -> f64 {
        // The step leaves about 1/300 of itself as error: the slope is nearly exact.
        const CLOSE_ENOUGH_K: f64 = 1e-5;
        const MOST_STEPS: usize = 100;
        // 60 K below the air the heat taken up outweighs any vapour flow.
        let mut low_c = self.air_c - 60.0;
        let mut high_c = self.air_c + self.net_radiation_w_per_m2 / self.sensible_w_per_m2_k + 1.0;
        let mut leaf_c = if guess_c > low_c && guess_c < high_c {
            guess_c
        } else {
            self.air_c
        };
        for _ in 0..MOST_STEPS {
            let (excess, slope) = self.excess(leaf_c);
            if excess > 0.0 {
                high_c = leaf_c;
            } else {
                low_c = leaf_c;
            }
            let step_k = -excess / slope;
            let newton_c = leaf_c + step_k;
            let next_c = if newton_c > low_c && newton_c < high_c {
                newton_c
            } else {
                0.5 * (low_c + high_c)
            };
            let moved_k = (next_c - leaf_c).abs();
            leaf_c = next_c;
            if moved_k < CLOSE_ENOUGH_K {
                break;
            }
        }
        leaf_c
    }

    /// Flows at the leaf temperature found. The latent one is what the sensible
    /// one leaves of the radiation, so that λE = R_net − H to the last bit.
    fn flux(&self, leaf_c: f64) -> CanopyFlux {
        let sensible_w_per_m2 = self.sensible_w_per_m2_k * (leaf_c - self.air_c);
        let latent_w_per_m2 = self.net_radiation_w_per_m2 - sensible_w_per_m2;
        CanopyFlux {
            net_radiation_w_per_m2: self.net_radiation_w_per_m2,
            sensible_w_per_m2,
            latent_w_per_m2,
            water_kg_per_m2_s: latent_w_per_m2 / self.latent_heat_j_per_kg,
            leaf_c,
        }
    }
}

/// Water and heat of a canopy in closed form, for checks by hand.
///
/// ```text
/// λE = [ Δ·R_net + LAI·ρc_p·VPD/r_a ] / [ Δ + γ·(1 + r_s/r_a) ]
/// H  = R_net − λE          T_s = T_a + H·r_a/(LAI·ρc_p)
/// ```
///
/// - arguments as [`canopy_flux`]
///
/// **Valid** as [`canopy_flux`], best where leaf and air differ by less than
/// about 2 K: saturation pressure is taken as a straight line at T_a.
/// **Error** 1 to 4 % low against [`canopy_flux`] on the check cases.
/// **Source** Penman and Monteith's combination of the same balance (Graamans
/// et al. 2017, eqs 4–8, with eq. 7's straight line).
/// **Checked** `tests/cross/canopy_balance.csv`.
///
/// ```
/// use air::MoistAir;
/// use crop::canopy::{Canopy, canopy_flux_linearised};
/// let air = MoistAir::from_rel_humidity(21.0, 0.73, 101_325.0).unwrap();
/// let f = canopy_flux_linearised(&Canopy::CLOSED, &air, 600.0, 157.5);
/// assert!((f.water_kg_per_m2_s * 3.6e6 - 180.2).abs() < 1.8); // g/(m² h)
/// ```
pub fn canopy_flux_linearised(
    canopy: &Canopy,
    air: &MoistAir,
    ppfd_umol_per_m2_s: f64,
    stomatal_resistance_s_per_m: f64,
) -> CanopyFlux {
    let side = AirSide::of(air);
    let lai = canopy.active_lai();
    if lai <= 0.0 {
        return nothing(side.dry_bulb_c);
    }
    let r_a = canopy.leaf_aero_resistance_s_per_m;
    let net_radiation_w_per_m2 = net_radiation_w_per_m2(canopy, ppfd_umol_per_m2_s);
    let conductance_w_per_m2_k = lai * side.heat_capacity_j_per_m3_k() / r_a;
    let latent_w_per_m2 = latent_w_per_m2(&Combination {
        available_w_per_m2: net_radiation_w_per_m2,
        slope_pa_per_k: saturation_slope_pa_per_k(side.dry_bulb_c),
        psychrometric_pa_per_k: side.psychrometric_constant_pa_per_k(),
        vpd_pa: side.vpd_pa(),
        conductance_w_per_m2_k,
        resistance_ratio: stomatal_resistance_s_per_m / r_a,
    });
    let sensible_w_per_m2 = net_radiation_w_per_m2 - latent_w_per_m2;
    CanopyFlux {
        net_radiation_w_per_m2,
        sensible_w_per_m2,
        latent_w_per_m2,
        water_kg_per_m2_s: latent_w_per_m2 / latent_heat_j_per_kg(side.dry_bulb_c),
        leaf_c: side.dry_bulb_c + sensible_w_per_m2 / conductance_w_per_m2_k,
    }
}

/// Most heat that a canopy can turn into vapour \[W/m²\].
///
/// ```text
/// λE_max = R_net + LAI·ρc_p·(T_a − T_wb)/r_a
/// ```
///
/// - `canopy`, `air`, `ppfd_umol_per_m2_s`: as [`canopy_flux`]
///
/// **Valid** as [`canopy_flux`]: no leaf gets colder than about the wet bulb.
/// **Error** none; a bound, from the energy balance alone.
/// **Source** the balance of [`canopy_flux`] with the leaf at the wet bulb.
/// **Checked** property test of this file.
///
/// ```
/// use air::MoistAir;
/// use crop::canopy::{Canopy, canopy_flux, latent_ceiling_w_per_m2};
/// let air = MoistAir::from_rel_humidity(27.0, 0.60, 101_325.0).unwrap();
/// let most = latent_ceiling_w_per_m2(&Canopy::CLOSED, &air, 900.0);
/// assert!(canopy_flux(&Canopy::CLOSED, &air, 900.0, 130.9).latent_w_per_m2 < most);
/// ```
pub fn latent_ceiling_w_per_m2(canopy: &Canopy, air: &MoistAir, ppfd_umol_per_m2_s: f64) -> f64 {
    let side = AirSide::of(air);
    net_radiation_w_per_m2(canopy, ppfd_umol_per_m2_s)
        + canopy.active_lai()
            * side.heat_capacity_j_per_m3_k()
            * (side.dry_bulb_c - air.wet_bulb_c())
            / canopy.leaf_aero_resistance_s_per_m
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stomata::lit_resistance_s_per_m;
    use proptest::prelude::*;

    fn air(dry_bulb_c: f64, rel_humidity: f64) -> MoistAir {
        MoistAir::from_rel_humidity(dry_bulb_c, rel_humidity, 101_325.0).unwrap()
    }

    fn lit(air: &MoistAir, ppfd: f64) -> CanopyFlux {
        canopy_flux(&Canopy::CLOSED, air, ppfd, lit_resistance_s_per_m(ppfd))
    }

    #[test]
    fn drier_air_gives_more_water() {
        let mut last = 0.0;
        for rel_humidity in [0.95, 0.8, 0.6, 0.4, 0.2] {
            let flux = lit(&air(26.0, rel_humidity), 800.0);
            assert!(flux.water_kg_per_m2_s > last);
            last = flux.water_kg_per_m2_s;
        }
    }

    #[test]
    fn more_light_gives_more_water_and_a_warmer_leaf() {
        let (mut water, mut leaf_c) = (0.0, f64::NEG_INFINITY);
        for ppfd in [0.0, 100.0, 300.0, 600.0, 1000.0, 1500.0] {
            // The same pores throughout, so that light acts as heat alone.
            let flux = canopy_flux(&Canopy::CLOSED, &air(26.0, 0.6), ppfd, 200.0);
            assert!(flux.water_kg_per_m2_s > water && flux.leaf_c > leaf_c);
            assert!(lit(&air(26.0, 0.6), ppfd).water_kg_per_m2_s > 0.0);
            (water, leaf_c) = (flux.water_kg_per_m2_s, flux.leaf_c);
        }
    }

    #[test]
    fn lights_off_gives_less_than_lights_on() {
        let night = crate::stomata::NIGHT;
        let on = lit(&air(24.0, 0.65), 250.0).water_kg_per_m2_s;
        let dark = |r_s| canopy_flux(&Canopy::CLOSED, &air(20.0, 0.75), 0.0, r_s).water_kg_per_m2_s;
        assert!(dark(night.most_water_s_per_m) < on);
        assert!(dark(night.likely_s_per_m) < dark(night.most_water_s_per_m));
        assert!(dark(night.least_water_s_per_m) < dark(night.likely_s_per_m));
        assert!(dark(night.least_water_s_per_m) > 0.0);
    }

    #[test]
    fn a_thicker_air_layer_lets_a_transpiring_leaf_cool_less_per_watt() {
        // With evaporation leading, still air brings less heat and the leaf
        // gives off less; with radiation leading, it gets warmer.
        let still = Canopy {
            leaf_aero_resistance_s_per_m: AERO_RESISTANCE_FANS_OFF_S_PER_M,
            ..Canopy::CLOSED
        };
        let fans = lit(&air(27.0, 0.6), 900.0);
        let no_fans = canopy_flux(
            &still,
            &air(27.0, 0.6),
            900.0,
            lit_resistance_s_per_m(900.0),
        );
        assert!(no_fans.water_kg_per_m2_s < fans.water_kg_per_m2_s);
        assert!(no_fans.leaf_c > fans.leaf_c);
    }

    #[test]
    fn thin_air_carries_less_heat_to_the_leaf() {
        let high = MoistAir::from_rel_humidity(27.0, 0.6, 83_523.5).unwrap();
        let (low, high) = (lit(&air(27.0, 0.6), 900.0), lit(&high, 900.0));
        assert!(high.leaf_c < low.leaf_c);
        assert!(high.sensible_w_per_m2.abs() < low.sensible_w_per_m2.abs());
        assert!(high.water_kg_per_m2_s < low.water_kg_per_m2_s);
    }

    #[test]
    fn without_leaves_nothing_happens() {
        let bare = Canopy {
            lai: 0.0,
            ..Canopy::CLOSED
        };
        for flux in [
            canopy_flux(&bare, &air(26.0, 0.6), 900.0, 130.0),
            canopy_flux_linearised(&bare, &air(26.0, 0.6), 900.0, 130.0),
        ] {
            assert_eq!(flux, nothing(26.0));
        }
        assert_eq!(net_radiation_w_per_m2(&bare, 900.0), 0.0);
    }

    #[test]
    fn saturated_and_dark_nothing_happens() {
        for t_c in [-5.0, 0.0, 20.0, 35.0] {
            let flux = canopy_flux(&Canopy::CLOSED, &air(t_c, 1.0), 0.0, 1200.0);
            assert!(flux.latent_w_per_m2.abs() < 1e-5, "{flux:?}");
            assert!((flux.leaf_c - t_c).abs() < 1e-6, "{flux:?}");
        }
    }

    #[test]
    fn leaf_area_above_the_cap_counts_as_the_cap() {
        let dense = Canopy {
            lai: 6.0,
            ..Canopy::CLOSED
        };
        let air = air(26.0, 0.6);
        assert_eq!(canopy_flux(&dense, &air, 900.0, 130.9), lit_at(&air, 130.9));
    }

    fn lit_at(air: &MoistAir, r_s: f64) -> CanopyFlux {
        canopy_flux(&Canopy::CLOSED, air, 900.0, r_s)
    }

    #[test]
    fn coverage_grows_to_one() {
        assert_eq!(coverage_from_lai(0.0), 0.0);
        assert_eq!(coverage_from_lai(-1.0), 0.0);
        assert!((coverage_from_lai(3.0) - 0.776_87).abs() < 1e-5);
        assert!(coverage_from_lai(100.0) <= 1.0);
    }

    #[test]
    fn wind_thins_the_air_layer() {
        let r_a = |air_speed_m_per_s| {
            let leaf = LeafInWind {
                leaf_size_m: 0.1,
                air_speed_m_per_s,
            };
            aero_resistance_s_per_m(leaf, 3.0)
        };
        assert!(r_a(0.5) < r_a(0.1));
        assert!(r_a(0.0).is_finite());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(4000))]

        #[test]
        fn the_balance_closes_everywhere(
            t_c in -5.0..45.0_f64,
            rel_humidity in 0.0..=1.0_f64,
            pressure_pa in 60_000.0..105_000.0_f64,
            ppfd in 0.0..2500.0_f64,
            lai in 0.01..8.0_f64,
            r_a in 10.0..1000.0_f64,
            r_s in 0.0..5000.0_f64,
            guess_c in -50.0..90.0_f64,
        ) {
            let air = MoistAir::from_rel_humidity(t_c, rel_humidity, pressure_pa).unwrap();
            let canopy = Canopy {
                lai,
                // No more cover than leaves can give.
                coverage: coverage_from_lai(lai),
                leaf_aero_resistance_s_per_m: r_a,
                ..Canopy::CLOSED
            };
            let flux = canopy_flux_from(&canopy, &air, ppfd, r_s, guess_c);

            // The identity, to the last bit.
            prop_assert_eq!(
                flux.latent_w_per_m2,
                flux.net_radiation_w_per_m2 - flux.sensible_w_per_m2
            );
            // The vapour equation, evaluated on its own, gives the same heat.
            let vapour = vapour_density_kg_per_m3(
                air::saturation_pressure_pa(flux.leaf_c), flux.leaf_c,
            ) - vapour_density_kg_per_m3(air.vapour_pressure_pa(), t_c);
            let latent = canopy.active_lai() * latent_heat_j_per_kg(t_c) * vapour / (r_s + r_a);
            // 1e-6 K on the leaf is worth this much.
            let allowed = 1e-4 * (1.0 + latent.abs());
            prop_assert!(
                (latent - flux.latent_w_per_m2).abs() < allowed,
                "{} against {}", latent, flux.latent_w_per_m2
            );
            // The same root from any start.
            let other = canopy_flux(&canopy, &air, ppfd, r_s);
            prop_assert!((other.leaf_c - flux.leaf_c).abs() < 1e-6);
            // Never beyond what the energy balance allows, never taking up
            // water. The bound's wet bulb and the leaf's differ by vapour's
            // share of the air and by the ice branch; 3 % covers both.
            prop_assert!(flux.water_kg_per_m2_s > -1e-12);
            let most = latent_ceiling_w_per_m2(&canopy, &air, ppfd);
            if r_s >= 50.0 && t_c > 0.0 {
                prop_assert!(flux.latent_w_per_m2 <= 1.03 * most + 1e-6);
            }
        }
    }
}
