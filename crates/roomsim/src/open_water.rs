//! Tanks, gutters and other water kept at its level.

use air::{humidity_ratio_from_vapour_pressure, specific_volume_m3_per_kg};

use crate::air_now::AirNow;
use crate::linear::Flow;
use crate::setup::{Evaporation, WaterSurface};

/// A water surface with what does not change over a run.
#[derive(Clone, Copy, Debug)]
pub(crate) struct OpenWater {
    area_m2: f64,
    pub(crate) heat_from_air: f64,
    vapour_pressure_pa: f64,
    humidity_ratio: f64,
    dry_air_kg_per_m3: f64,
    /// For blown water \[kg/(s Pa)\], all area.
    blown_kg_per_s_pa: Option<f64>,
}

impl OpenWater {
    pub(crate) fn new(surface: &WaterSurface, pressure_pa: f64) -> Self {
        let vapour_pressure_pa = air::saturation_pressure_pa(surface.water_c);
        let humidity_ratio = humidity_ratio_from_vapour_pressure(vapour_pressure_pa, pressure_pa);
        Self {
            area_m2: surface.area_m2,
            heat_from_air: surface.heat_from_air,
            vapour_pressure_pa,
            humidity_ratio,
            dry_air_kg_per_m3: 1.0
                / specific_volume_m3_per_kg(surface.water_c, humidity_ratio, pressure_pa),
            blown_kg_per_s_pa: match surface.law {
                Evaporation::Still => None,
                Evaporation::Blown {
                    air_speed_m_per_s,
                    activity,
                } => Some(
                    // Handbook form; kPa and kJ/kg cancel into Pa and J/kg.
                    surface.area_m2 * activity * (0.089 + 0.0782 * air_speed_m_per_s)
                        / air::latent_heat_j_per_kg(surface.water_c),
                ),
            },
        }
    }

    /// Evaporation now, falling in a straight line to nothing where the air
    /// has the vapour pressure of the water; never condensation.
    #[inline]
    pub(crate) fn flow(&self, air: &AirNow) -> Flow {
        let difference_pa = self.vapour_pressure_pa - air.vapour_pressure_pa;
        if difference_pa <= 0.0 {
            return Flow::ZERO;
        }
        let start = match self.blown_kg_per_s_pa {
            Some(kg_per_s_pa) => kg_per_s_pa * difference_pa,
            None => {
                // Shah: the larger of buoyant and forced, kg/(m² h).
                let lighter = (air.dry_air_kg_per_m3 - self.dry_air_kg_per_m3).max(0.0);
                let buoyant = 35.0
                    * self.dry_air_kg_per_m3
                    * lighter.cbrt()
                    * (self.humidity_ratio - air.machine.humidity_ratio);
                let forced = 5.0e-5 * difference_pa;
                self.area_m2 * buoyant.max(forced) * (1.0 / 3600.0)
            }
        };
        Flow {
            start,
            per_k: 0.0,
            per_w: -start / difference_pa * air.vapour_pressure_per_w,
        }
    }
}
