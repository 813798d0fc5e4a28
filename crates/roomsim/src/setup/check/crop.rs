//! Lamps and leaves.

use super::SetupError;
use super::range::{ABOVE_ZERO, Allowed, NOT_NEGATIVE, SHARE, number};
use crate::setup::Setup;

impl Setup {
    pub(super) fn check_crop(&self) -> Result<(), SetupError> {
        number("lamp power, W", self.lights.power_w, NOT_NEGATIVE)?;
        number(
            "photon flux density, µmol/(m² s)",
            self.lights.ppfd_umol_per_m2_s,
            NOT_NEGATIVE,
        )?;
        number(
            "share of lamp heat to the mass",
            self.lights.share_to_mass,
            SHARE,
        )?;
        let Some(canopy) = &self.canopy else {
            return Ok(());
        };
        number("canopy area, m²", canopy.area_m2, NOT_NEGATIVE)?;
        number("leaf area index", canopy.leaves.lai, NOT_NEGATIVE)?;
        number("canopy coverage", canopy.leaves.coverage, SHARE)?;
        number("leaf reflectance", canopy.leaves.reflectance, SHARE)?;
        number(
            "photon energy, J/µmol",
            canopy.leaves.photon_energy_j_per_umol,
            NOT_NEGATIVE,
        )?;
        let resistance = Allowed {
            words: "1 to 1 000 000 s/m",
            low: 1.0,
            high: 1e6,
        };
        number(
            "air-layer resistance of the leaves",
            canopy.leaves.leaf_aero_resistance_s_per_m,
            resistance,
        )?;
        number(
            "air-layer resistance of the leaves in still air",
            canopy.still_air_resistance_s_per_m,
            resistance,
        )?;
        number(
            "stomatal resistance at night",
            canopy.night_resistance_s_per_m,
            Allowed {
                words: "0 to 1 000 000 s/m",
                low: 0.0,
                high: 1e6,
            },
        )?;
        number(
            "factor on the day resistance",
            canopy.day_resistance_factor,
            ABOVE_ZERO,
        )?;
        number(
            "carbon dioxide factor of the stomata",
            canopy.co2_factor,
            ABOVE_ZERO,
        )?;
        number("stomatal lag, s", canopy.stomatal_lag_s, NOT_NEGATIVE)
    }
}
