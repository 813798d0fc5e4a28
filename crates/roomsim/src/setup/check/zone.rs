//! The air, what encloses it and what stores heat and water.

use super::SetupError;
use super::range::{ABOVE_ZERO, Allowed, HUMIDITY_RATIO, NOT_NEGATIVE, TEMPERATURE, number};
use crate::setup::{ColdSurfaceBoundary, MoistureStorage, Setup};

impl Setup {
    pub(super) fn check_zone(&self) -> Result<(), SetupError> {
        let zone = &self.zone;
        number("room volume, m³", zone.volume_m3, ABOVE_ZERO)?;
        number(
            "barometric pressure, Pa",
            zone.pressure_pa,
            Allowed {
                words: "50 000 to 110 000",
                low: 50_000.0,
                high: 110_000.0,
            },
        )?;
        number("start dry bulb", self.start.dry_bulb_c, TEMPERATURE)?;
        number(
            "start humidity ratio",
            self.start.humidity_ratio,
            HUMIDITY_RATIO,
        )?;
        let saturated = air::saturation_humidity_ratio(self.start.dry_bulb_c, zone.pressure_pa);
        if self.start.humidity_ratio > saturated * (1.0 + 1e-6) {
            return Err(SetupError::Supersaturated {
                dry_bulb_c: self.start.dry_bulb_c,
                humidity_ratio: self.start.humidity_ratio,
                saturated,
            });
        }
        number(
            "conductance to outdoors, W/K",
            zone.outdoor_conductance_w_per_k,
            NOT_NEGATIVE,
        )?;
        number(
            "conductance to the adjacent space, W/K",
            zone.adjacent_conductance_w_per_k,
            NOT_NEGATIVE,
        )?;
        number(
            "heat capacity that follows the air, J/K",
            zone.fast_capacity_j_per_k,
            NOT_NEGATIVE,
        )?;
        number(
            "moisture multiplier of the air",
            zone.air_moisture_multiplier,
            Allowed {
                words: "1 to 1000",
                low: 1.0,
                high: 1000.0,
            },
        )?;
        for exchange in &zone.exchanges {
            number("air exchange, m³/s", exchange.flow_m3_per_s, NOT_NEGATIVE)?;
        }
        if let Some(mass) = &zone.mass {
            number("thermal mass, J/K", mass.capacity_j_per_k, ABOVE_ZERO)?;
            number(
                "conductance to the thermal mass, W/K",
                mass.conductance_w_per_k,
                NOT_NEGATIVE,
            )?;
        }
        check_moisture(&zone.moisture)?;
        if let Some(cold) = &zone.coldest_surface {
            let rest = Allowed {
                words: "0 to 1 (surface no colder than what is beyond)",
                low: 0.0,
                high: 1.0,
            };
            number(
                "U × R_si of the coldest surface",
                cold.transmittance_w_per_m2_k * cold.surface_resistance_m2_k_per_w,
                rest,
            )?;
            number(
                "surface resistance of the coldest surface, m² K/W",
                cold.surface_resistance_m2_k_per_w,
                ABOVE_ZERO,
            )?;
            number(
                "area of the coldest surface, m²",
                cold.area_m2,
                NOT_NEGATIVE,
            )?;
            if let ColdSurfaceBoundary::At(t_c) = cold.boundary {
                number("temperature beyond the coldest surface", t_c, TEMPERATURE)?;
            }
        }
        Ok(())
    }
}

fn check_moisture(moisture: &MoistureStorage) -> Result<(), SetupError> {
    match *moisture {
        MoistureStorage::None => Ok(()),
        MoistureStorage::Layer {
            capacity_kg,
            conductance_kg_per_s_pa,
        } => {
            number(
                "capacity of the moisture layer, kg",
                capacity_kg,
                ABOVE_ZERO,
            )?;
            number(
                "conductance to the moisture layer, kg/(s Pa)",
                conductance_kg_per_s_pa,
                NOT_NEGATIVE,
            )
        }
        MoistureStorage::Wall {
            area_m2,
            thickness_m,
            permeability_kg_per_m_s_pa,
            capacity_kg_per_m3,
            surface_kg_per_m2_s_pa,
            cells,
        } => {
            for (what, value) in [
                ("area of the moisture wall, m²", area_m2),
                ("thickness of the moisture wall, m", thickness_m),
                (
                    "permeability of the moisture wall",
                    permeability_kg_per_m_s_pa,
                ),
                ("moisture capacity of the wall, kg/m³", capacity_kg_per_m3),
                ("surface coefficient of the wall", surface_kg_per_m2_s_pa),
            ] {
                number(what, value, ABOVE_ZERO)?;
            }
            number(
                "cells of the moisture wall",
                cells as f64,
                Allowed {
                    words: "2 to 64",
                    low: 2.0,
                    high: 64.0,
                },
            )
        }
    }
}
