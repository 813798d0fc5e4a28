//! What the equations of this crate read off an air state, in one place.

use air::{MoistAir, latent_heat_j_per_kg};

/// Gas constant of water vapour \[J/(kg K)\].
pub(crate) const VAPOUR_GAS_CONSTANT_J_PER_KG_K: f64 = 461.5;
/// Ratio of the molar masses of water and dry air, as the leaf equations use it.
pub(crate) const MOLAR_MASS_RATIO: f64 = 0.622;
/// 0 °C in kelvin.
pub(crate) const ZERO_C_K: f64 = 273.15;

/// Vapour held by a cubic metre \[kg/m³\] at vapour pressure `p_pa` and `t_c`.
pub(crate) fn vapour_density_kg_per_m3(p_pa: f64, t_c: f64) -> f64 {
    p_pa / (VAPOUR_GAS_CONSTANT_J_PER_KG_K * (t_c + ZERO_C_K))
}

/// The few numbers of an air state that the surface equations need.
#[derive(Clone, Copy, Debug)]
pub(crate) struct AirSide {
    pub(crate) dry_bulb_c: f64,
    pub(crate) humidity_ratio: f64,
    pub(crate) vapour_pressure_pa: f64,
    pub(crate) pressure_pa: f64,
    pub(crate) specific_volume_m3_per_kg: f64,
}

impl AirSide {
    pub(crate) fn of(air: &MoistAir) -> Self {
        Self {
            dry_bulb_c: air.dry_bulb_c(),
            humidity_ratio: air.humidity_ratio(),
            vapour_pressure_pa: air.vapour_pressure_pa(),
            pressure_pa: air.pressure_pa(),
            specific_volume_m3_per_kg: air.specific_volume_m3_per_kg(),
        }
    }

    /// Heat capacity of the moist air in a cubic metre, ρ c_p \[J/(m³ K)\].
    pub(crate) fn heat_capacity_j_per_m3_k(&self) -> f64 {
        (1006.0 + 1860.0 * self.humidity_ratio) / self.specific_volume_m3_per_kg
    }

    /// Psychrometric constant γ \[Pa/K\].
    pub(crate) fn psychrometric_constant_pa_per_k(&self) -> f64 {
        let c_p = (1006.0 + 1860.0 * self.humidity_ratio) / (1.0 + self.humidity_ratio);
        c_p * self.pressure_pa / (MOLAR_MASS_RATIO * latent_heat_j_per_kg(self.dry_bulb_c))
    }

    /// Vapour pressure deficit of the air \[Pa\].
    pub(crate) fn vpd_pa(&self) -> f64 {
        air::vpd_pa(self.dry_bulb_c, self.vapour_pressure_pa)
    }
}
