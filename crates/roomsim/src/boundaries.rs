//! What passes through the walls of the room, and what they hold.

use air::humidity_ratio_from_vapour_pressure;

use crate::air_now::{AirNow, DRY_AIR_J_PER_KG_K, VAPOUR_J_PER_KG_K};
use crate::bank::Supply;
use crate::parts::{Parts, PerK, PerW};
use crate::setup::{Boundary, ColdSurfaceBoundary, Exchange};
use crate::simulation::Simulation;
use crate::timetable::{Row, Supply as Driven};

/// Air that comes and goes, summed by where it comes from; volume flows at
/// the state there.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Streams {
    outdoor_m3_per_s: f64,
    adjacent_m3_per_s: f64,
}

impl Streams {
    /// With power and without, in the order of [`Supply`].
    pub(crate) fn of(exchanges: &[Exchange]) -> [Self; 2] {
        let mut streams = [Self::default(); 2];
        for exchange in exchanges {
            for supply in [Supply::On, Supply::Cut] {
                if supply == Supply::Cut && exchange.supply == Driven::Mains {
                    continue;
                }
                let sum = &mut streams[supply as usize];
                match exchange.with {
                    Boundary::Outdoor => sum.outdoor_m3_per_s += exchange.flow_m3_per_s,
                    Boundary::Adjacent => sum.adjacent_m3_per_s += exchange.flow_m3_per_s,
                }
            }
        }
        streams
    }

    #[inline]
    fn outdoor(&self, row: &Row, t_c: f64, w: f64) -> (PerK, PerW) {
        Self::one(
            self.outdoor_m3_per_s * row.outdoor_dry_air_kg_per_m3,
            (row.outdoor_c, row.outdoor_humidity_ratio),
            (t_c, w),
        )
    }

    #[inline]
    fn adjacent(&self, row: &Row, t_c: f64, w: f64) -> (PerK, PerW) {
        Self::one(
            self.adjacent_m3_per_s * row.adjacent_dry_air_kg_per_m3,
            (row.adjacent_c, row.adjacent_humidity_ratio),
            (t_c, w),
        )
    }

    /// One stream of dry air \[kg/s\] between two dry bulbs and humidity ratios.
    /// It comes in with its own heat capacity; the water exchanged is counted
    /// at room temperature with the water.
    #[inline]
    fn one(
        dry_air_kg_per_s: f64,
        (from_c, from_w): (f64, f64),
        (t_c, w): (f64, f64),
    ) -> (PerK, PerW) {
        let heat_w_per_k = dry_air_kg_per_s * (DRY_AIR_J_PER_KG_K + VAPOUR_J_PER_KG_K * from_w);
        (
            PerK {
                start: heat_w_per_k * (from_c - t_c),
                per_k: -heat_w_per_k,
            },
            PerW {
                start: dry_air_kg_per_s * (from_w - w),
                per_w: -dry_air_kg_per_s,
            },
        )
    }
}

impl Simulation<'_> {
    /// Envelope, air exchange, thermal mass and dew on the coldest surface.
    #[inline]
    pub(crate) fn boundaries(&self, row: &Row, air: &AirNow, parts: &mut Parts) {
        let zone = &self.setup.zone;
        let (t_c, w) = (self.dry_bulb_c, self.humidity_ratio);
        let (outdoor, adjacent) = (
            zone.outdoor_conductance_w_per_k,
            zone.adjacent_conductance_w_per_k,
        );
        parts.envelope = PerK {
            start: outdoor * (row.outdoor_c - t_c) + adjacent * (row.adjacent_c - t_c),
            per_k: -(outdoor + adjacent),
        };
        let streams = &self.constants.streams[self.supply as usize];
        (parts.exchange_heat, parts.exchange_water) = streams.outdoor(row, t_c, w);
        if streams.adjacent_m3_per_s > 0.0 {
            let (heat, water) = streams.adjacent(row, t_c, w);
            parts.exchange_heat.start += heat.start;
            parts.exchange_heat.per_k += heat.per_k;
            parts.exchange_water.start += water.start;
            parts.exchange_water.per_w += water.per_w;
        }
        let mass_w_per_k = self.constants.mass_conductance_w_per_k;
        parts.mass = PerK {
            start: mass_w_per_k * (self.mass_c - t_c),
            per_k: -mass_w_per_k,
        };
        parts.condensation = self.dew(row, air);
    }

    /// Dew on the coldest surface \[kg/s\].
    #[inline]
    fn dew(&self, row: &Row, air: &AirNow) -> PerW {
        let Some(cold) = &self.setup.zone.coldest_surface else {
            return PerW::default();
        };
        let (Some(surface_c), true) = (self.cold_surface_c(row), cold.area_m2 > 0.0) else {
            return PerW::default();
        };
        if surface_c >= self.dew_point_c {
            return PerW::default();
        }
        let w = self.humidity_ratio;
        let saturated_w = humidity_ratio_from_vapour_pressure(
            self.table.pressure(surface_c).value,
            self.setup.zone.pressure_pa,
        );
        if w <= saturated_w {
            return PerW::default();
        }
        // Heat and vapour go alike (Lewis number 1).
        let kg_per_s = cold.area_m2 / (cold.surface_resistance_m2_k_per_w * air.heat_j_per_kg_k);
        PerW {
            start: kg_per_s * (saturated_w - w),
            per_w: -kg_per_s,
        }
    }

    /// Temperature of the coldest surface now \[°C\].
    #[inline]
    pub(crate) fn cold_surface_c(&self, row: &Row) -> Option<f64> {
        self.setup.zone.coldest_surface.as_ref().map(|cold| {
            let beyond_c = match cold.boundary {
                ColdSurfaceBoundary::Outdoor => row.outdoor_c,
                ColdSurfaceBoundary::Adjacent => row.adjacent_c,
                ColdSurfaceBoundary::At(t_c) => t_c,
            };
            self.dry_bulb_c
                - cold.transmittance_w_per_m2_k
                    * cold.surface_resistance_m2_k_per_w
                    * (self.dry_bulb_c - beyond_c)
        })
    }
}
