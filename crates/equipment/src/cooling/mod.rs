//! Cooling machines: how much heat they take out of the room air, and how
//! much of it with water.

mod carry;
mod chilled_water;
mod map;
mod output;
mod rated_point;
mod split;

pub use chilled_water::{ChilledWater, ChilledWaterError, ChilledWaterRating, Valve};
pub use map::{CoolingMap, MapError, MapPoint, MapReading};
pub use output::{CoolerData, CoolerOutput};
pub use rated_point::{
    CapacityCurve, RatedPoint, SINGLE_STAGE_CAPACITY, SINGLE_STAGE_POWER, SINGLE_STAGE_SOURCE,
};
pub use split::{BypassError, CoilRating, Split, bypass_factor_from_rating, split_by_bypass};

use air::MoistAir;

use crate::provenance::Provenance;

/// Dry air that a fan's stated flow carries \[kg/s\].
///
/// ```text
/// m_da = V / v(20 °C, dry, p)
/// ```
///
/// - `airflow_m3_per_s`: air flow as stated: as dry air of 20 °C, the
///   standard air of the trade, at the barometric pressure of the site
/// - `pressure_pa`: that pressure
///
/// **Valid** 5 to 40 °C; the true mass is within 5 %.
/// **Source** convention of the cases E100 to E200 (0.425 m³/s is 0.5117 kg/s),
/// Neymark and Judkoff 2002, NREL/TP-550-30152.
pub fn standard_dry_air_kg_per_s(airflow_m3_per_s: f64, pressure_pa: f64) -> f64 {
    airflow_m3_per_s / air::specific_volume_m3_per_kg(20.0, 0.0, pressure_pa)
}

/// A catalogue record of a cooling machine.
#[derive(Clone, Debug, PartialEq)]
pub struct Cooler {
    /// Plain code; the key in the catalogue.
    pub code: String,
    /// What it is, in a line.
    pub description: String,
    /// How capacity follows the air.
    pub kind: CoolingKind,
    /// Rated point.
    pub rating: CoolingRating,
    /// Bypass factor at the rating, from its sensible share.
    pub bypass_factor: f64,
    /// Air flow at the rating \[m³/s\]; see [`standard_dry_air_kg_per_s`].
    pub airflow_m3_per_s: f64,
    /// Power of the indoor fan, all of it into the air \[W\].
    pub fan_w: f64,
    /// Power of the outdoor fan \[W\]; 0 where there is none.
    pub outdoor_fan_w: f64,
    /// C_d of the part-load rule `CDF = 1 − C_d (1 − PLR)`; see
    /// [`crate::cooling_part_load_factor`].
    pub degradation: f64,
    /// Barometric pressure that the data hold at \[Pa\].
    pub data_pressure_pa: f64,
    /// Price, if given, in the currency of the site.
    pub first_cost: Option<f64>,
    /// Where the figures come from.
    pub provenance: Provenance,
}

/// Rated point of a cooling machine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoolingRating {
    /// Entering dry bulb \[°C\].
    pub dry_bulb_c: f64,
    /// Entering wet bulb \[°C\].
    pub wet_bulb_c: f64,
    /// Outdoor dry bulb \[°C\].
    pub outdoor_c: f64,
    /// Gross total capacity \[W\].
    pub total_w: f64,
    /// Gross sensible capacity \[W\].
    pub sensible_w: f64,
    /// Power of the compressor \[W\]; 0 where there is none.
    pub compressor_w: f64,
}

/// How capacity follows the air.
#[derive(Clone, Debug, PartialEq)]
pub enum CoolingKind {
    /// A maker's map of total and sensible capacity.
    Map(CoolingMap),
    /// One rated point, a capacity curve and a bypass factor.
    RatedPoint(RatedPoint),
    /// A coil with chilled water and a modulating valve.
    ChilledWater(ChilledWater),
}

/// What surrounds a cooler at an instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoolerConditions {
    /// Air that enters the coil.
    pub entering: MoistAir,
    /// Outdoor dry bulb \[°C\].
    pub outdoor_c: f64,
    /// Air flow \[m³/s\]; see [`standard_dry_air_kg_per_s`].
    pub airflow_m3_per_s: f64,
    /// Opening of the water valve; machines with compressors ignore it.
    pub valve: Valve,
}

impl CoolerConditions {
    /// Dry air through the coil \[kg/s\].
    pub fn dry_air_kg_per_s(&self) -> f64 {
        standard_dry_air_kg_per_s(self.airflow_m3_per_s, self.entering.pressure_pa())
    }
}

impl Cooler {
    /// What the machine does, running all of the time (valve wide open).
    ///
    /// - `entering`: air that enters the coil
    /// - `outdoor_c`: outdoor dry bulb \[°C\]
    /// - `airflow_m3_per_s`: air flow, see [`standard_dry_air_kg_per_s`]
    ///
    /// **Valid** any `MoistAir`, outdoor −20 to 55 °C, air flow 0.3 to 1.5 of
    /// the rated; [`CoolerOutput::data`] says whether that is inside the data.
    pub fn at(&self, entering: MoistAir, outdoor_c: f64, airflow_m3_per_s: f64) -> CoolerOutput {
        self.under(&CoolerConditions {
            entering,
            outdoor_c,
            airflow_m3_per_s,
            valve: Valve::OPEN,
        })
    }

    /// As [`Cooler::at`], with a water valve that may be partly open.
    pub fn under(&self, now: &CoolerConditions) -> CoolerOutput {
        match &self.kind {
            CoolingKind::Map(map) => map.under(self, now),
            CoolingKind::RatedPoint(point) => point.under(self, now),
            CoolingKind::ChilledWater(coil) => coil.under(self, now),
        }
    }

    /// Whether the machine follows its load by degrees (a water valve) rather
    /// than by running and stopping.
    pub const fn modulates(&self) -> bool {
        matches!(self.kind, CoolingKind::ChilledWater(_))
    }

    /// Dry air at the rated flow and the pressure of the data \[kg/s\].
    pub fn rated_dry_air_kg_per_s(&self) -> f64 {
        standard_dry_air_kg_per_s(self.airflow_m3_per_s, self.data_pressure_pa)
    }

    /// The same machine `factor` times as large: capacity, power, air and
    /// water flow alike. For a room whose cooling is known by its capacity
    /// only.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        Self {
            kind: match &self.kind {
                CoolingKind::Map(m) => CoolingKind::Map(m.scaled(factor)),
                CoolingKind::RatedPoint(p) => CoolingKind::RatedPoint(p.scaled(factor)),
                CoolingKind::ChilledWater(c) => CoolingKind::ChilledWater(c.scaled(factor)),
            },
            rating: CoolingRating {
                total_w: factor * self.rating.total_w,
                sensible_w: factor * self.rating.sensible_w,
                compressor_w: factor * self.rating.compressor_w,
                ..self.rating
            },
            airflow_m3_per_s: factor * self.airflow_m3_per_s,
            fan_w: factor * self.fan_w,
            outdoor_fan_w: factor * self.outdoor_fan_w,
            first_cost: self.first_cost.map(|c| factor * c),
            ..self.clone()
        }
    }
}
