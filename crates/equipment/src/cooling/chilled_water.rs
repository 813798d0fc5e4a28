//! A coil with chilled water and a modulating valve.

use air::MoistAir;
use thiserror::Error;

use crate::closure::solve_adp;
use crate::cooling::output::{CoolerData, CoolerOutput, from_pass};
use crate::cooling::split::{BypassError, CoilRating, bypass_factor_from_rating, split_by_bypass};
use crate::cooling::{Cooler, CoolerConditions, standard_dry_air_kg_per_s};

/// Heat capacity of water \[J/(kg K)\].
const WATER_J_PER_KG_K: f64 = 4186.0;

/// Opening of a water valve, 0 to 1, as a share of the rated water flow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Valve {
    /// Share of the rated water flow that passes.
    pub open: f64,
}

impl Valve {
    /// Wide open.
    pub const OPEN: Self = Self { open: 1.0 };
}

/// A chilled-water coil between the air and the water.
///
/// ```text
/// Q = (ADP − T_supply) / [1 / (UA u^0.8) + 1 / (2 m_w u c)]      u = valve
/// ```
///
/// The water side is a conductance from the coil surface to the mean water
/// temperature; the air side is [`crate::pass_coil`].
///
/// **Valid** water 4 to 16 °C, valve 0.1 to 1; less flow goes laminar and
/// cools less than this says.
/// **Source** heat balance; exponent 0.8 for turbulent flow in tubes
/// (Dittus-Boelter, recalled).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChilledWater {
    /// Conductance from coil surface to water at the rated water flow \[W/K\].
    pub conductance_w_per_k: f64,
    /// Rated water flow \[kg/s\].
    pub water_kg_per_s: f64,
    /// Temperature of the supplied water \[°C\].
    pub supply_c: f64,
}

/// Rating of a chilled-water coil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChilledWaterRating {
    /// Entering air.
    pub entering: MoistAir,
    /// Gross total \[W\].
    pub total_w: f64,
    /// Gross sensible \[W\].
    pub sensible_w: f64,
    /// Air flow \[m³/s\].
    pub airflow_m3_per_s: f64,
    /// Water flow \[kg/s\].
    pub water_kg_per_s: f64,
    /// Temperature of the supplied water \[°C\].
    pub supply_c: f64,
}

/// Why a rating is no chilled-water coil.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum ChilledWaterError {
    /// No bypass factor.
    #[error(transparent)]
    Bypass(#[from] BypassError),
    /// Coil colder than the water.
    #[error(
        "the rating needs a coil at {adp_c:.1} °C, but its water runs at {water_c:.1} °C in the mean"
    )]
    ColderThanWater {
        /// Coil surface \[°C\].
        adp_c: f64,
        /// Mean water temperature \[°C\].
        water_c: f64,
    },
}

impl ChilledWater {
    /// Coil and bypass factor through one rating.
    ///
    /// # Errors
    /// [`ChilledWaterError`] when the rated sensible share fits no coil, or
    /// the coil would have to be colder than its water.
    pub fn from_rating(r: &ChilledWaterRating) -> Result<(Self, f64), ChilledWaterError> {
        let m = standard_dry_air_kg_per_s(r.airflow_m3_per_s, r.entering.pressure_pa());
        let bypass_factor = bypass_factor_from_rating(&CoilRating {
            entering: r.entering,
            total_w: r.total_w,
            sensible_w: r.sensible_w,
            dry_air_kg_per_s: m,
        })?;
        let water_c = r.supply_c + 0.5 * r.total_w / (r.water_kg_per_s * WATER_J_PER_KG_K);
        let adp_c = split_by_bypass(&r.entering, r.total_w, m, bypass_factor)
            .map_or(f64::NEG_INFINITY, |s| s.adp_c);
        if adp_c <= water_c {
            return Err(ChilledWaterError::ColderThanWater { adp_c, water_c });
        }
        // What the coil takes up is the air's total less what drains.
        let pass = crate::pass_coil(
            &r.entering,
            crate::CoilState {
                dry_air_kg_per_s: m,
                adp_c,
                bypass_factor,
            },
        );
        let coil = Self {
            conductance_w_per_k: pass.coil_w() / (adp_c - water_c),
            water_kg_per_s: r.water_kg_per_s,
            supply_c: r.supply_c,
        };
        Ok((coil, bypass_factor))
    }

    pub(super) fn under(&self, cooler: &Cooler, now: &CoolerConditions) -> CoolerOutput {
        let m = now.dry_air_kg_per_s();
        if m <= 0.0 || !m.is_finite() {
            return crate::cooling::output::idle(now, CoolerData::BeyondAirflow);
        }
        let bypass_factor = cooler
            .bypass_factor
            .powf(cooler.rated_dry_air_kg_per_s() / m);
        let u = now.valve.open.clamp(0.0, 1.0);
        let per_k = if u > 0.0 {
            let tubes = self.conductance_w_per_k * u.powf(0.8);
            let warming = 2.0 * self.water_kg_per_s * u * WATER_J_PER_KG_K;
            1.0 / (1.0 / tubes + 1.0 / warming)
        } else {
            0.0
        };
        let pass = solve_adp(&now.entering, m, bypass_factor, |adp_c| {
            per_k * (adp_c - self.supply_c).max(0.0)
        });
        let flow_ratio = now.airflow_m3_per_s / cooler.airflow_m3_per_s;
        let data = if !(0.5..=1.5).contains(&flow_ratio) {
            CoolerData::BeyondAirflow
        } else {
            CoolerData::Inside
        };
        from_pass(cooler, now, &pass, data)
    }

    pub(super) fn scaled(&self, factor: f64) -> Self {
        Self {
            conductance_w_per_k: factor * self.conductance_w_per_k,
            water_kg_per_s: factor * self.water_kg_per_s,
            ..*self
        }
    }
}
