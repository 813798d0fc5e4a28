//! Water that lies open.

use super::SetupError;
use super::range::{ABOVE_ZERO, NOT_NEGATIVE, SHARE, TEMPERATURE, TIME_OF_DAY, number};
use crate::setup::{Evaporation, Setup};

impl Setup {
    pub(super) fn check_water(&self) -> Result<(), SetupError> {
        if let Some(medium) = &self.medium {
            number("medium area, m²", medium.area_m2, NOT_NEGATIVE)?;
            number(
                "air-layer resistance over the medium, s/m",
                medium.aero_resistance_s_per_m,
                ABOVE_ZERO,
            )?;
            number(
                "surface resistance of the medium, s/m",
                medium.surface_resistance_s_per_m,
                NOT_NEGATIVE,
            )?;
            number("light share of the medium", medium.light_share, SHARE)?;
            number(
                "photon energy at the medium, J/µmol",
                medium.photon_energy_j_per_umol,
                NOT_NEGATIVE,
            )?;
            number(
                "water per irrigation, kg",
                medium.water_per_irrigation_kg,
                NOT_NEGATIVE,
            )?;
            number("time at full rate, s", medium.constant_rate_s, NOT_NEGATIVE)?;
            number(
                "half-time of the medium, s",
                medium.half_time_s,
                NOT_NEGATIVE,
            )?;
        }
        for (index, surface) in self.water_surfaces.iter().enumerate() {
            let name = |what: &str| format!("{what} of water surface {}", index + 1);
            number(name("area, m²,"), surface.area_m2, NOT_NEGATIVE)?;
            number(name("temperature"), surface.water_c, TEMPERATURE)?;
            number(
                name("share of heat from the air"),
                surface.heat_from_air,
                SHARE,
            )?;
            if let Evaporation::Blown {
                air_speed_m_per_s,
                activity,
            } = surface.law
            {
                number(name("air speed, m/s,"), air_speed_m_per_s, NOT_NEGATIVE)?;
                number(name("activity factor"), activity, NOT_NEGATIVE)?;
            }
        }
        if let Some(floor) = &self.floor {
            number("wet floor area, m²", floor.area_m2, NOT_NEGATIVE)?;
            number(
                "heat transfer at the floor, W/(m² K)",
                floor.heat_transfer_w_per_m2_k,
                ABOVE_ZERO,
            )?;
            number(
                "cooling time of the film, s",
                floor.cooling_time_s,
                NOT_NEGATIVE,
            )?;
            for wash in &floor.daily_wash_downs {
                number("time of wash-down", wash.time_s, TIME_OF_DAY)?;
                number("film of a wash-down, kg", wash.film_kg, NOT_NEGATIVE)?;
            }
        }
        Ok(())
    }
}
