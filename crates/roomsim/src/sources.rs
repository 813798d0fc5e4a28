//! What gives heat and water to the room from within.

use crop::drying::{MOST_QUICKENING, humidity_factor};

use crate::air_now::AirNow;
use crate::bank::Supply;
use crate::linear::Flow;
use crate::parts::{Fixed, Pair, Parts, Wet};
use crate::simulation::Simulation;
use crate::timetable::{HeatAndWater, Row};
use crate::wet_surface::Surface;

/// What the sources do to stores of heat and water other than the air.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Drawn {
    /// Heat to the thermal mass \[W\].
    pub(crate) mass_w: f64,
    /// Water from the medium.
    pub(crate) medium: Flow,
    /// Water from the film on the floor.
    pub(crate) film: Flow,
}

impl Simulation<'_> {
    /// People, burner and whatever else gives heat or water.
    #[inline]
    pub(crate) fn gains(&self, row: &Row, air: &AirNow, parts: &mut Parts) {
        let spells = match self.supply {
            Supply::On => &row.spells,
            Supply::Cut => &row.spells_without_power,
        };
        parts.people = fixed(&spells.people);
        parts.burner = fixed(&spells.burner);
        parts.other = fixed(&spells.other);
        if self.constants.latent_gain_w > 0.0 {
            parts.other.water_kg_per_s +=
                self.constants.latent_gain_w / air.machine.vapour_enthalpy_j_per_kg;
        }
    }

    /// Lamps and leaves.
    #[inline]
    pub(crate) fn lamps_and_leaves(
        &mut self,
        light: f64,
        air: &AirNow,
        parts: &mut Parts,
        drawn: &mut Drawn,
    ) {
        let lights = &self.setup.lights;
        let mut lamps_w = light * lights.power_w;
        if let (Some(canopy), Some(known)) = (&self.setup.canopy, &self.constants.canopy) {
            let target_s_per_m = if light >= 1.0 {
                known.lit_resistance_s_per_m
            } else if light > 0.0 {
                canopy.day_resistance_factor
                    * canopy.co2_factor
                    * crop::stomata::lit_resistance_s_per_m(light * lights.ppfd_umol_per_m2_s)
            } else {
                canopy.night_resistance_s_per_m
            };
            self.stomata_s_per_m +=
                self.constants.stomata_follow * (target_s_per_m - self.stomata_s_per_m);
            let (aero_s_per_m, heat_m3_per_s) = match self.supply {
                Supply::On => (
                    canopy.leaves.leaf_aero_resistance_s_per_m,
                    known.heat_m3_per_s,
                ),
                Supply::Cut => (
                    canopy.still_air_resistance_s_per_m,
                    known.leaf_area_m2 / canopy.still_air_resistance_s_per_m,
                ),
            };
            let light_w = light * known.light_w;
            let leaves = Surface {
                heat_m3_per_s,
                vapour_m3_per_s: known.leaf_area_m2 / (aero_s_per_m + self.stomata_s_per_m),
                light_w,
            };
            let flow = leaves.flow(&air.surface, self.leaf_c, self.table);
            self.leaf_c = flow.temperature_c;
            parts.crop = Pair {
                heat: flow.heat,
                water: flow.water,
            };
            lamps_w -= light_w;
        } else {
            self.leaf_c = self.dry_bulb_c;
        }
        if self.constants.has_mass && lamps_w > 0.0 {
            let to_mass_w = lights.share_to_mass * lamps_w;
            drawn.mass_w += to_mass_w;
            lamps_w -= to_mass_w;
        }
        parts.lights_w = lamps_w;
    }

    /// Whatever lies wet or dries.
    #[inline]
    pub(crate) fn wet_things(
        &mut self,
        row: &Row,
        light: f64,
        air: &AirNow,
        parts: &mut Parts,
        drawn: &mut Drawn,
    ) {
        if self.constants.may_be_wet {
            parts.wet = Some(Wet {
                medium: self.medium_flow(light, air, drawn),
                surfaces: self.water_surfaces(row, air, drawn),
                drying: self.hung_crop(row, air),
            });
        }
    }

    /// Crop hung to dry, with the slopes of the air's vapour pressure deficit;
    /// none where the answer to it is held at an end.
    fn hung_crop(&self, row: &Row, air: &AirNow) -> Pair {
        let Some(drying) = &self.setup.timetable.hours.drying else {
            return Pair::default();
        };
        let reference_pa = drying.reference_vpd_pa;
        let vpd_pa = air.saturation.value - air.vapour_pressure_pa;
        let factor = humidity_factor(vpd_pa, reference_pa);
        let mut water = Flow::constant(row.drying_kg_per_s * factor);
        if 0.0 < factor && factor < MOST_QUICKENING {
            let per_pa = row.drying_kg_per_s / reference_pa;
            water.per_k = per_pa * air.saturation.per_k;
            water.per_w = -per_pa * air.vapour_pressure_per_w;
        }
        Pair {
            heat: water.times(-air.surface.evaporation_heat_j_per_kg),
            water,
        }
    }

    /// Growing medium.
    fn medium_flow(&mut self, light: f64, air: &AirNow, drawn: &mut Drawn) -> Pair {
        let Some(medium) = &self.setup.medium else {
            return Pair::default();
        };
        if self.medium.wetness <= 0.0 || self.medium.water_kg <= 0.0 || medium.area_m2 <= 0.0 {
            return Pair::default();
        }
        let surface = Surface {
            heat_m3_per_s: medium.area_m2 / medium.aero_resistance_s_per_m,
            vapour_m3_per_s: medium.area_m2
                / (medium.aero_resistance_s_per_m + medium.surface_resistance_s_per_m),
            light_w: medium.area_m2
                * medium.light_share
                * medium.photon_energy_j_per_umol
                * light
                * self.setup.lights.ppfd_umol_per_m2_s,
        };
        let flow = surface.flow(&air.surface, self.medium.surface_c, self.table);
        self.medium.surface_c = flow.temperature_c;
        let water = flow
            .water
            .times(self.medium.wetness)
            .at_most(self.medium.water_kg / self.constants.step_s);
        drawn.medium = water;
        Pair {
            heat: water.times(-air.surface.evaporation_heat_j_per_kg),
            water,
        }
    }

    /// Tanks and wet floor.
    fn water_surfaces(&mut self, row: &Row, air: &AirNow, drawn: &mut Drawn) -> Pair {
        let mut sum = Pair::default();
        let latent_j_per_kg = air.surface.evaporation_heat_j_per_kg;
        for surface in &self.constants.surfaces {
            let flow = surface.flow(air);
            sum.water = sum.water.plus(flow);
            sum.heat = sum
                .heat
                .plus(flow.times(-surface.heat_from_air * latent_j_per_kg));
        }
        if let Some(floor) = &self.setup.floor
            && (self.film.water_kg > 0.0 || row.wet_floor_m2 > 0.0)
        {
            // Heat and vapour go alike over the same air layer.
            let m_per_s = floor.heat_transfer_w_per_m2_k / air.surface.heat_j_per_m3_k;
            let per_area = Surface {
                heat_m3_per_s: m_per_s,
                vapour_m3_per_s: m_per_s,
                light_w: 0.0,
            }
            .flow(&air.surface, self.film.surface_c, self.table);
            self.film.surface_c = per_area.temperature_c;
            let mut water = per_area.water.times(row.wet_floor_m2);
            if self.film.water_kg > 0.0 {
                let area_m2 = floor.area_m2;
                let above_k = self.film.above_k;
                let warm_kg_per_s = area_m2 * m_per_s * per_area.saturation_per_k * above_k;
                let mut film = per_area.water.times(area_m2);
                film.start += warm_kg_per_s;
                let wanted_kg_per_s = film.start;
                drawn.film = film.at_most(self.film.water_kg / self.constants.step_s);
                let share = drawn.film.start / wanted_kg_per_s;
                water = water.plus(drawn.film);
                if self.constants.has_mass {
                    // The floor pays for the film being warmer than it settles at.
                    let warm_w = share
                        * (area_m2 * floor.heat_transfer_w_per_m2_k * above_k
                            + latent_j_per_kg * warm_kg_per_s);
                    drawn.mass_w -= warm_w;
                    sum.heat.start += warm_w;
                }
            }
            sum.water = sum.water.plus(water);
            sum.heat = sum.heat.plus(water.times(-latent_j_per_kg));
            self.film.above_k *= 1.0 - self.constants.film_follow;
        }
        sum
    }
}

#[inline]
const fn fixed(sum: &HeatAndWater) -> Fixed {
    Fixed {
        heat_w: sum.sensible_w,
        water_kg_per_s: sum.water_kg_per_s,
    }
}
