//! Second opinion on the canopy: the tomato model of greenhouse research.

/// State of a canopy and its air, for the second opinion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TomatoCanopy {
    /// Leaf area index \[–\].
    pub lai: f64,
    /// Canopy temperature \[°C\].
    pub canopy_c: f64,
    /// Radiation that the canopy takes up \[W/m²\].
    pub absorbed_w_per_m2: f64,
    /// Vapour pressure of the canopy less that of the air \[Pa\].
    pub leaf_vpd_pa: f64,
    /// Carbon dioxide \[ppm\].
    pub co2_ppm: f64,
}

/// Whether the temperature factor of the resistance is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TemperatureFactor {
    /// Used, as in the thesis.
    Used,
    /// Left out, as the greenhouse codes do.
    LeftOut,
}

/// The factors that make up the stomatal resistance, each 1 or more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResistanceFactors {
    /// Smallest resistance \[s/m\].
    pub smallest_s_per_m: f64,
    /// Share of day in the switch between day and night, 0 to 1.
    pub day_share: f64,
    /// Factor of light.
    pub light: f64,
    /// Factor of temperature; 1 where left out.
    pub temperature: f64,
    /// Factor of carbon dioxide.
    pub co2: f64,
    /// Factor of vapour pressure deficit.
    pub vpd: f64,
}

impl ResistanceFactors {
    /// Stomatal resistance, the product of all \[s/m\].
    pub fn resistance_s_per_m(&self) -> f64 {
        self.smallest_s_per_m * self.light * self.temperature * self.co2 * self.vpd
    }
}

/// Stomatal resistance of a tomato canopy, factor by factor.
///
/// ```text
/// r_s = r_min · f_I · f_T · f_CO2 · f_VPD         r_min = 82 s/m
/// f_I   = (Ī + 4.3)/(Ī + 0.54),  Ī = R_can/(2·LAI)
/// f_T   = 1 + c_T·(T − T_m)²      day 0.023, 24.5 °C; night 0.005, 33.6 °C
/// f_CO2 = min( 1 + c·(CO2 − 200)², 1.5 )   day 6.1e-7; night 1.1e-11
/// f_VPD = min( 1 + c·Δp², 3.8 )            day 4.3e-6; night 5.2e-6
/// each c and T_m = day·S + night·(1 − S),  S = 1/(1 + exp(5 − R_can))
/// ```
///
/// - `canopy`: state of canopy and air
/// - `temperature`: whether f_T counts
///
/// **Valid** greenhouse tomato in a Dutch glasshouse; f_VPD is at its cap above
/// 0.81 kPa, so indoors the resistance is near its cap. LAI above zero.
/// **Error** not stated for other crops; a second opinion only.
/// **Source** Stanghellini, thesis, Wageningen 1987, eq. 3.51, as used by later
/// greenhouse models, read in two public codes.
/// **Checked** `tests/cross/stanghellini.csv`.
///
/// ```
/// use crop::stanghellini::{TemperatureFactor, TomatoCanopy, resistance_factors};
/// let c = TomatoCanopy {
///     lai: 3.0, canopy_c: 24.0, absorbed_w_per_m2: 200.0, leaf_vpd_pa: 895.6, co2_ppm: 800.0,
/// };
/// let f = resistance_factors(&c, TemperatureFactor::Used);
/// assert!((f.resistance_s_per_m() / 424.6 - 1.0).abs() < 0.005);
/// ```
pub fn resistance_factors(
    canopy: &TomatoCanopy,
    temperature: TemperatureFactor,
) -> ResistanceFactors {
    let day_share = 1.0 / (1.0 + (5.0 - canopy.absorbed_w_per_m2).exp());
    let mix = |day: f64, night: f64| day * day_share + night * (1.0 - day_share);
    let mean_light = canopy.absorbed_w_per_m2.max(0.0) / (2.0 * canopy.lai);
    let co2_above = (canopy.co2_ppm - 200.0).max(0.0);
    ResistanceFactors {
        smallest_s_per_m: 82.0,
        day_share,
        light: (mean_light + 4.3) / (mean_light + 0.54),
        temperature: match temperature {
            TemperatureFactor::LeftOut => 1.0,
            TemperatureFactor::Used => {
                1.0 + mix(0.023, 0.005) * (canopy.canopy_c - mix(24.5, 33.6)).powi(2)
            }
        },
        co2: (1.0 + mix(6.1e-7, 1.1e-11) * co2_above.powi(2)).min(1.5),
        vpd: (1.0 + mix(4.3e-6, 5.2e-6) * canopy.leaf_vpd_pa.powi(2)).min(3.8),
    }
}

/// Air as the second opinion takes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TomatoAir {
    /// Volumetric heat capacity, ρ c_p \[J/(m³ K)\].
    pub heat_capacity_j_per_m3_k: f64,
    /// Heat of evaporation \[J/kg\].
    pub latent_heat_j_per_kg: f64,
}

/// Psychrometric constant of the model \[Pa/K\].
pub const GAMMA_PA_PER_K: f64 = 65.8;
/// Resistance of the air layer, mean of a greenhouse \[s/m\].
pub const AERO_RESISTANCE_S_PER_M: f64 = 275.0;

/// Water given off by a tomato canopy \[kg/(m² s)\].
///
/// ```text
/// E = 2·ρc_p·LAI·(p_can − p_air) / [ λ·γ·(r_b + r_s) ]      r_b = 275 s/m, γ = 65.8 Pa/K
/// ```
///
/// - `canopy`: state of canopy and air
/// - `air`: heat capacity and heat of evaporation
/// - `stomatal_resistance_s_per_m`: from [`resistance_factors`] \[s/m\]
///
/// **Valid** sea level (fixed γ); greenhouse tomato.
/// **Error** as [`resistance_factors`].
/// **Source** Stanghellini 1987 as used by later greenhouse models.
/// **Checked** `tests/cross/stanghellini.csv`.
///
/// ```
/// use crop::stanghellini::{TomatoAir, TomatoCanopy, water_kg_per_m2_s};
/// let c = TomatoCanopy {
///     lai: 3.0, canopy_c: 24.0, absorbed_w_per_m2: 200.0, leaf_vpd_pa: 895.6, co2_ppm: 800.0,
/// };
/// let air = TomatoAir { heat_capacity_j_per_m3_k: 1.2 * 1006.0, latent_heat_j_per_kg: 2.45e6 };
/// assert!((water_kg_per_m2_s(&c, &air, 424.6) * 3.6e6 / 207.0 - 1.0).abs() < 0.005);
/// ```
pub fn water_kg_per_m2_s(
    canopy: &TomatoCanopy,
    air: &TomatoAir,
    stomatal_resistance_s_per_m: f64,
) -> f64 {
    2.0 * air.heat_capacity_j_per_m3_k * canopy.lai * canopy.leaf_vpd_pa
        / (air.latent_heat_j_per_kg
            * GAMMA_PA_PER_K
            * (AERO_RESISTANCE_S_PER_M + stomatal_resistance_s_per_m))
}
