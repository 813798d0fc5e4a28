//! A cooling machine of which one rated point is known.

use air::MoistAir;
use quantity::Source;

use crate::cooling::carry::{carry, entering_at_data};
use crate::cooling::output::{Asked, CoolerData, CoolerOutput, settle};
use crate::cooling::split::split_by_bypass;
use crate::cooling::{Cooler, CoolerConditions};

/// A biquadratic of entering wet bulb and outdoor dry bulb, both °C.
///
/// ```text
/// f = a + b w + c w² + d o + e o² + f w o
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CapacityCurve {
    /// Constant.
    pub a: f64,
    /// Of w \[1/°C\].
    pub b: f64,
    /// Of w² \[1/°C²\].
    pub c: f64,
    /// Of o \[1/°C\].
    pub d: f64,
    /// Of o² \[1/°C²\].
    pub e: f64,
    /// Of w o \[1/°C²\].
    pub f: f64,
}

impl CapacityCurve {
    /// Value at an entering wet bulb and an outdoor dry bulb \[°C\].
    ///
    /// **Valid** for the two public curves here: wet bulb 15 to 21.7 °C,
    /// outdoor 29.4 to 46.1 °C. **Source** see [`SINGLE_STAGE_CAPACITY`].
    pub const fn at(&self, wet_bulb_c: f64, outdoor_c: f64) -> f64 {
        let (w, o) = (wet_bulb_c, outdoor_c);
        self.a + self.b * w + self.c * w * w + self.d * o + self.e * o * o + self.f * w * o
    }
}

/// Source of the two public curves.
pub const SINGLE_STAGE_SOURCE: Source = Source::published(
    "US DOE test report of the cases CE100 to CE200 for a public simulation program",
    "capacity and energy-input curves fitted to the equipment tables",
);

/// Gross total capacity of a single-stage machine over that at 19.4 °C wet
/// bulb and 35 °C outdoors. Fits the published map with 0.13 % rms.
pub const SINGLE_STAGE_CAPACITY: CapacityCurve = CapacityCurve {
    a: 0.43863482,
    b: 0.04259180,
    c: 0.00015024,
    d: 0.00100248,
    e: -0.00003314,
    f: -0.00046664,
};

/// Power of compressor and outdoor fan per gross total capacity, over that at
/// the same point. 0.29 % rms.
pub const SINGLE_STAGE_POWER: CapacityCurve = CapacityCurve {
    a: 0.77127580,
    b: -0.02218018,
    c: 0.00074086,
    d: 0.01306849,
    e: 0.00039124,
    f: -0.00082052,
};

/// Range of the two public curves: wet bulb, outdoor \[°C\].
const CURVE_WET_BULBS_C: (f64, f64) = (15.0, 21.7);
const CURVE_OUTDOORS_C: (f64, f64) = (29.4, 46.1);
/// How far the curves are carried on before they are held.
const HELD_WET_BULBS_C: (f64, f64) = (8.0, 28.0);
const HELD_OUTDOORS_C: (f64, f64) = (15.0, 50.0);

/// One rated point with public curves around it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RatedPoint {
    /// Gross total capacity at the rating \[W\].
    pub total_w: f64,
    /// Power of compressor and outdoor fan at the rating \[W\].
    pub condensing_unit_w: f64,
    /// Entering wet bulb of the rating \[°C\].
    pub wet_bulb_c: f64,
    /// Outdoor dry bulb of the rating \[°C\].
    pub outdoor_c: f64,
}

impl RatedPoint {
    fn total_w(&self, wet_bulb_c: f64, outdoor_c: f64) -> f64 {
        let f = |w: f64, o: f64| {
            SINGLE_STAGE_CAPACITY.at(
                w.clamp(HELD_WET_BULBS_C.0, HELD_WET_BULBS_C.1),
                o.clamp(HELD_OUTDOORS_C.0, HELD_OUTDOORS_C.1),
            )
        };
        self.total_w * f(wet_bulb_c, outdoor_c) / f(self.wet_bulb_c, self.outdoor_c)
    }

    fn power_per_total(&self, wet_bulb_c: f64, outdoor_c: f64) -> f64 {
        let f = |w: f64, o: f64| {
            SINGLE_STAGE_POWER.at(
                w.clamp(HELD_WET_BULBS_C.0, HELD_WET_BULBS_C.1),
                o.clamp(HELD_OUTDOORS_C.0, HELD_OUTDOORS_C.1),
            )
        };
        self.condensing_unit_w / self.total_w * f(wet_bulb_c, outdoor_c)
            / f(self.wet_bulb_c, self.outdoor_c)
    }

    pub(super) fn under(&self, cooler: &Cooler, now: &CoolerConditions) -> CoolerOutput {
        let there = entering_at_data(cooler, &now.entering).unwrap_or(now.entering);
        let point = self.wettest_dry(cooler, &there, now.outdoor_c);
        let w_c = point.air.wet_bulb_c();
        let flow_ratio = now.airflow_m3_per_s / cooler.airflow_m3_per_s;
        let outside = |(low, high): (f64, f64), x: f64| x < low - 1e-6 || x > high + 1e-6;
        let data = if !(0.5..=1.5).contains(&flow_ratio) {
            CoolerData::BeyondAirflow
        } else if outside(CURVE_OUTDOORS_C, now.outdoor_c) {
            CoolerData::BeyondOutdoor
        } else if outside(CURVE_WET_BULBS_C, w_c) {
            CoolerData::BeyondWetBulb
        } else {
            CoolerData::Inside
        };
        let condensing_w = point.total_w * self.power_per_total(w_c, now.outdoor_c);
        let asked = Asked {
            total_w: point.total_w,
            sensible_w: point.sensible_w,
            compressor_w: (condensing_w - cooler.outdoor_fan_w).max(0.0),
            adp_c: Some(point.adp_c),
            data,
        };
        settle(cooler, now, carry(cooler, now, asked))
    }

    /// Total and split at this air; where the coil is dry, at the damper air
    /// of the same dry bulb at which it is just dry, since a dry coil does
    /// not feel the wet bulb.
    fn wettest_dry(&self, cooler: &Cooler, entering: &MoistAir, outdoor_c: f64) -> PointSplit {
        let at = |air: MoistAir| {
            let total_w = self.total_w(air.wet_bulb_c(), outdoor_c);
            let m = cooler.rated_dry_air_kg_per_s();
            let split = split_by_bypass(&air, total_w, m, cooler.bypass_factor);
            PointSplit {
                air,
                total_w,
                sensible_w: split.map_or(total_w, |s| s.sensible_w),
                adp_c: split.map_or(air.dew_point_c(), |s| s.adp_c),
            }
        };
        let here = at(*entering);
        if here.sensible_w < here.total_w {
            return here;
        }
        let (t_c, p_pa) = (entering.dry_bulb_c(), entering.pressure_pa());
        let (mut low, mut high) = (
            entering.humidity_ratio(),
            air::saturation_humidity_ratio(t_c, p_pa),
        );
        let mut best = here;
        for _ in 0..40 {
            let mid = 0.5 * (low + high);
            let Ok(air) = MoistAir::new(t_c, mid, p_pa) else {
                break;
            };
            let point = at(air);
            if point.sensible_w < point.total_w {
                high = mid;
            } else {
                low = mid;
                best = point;
            }
        }
        best
    }

    pub(super) fn scaled(&self, factor: f64) -> Self {
        Self {
            total_w: factor * self.total_w,
            condensing_unit_w: factor * self.condensing_unit_w,
            ..*self
        }
    }
}

/// A total at an entering air, split.
#[derive(Clone, Copy)]
struct PointSplit {
    air: MoistAir,
    total_w: f64,
    sensible_w: f64,
    adp_c: f64,
}
