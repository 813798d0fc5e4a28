//! A surface that gives off water and takes its heat from light and air:
//! leaves, wet medium, wet floor.
//!
//! The equations are those of `crop::canopy`, solved with the tables of this
//! crate from the temperature of the step before.

use crate::linear::Flow;
use crate::saturation::Saturation;

/// Air at the start of a step, in the terms that a surface feels.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SurfaceAir {
    pub(crate) dry_bulb_c: f64,
    /// ρ c_p per kelvin \[J/(m³ K)\].
    pub(crate) heat_j_per_m3_k: f64,
    /// Vapour density \[kg/m³\].
    pub(crate) vapour_kg_per_m3: f64,
    /// Slopes of the vapour density over dry bulb and humidity ratio.
    pub(crate) vapour_per_k: f64,
    pub(crate) vapour_per_w: f64,
    pub(crate) evaporation_heat_j_per_kg: f64,
}

/// A whole surface.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Surface {
    /// Heat conductance to the air over ρ c_p \[m³/s\].
    pub(crate) heat_m3_per_s: f64,
    /// Vapour conductance to the air \[m³/s\].
    pub(crate) vapour_m3_per_s: f64,
    /// Light taken up \[W\].
    pub(crate) light_w: f64,
}

/// What it exchanges with the air.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SurfaceFlow {
    pub(crate) temperature_c: f64,
    /// Sensible heat to the air \[W\].
    pub(crate) heat: Flow,
    /// Vapour to the air \[kg/s\].
    pub(crate) water: Flow,
    /// dχ/dT of saturated vapour at the surface \[kg/(m³ K)\].
    pub(crate) saturation_per_k: f64,
}

impl Surface {
    /// Solves light = H + λE for the surface temperature by Newton's steps from
    /// `guess_c`, and takes the slopes at the solution.
    #[inline]
    pub(crate) fn flow(&self, air: &SurfaceAir, guess_c: f64, table: &Saturation) -> SurfaceFlow {
        const MOST_STEPS: usize = 30;
        let heat = self.heat_m3_per_s * air.heat_j_per_m3_k;
        let latent = self.vapour_m3_per_s * air.evaporation_heat_j_per_kg;
        let mut surface_c = guess_c;
        let mut slope;
        let mut per_total;
        let mut steps = 0;
        loop {
            let saturated = table.density(surface_c);
            slope = saturated.per_k;
            let excess_w = heat * (surface_c - air.dry_bulb_c)
                + latent * (saturated.value - air.vapour_kg_per_m3)
                - self.light_w;
            per_total = 1.0 / (heat + latent * slope);
            let step_k = excess_w * per_total;
            surface_c -= step_k;
            steps += 1;
            // The error left after a step is some 3 % of its square per
            // kelvin: 0.05 K leaves less than 1e-4 K.
            if step_k.abs() < 0.05 || steps == MOST_STEPS {
                break;
            }
        }
        let sensible_w = heat * (surface_c - air.dry_bulb_c);
        let surface_per_k = (heat + latent * air.vapour_per_k) * per_total;
        let surface_per_w = latent * air.vapour_per_w * per_total;
        let sensible = Flow {
            start: sensible_w,
            per_k: heat * (surface_per_k - 1.0),
            per_w: heat * surface_per_w,
        };
        let per_heat = 1.0 / air.evaporation_heat_j_per_kg;
        SurfaceFlow {
            temperature_c: surface_c,
            heat: sensible,
            water: Flow {
                start: (self.light_w - sensible_w) * per_heat,
                per_k: -sensible.per_k * per_heat,
                per_w: -sensible.per_w * per_heat,
            },
            saturation_per_k: slope,
        }
    }
}
