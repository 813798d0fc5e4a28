//! The air at the start of a step, in the terms of everything that feels it.

use crate::saturation::{Saturation, WithSlope};
use crate::wet_surface::SurfaceAir;

/// Heat capacity of dry air \[J/(kg K)\].
pub(crate) const DRY_AIR_J_PER_KG_K: f64 = 1006.0;
/// Heat capacity of water vapour \[J/(kg K)\].
pub(crate) const VAPOUR_J_PER_KG_K: f64 = 1860.0;
/// Molar mass of water over that of dry air.
pub(crate) const MOLAR_MASS_RATIO: f64 = 0.621_945;
/// Gas constant of dry air \[J/(kg K)\].
const DRY_AIR_GAS_J_PER_KG_K: f64 = 287.042;
/// Gas constant of vapour as the leaf equations have it \[J/(kg K)\].
const VAPOUR_GAS_J_PER_KG_K: f64 = 461.5;
const ZERO_C_K: f64 = 273.15;

/// Air at the start of a step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct AirNow {
    pub(crate) saturation: WithSlope,
    pub(crate) vapour_pressure_pa: f64,
    pub(crate) vapour_pressure_per_w: f64,
    /// Heat capacity per kilogram of dry air \[J/(kg K)\].
    pub(crate) heat_j_per_kg_k: f64,
    pub(crate) dry_air_kg_per_m3: f64,
    pub(crate) surface: SurfaceAir,
    pub(crate) machine: MachineAir,
}

/// The same as machines feel it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct MachineAir {
    pub(crate) dry_bulb_c: f64,
    pub(crate) humidity_ratio: f64,
    pub(crate) rel_humidity: f64,
    /// Slope of relative humidity over dry bulb at constant humidity ratio.
    pub(crate) rel_humidity_per_k: f64,
    /// Slope of relative humidity over humidity ratio.
    pub(crate) rel_humidity_per_w: f64,
    pub(crate) vapour_enthalpy_j_per_kg: f64,
    pub(crate) evaporation_heat_j_per_kg: f64,
    pub(crate) outdoor_c: f64,
    vapour_pressure_pa: f64,
    vpd_pa: f64,
    saturation_per_k: f64,
    pressure_pa: f64,
}

impl MachineAir {
    /// Wet-bulb depression \[K\].
    ///
    /// ```text
    /// p_ws(T − d) − γ d = p_w
    /// ```
    ///
    /// Within 2 % of the wet bulb of the `air` crate.
    pub(crate) fn wet_bulb_depression_k(&self) -> f64 {
        let table = Saturation::table();
        let gamma_pa_per_k = (DRY_AIR_J_PER_KG_K + VAPOUR_J_PER_KG_K * self.humidity_ratio)
            * self.pressure_pa
            / (MOLAR_MASS_RATIO * self.evaporation_heat_j_per_kg);
        let mut depression_k = self.vpd_pa / (self.saturation_per_k + gamma_pa_per_k);
        for _ in 0..3 {
            let at_wet_bulb = table.pressure(self.dry_bulb_c - depression_k);
            let excess_pa =
                at_wet_bulb.value - gamma_pa_per_k * depression_k - self.vapour_pressure_pa;
            depression_k += excess_pa / (at_wet_bulb.per_k + gamma_pa_per_k);
        }
        depression_k.max(0.0)
    }
}

/// What saturation and humidity ratio make of each other: found at the end of
/// a step, read by the books and by the next step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Humid {
    pub(crate) saturation: WithSlope,
    per_saturation: f64,
    pub(crate) vapour_pressure_pa: f64,
    /// 1 / (0.621945 + W).
    per_total: f64,
    pub(crate) rel_humidity: f64,
}

impl Humid {
    /// - `saturation`: at the dry bulb of the air
    #[inline]
    pub(crate) fn new(saturation: WithSlope, humidity_ratio: f64, pressure_pa: f64) -> Self {
        let per_saturation = 1.0 / saturation.value;
        let per_total = 1.0 / (MOLAR_MASS_RATIO + humidity_ratio);
        let vapour_pressure_pa = pressure_pa * humidity_ratio * per_total;
        Self {
            saturation,
            per_saturation,
            vapour_pressure_pa,
            per_total,
            rel_humidity: vapour_pressure_pa * per_saturation,
        }
    }

    /// Vapour pressure deficit \[Pa\].
    #[inline]
    pub(crate) fn vpd_pa(&self) -> f64 {
        self.saturation.value - self.vapour_pressure_pa
    }
}

/// A state of air and what is around.
#[derive(Clone, Copy, Debug)]
pub(crate) struct State {
    pub(crate) dry_bulb_c: f64,
    pub(crate) humidity_ratio: f64,
    pub(crate) pressure_pa: f64,
    pub(crate) outdoor_c: f64,
    /// At this dry bulb and humidity ratio.
    pub(crate) humid: Humid,
}

impl AirNow {
    #[inline]
    pub(crate) fn new(state: State) -> Self {
        let (t_c, w, pressure_pa) = (state.dry_bulb_c, state.humidity_ratio, state.pressure_pa);
        let Humid {
            saturation,
            per_saturation,
            vapour_pressure_pa,
            per_total,
            rel_humidity,
        } = state.humid;
        let vapour_pressure_per_w = pressure_pa * MOLAR_MASS_RATIO * per_total * per_total;
        let heat_j_per_kg_k = DRY_AIR_J_PER_KG_K + VAPOUR_J_PER_KG_K * w;
        let per_kelvin = 1.0 / (t_c + ZERO_C_K);
        // 1/v = p / [R T (1 + W/0.621945)]
        let dry_air_kg_per_m3 =
            (pressure_pa - vapour_pressure_pa) * per_kelvin * (1.0 / DRY_AIR_GAS_J_PER_KG_K);
        let per_gas = per_kelvin * (1.0 / VAPOUR_GAS_J_PER_KG_K);
        let vapour_kg_per_m3 = vapour_pressure_pa * per_gas;
        let evaporation_heat_j_per_kg = air::latent_heat_j_per_kg(t_c);
        Self {
            saturation,
            vapour_pressure_pa,
            vapour_pressure_per_w,
            heat_j_per_kg_k,
            dry_air_kg_per_m3,
            surface: SurfaceAir {
                dry_bulb_c: t_c,
                heat_j_per_m3_k: heat_j_per_kg_k * dry_air_kg_per_m3,
                vapour_kg_per_m3,
                vapour_per_k: -vapour_kg_per_m3 * per_kelvin,
                vapour_per_w: vapour_pressure_per_w * per_gas,
                evaporation_heat_j_per_kg,
            },
            machine: MachineAir {
                dry_bulb_c: t_c,
                humidity_ratio: w,
                rel_humidity,
                rel_humidity_per_k: -rel_humidity * saturation.per_k * per_saturation,
                rel_humidity_per_w: vapour_pressure_per_w * per_saturation,
                vapour_enthalpy_j_per_kg: air::vapour_enthalpy_j_per_kg(t_c),
                evaporation_heat_j_per_kg,
                outdoor_c: state.outdoor_c,
                vapour_pressure_pa,
                vpd_pa: state.humid.vpd_pa(),
                saturation_per_k: saturation.per_k,
                pressure_pa,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // The hot loop's own arithmetic against the `air` crate's.
    #[test]
    fn air_is_the_air_of_the_air_crate() {
        for (t_c, rh, pressure_pa) in [
            (18.0, 0.8, 101_325.0),
            (27.0, 0.6, 83_523.5),
            (35.0, 0.2, 95_000.0),
        ] {
            let exact =
                air::MoistAir::from_rel_humidity(t_c, rh, pressure_pa).expect("possible air");
            let now = AirNow::new(State {
                dry_bulb_c: t_c,
                humidity_ratio: exact.humidity_ratio(),
                pressure_pa,
                outdoor_c: 20.0,
                humid: Humid::new(
                    Saturation::table().pressure(t_c),
                    exact.humidity_ratio(),
                    pressure_pa,
                ),
            });
            let close = |a: f64, b: f64| assert!((a / b - 1.0).abs() < 1e-5, "{a} against {b}");
            close(now.machine.rel_humidity, rh);
            close(
                1.0 / now.dry_air_kg_per_m3,
                exact.specific_volume_m3_per_kg(),
            );
            let depression_k = t_c - exact.wet_bulb_c();
            let found_k = now.machine.wet_bulb_depression_k();
            assert!(
                (found_k / depression_k - 1.0).abs() < 0.02,
                "{found_k} against {depression_k}"
            );
        }
    }
}
