//! What in the surveyed room holds, passes or gives off heat and water: the
//! envelope, things, crop, medium, tanks and floor.

use air::MoistAir;
use crop::film::film_w_per_m2_k;
use room::{Room, Side};
use roomsim::setup::{
    Boundary, Canopy, ColdSurface, ColdSurfaceBoundary, Evaporation, Exchange, Film, Medium,
    MoistureStorage, WashDown, WaterSurface,
};
use roomsim::timetable::Supply;

use super::timetable::{Lit, target};
use crate::load::given_off;
use crate::machines;
use crate::uncertain::{Draw, Uncertain};

/// What leaks in from where the survey says, and what a fan brings in from
/// outdoors.
pub(super) fn exchanges(room: &Room, draw: &Draw) -> Vec<Exchange> {
    let envelope = &room.envelope;
    let leak = Exchange {
        flow_m3_per_s: machines::leak_m3_per_s(room, draw),
        with: match envelope.air_from.value {
            Side::Outdoor => Boundary::Outdoor,
            Side::Adjacent | Side::Ground => Boundary::Adjacent,
        },
        supply: Supply::Own,
    };
    let fan = Exchange {
        flow_m3_per_s: envelope.fresh_air_m3_per_s.value,
        with: Boundary::Outdoor,
        supply: Supply::Mains,
    };
    vec![leak, fan]
}

/// Heat stored in what follows the air within minutes: leaves, a hung crop,
/// benches and other thin things \[J/K\].
///
/// **Source** contents: 10 kJ/K per m² of floor, ISO 52016-1:2017, thermal
/// capacity of air and furniture, from memory. **Assumed**: leaves a quarter
/// of a millimetre thick, nine parts water.
pub(crate) fn fast_capacity_j_per_k(room: &Room, draw: &Draw) -> f64 {
    const CONTENTS_J_PER_M2_K: f64 = 10_000.0;
    const PLANT_J_PER_KG_K: f64 = 3700.0;
    const LEAF_KG_PER_M2: f64 = 0.25;
    if room.envelope.thermal_mass.value == room::ThermalMass::None {
        return 0.0;
    }
    let leaves_kg = room.crop.as_ref().map_or(0.0, |c| {
        draw.value(Uncertain::LeafArea, c.lai.value) * c.canopy_m2.value * LEAF_KG_PER_M2
    });
    let hung_kg: f64 = room.hung_crops.iter().map(|h| h.wet_mass_kg.value).sum();
    CONTENTS_J_PER_M2_K * room.geometry.floor_m2() + PLANT_J_PER_KG_K * (leaves_kg + hung_kg)
}

pub(super) fn moisture(room: &Room) -> MoistureStorage {
    match moisture_layer(room) {
        None => MoistureStorage::None,
        Some((capacity_kg, conductance_kg_per_s_pa)) => MoistureStorage::Layer {
            capacity_kg,
            conductance_kg_per_s_pa,
        },
    }
}

/// Capacity \[kg\] and conductance \[kg/(s Pa)\] of the surveyed buffer.
pub(crate) fn moisture_layer(room: &Room) -> Option<(f64, f64)> {
    /// Gas constant of water vapour \[J/(kg K)\].
    const R_VAPOUR: f64 = 461.52;
    let buffer = room.moisture_buffer.as_ref()?;
    let kelvin = target(room, Lit::On).dry_bulb_c.value.likely + 273.15;
    Some((
        buffer.capacity_kg_per_m2.value * buffer.area_m2.value,
        buffer.area_m2.value / (buffer.resistance_s_per_m.value * R_VAPOUR * kelvin),
    ))
}

/// The surface that is coldest on the winter design day.
pub(crate) fn coldest_surface(room: &Room) -> Option<ColdSurface> {
    let inside_c = room.targets.lights_off.dry_bulb_c.value.likely;
    let surface = |s: &room::ColdSurface| {
        let resistance = 1.0 / s.film_w_per_m2_k.value;
        match (&s.temperature_c, &s.u_w_per_m2_k) {
            (Some(t), _) => ColdSurface {
                // All of the drop lies in the film: the surface has this
                // temperature.
                transmittance_w_per_m2_k: s.film_w_per_m2_k.value,
                surface_resistance_m2_k_per_w: resistance,
                boundary: ColdSurfaceBoundary::At(t.value),
                area_m2: 0.0,
            },
            (None, u) => {
                let side = s.side.as_ref().map_or(Side::Outdoor, |s| s.value);
                ColdSurface {
                    transmittance_w_per_m2_k: u.as_ref().map_or(0.0, |u| u.value),
                    surface_resistance_m2_k_per_w: resistance,
                    boundary: match side {
                        Side::Outdoor => ColdSurfaceBoundary::Outdoor,
                        Side::Adjacent => ColdSurfaceBoundary::Adjacent,
                        Side::Ground => ColdSurfaceBoundary::At(room.site.ground_c.value),
                    },
                    area_m2: 0.0,
                }
            }
        }
    };
    let winter_c = |s: &ColdSurface| {
        let beyond_c = match s.boundary {
            ColdSurfaceBoundary::Outdoor => room.site.winter.air.dry_bulb_c.value,
            ColdSurfaceBoundary::Adjacent => room.site.adjacent.dry_bulb_c.value,
            ColdSurfaceBoundary::At(t_c) => t_c,
        };
        inside_c
            - s.transmittance_w_per_m2_k * s.surface_resistance_m2_k_per_w * (inside_c - beyond_c)
    };
    room.cold_surfaces
        .iter()
        .map(surface)
        .min_by(|a, b| winter_c(a).total_cmp(&winter_c(b)))
}

pub(super) fn canopy(room: &Room, draw: &Draw) -> Option<Canopy> {
    let crop = room.crop.as_ref()?;
    let leaves = given_off::canopy_of(room, draw)?;
    Some(Canopy {
        area_m2: crop.canopy_m2.value,
        still_air_resistance_s_per_m: leaves
            .leaf_aero_resistance_s_per_m
            .max(crop::canopy::AERO_RESISTANCE_FANS_OFF_S_PER_M),
        leaves,
        day_resistance_factor: given_off::day_factor(crop, draw),
        co2_factor: 1.0,
        night_resistance_s_per_m: draw.value(
            Uncertain::NightResistance,
            crop.night_resistance_s_per_m.value,
        ),
        stomatal_lag_s: crop.stomatal_lag_s.value,
    })
}

pub(super) fn medium(room: &Room, draw: &Draw) -> Option<Medium> {
    let irrigation = room.irrigation.as_ref()?;
    let light = room.light.as_ref();
    let lai = room
        .crop
        .as_ref()
        .map_or(0.0, |c| draw.value(Uncertain::LeafArea, c.lai.value));
    let area_m2 = irrigation.medium_m2.value;
    let water_kg = irrigation
        .amount_kg
        .as_ref()
        .map_or(area_m2 * WET_LAYER_KG_PER_M2, |a| a.value);
    (0.0 < area_m2 && !irrigation.times_s.is_empty()).then(|| Medium {
        area_m2,
        aero_resistance_s_per_m: given_off::leaf_air(room, draw),
        surface_resistance_s_per_m: 0.0,
        light_share: crop::medium::light_on_medium_w_per_m2(1.0, lai),
        photon_energy_j_per_umol: light.map_or(0.2, |l| l.light_energy_j_per_umol.value),
        water_per_irrigation_kg: water_kg,
        constant_rate_s: irrigation.wet_time_s.value,
        half_time_s: irrigation.half_time_s.value,
    })
}

/// Water that an irrigation leaves in the top of the medium where its amount
/// was not surveyed \[kg/m²\].
///
/// **Assumed**: some millimetres of wet medium.
const WET_LAYER_KG_PER_M2: f64 = 2.0;

pub(super) fn water_surfaces(room: &Room) -> Vec<WaterSurface> {
    room.tanks
        .iter()
        .map(|tank| WaterSurface {
            area_m2: tank.area_m2.value * (1.0 - tank.covered.value),
            water_c: tank.temperature_c.as_ref().map_or_else(
                || target(room, Lit::On).dry_bulb_c.value.likely,
                |t| t.value,
            ),
            law: tank
                .air_speed_m_per_s
                .as_ref()
                .map_or(Evaporation::Still, |v| Evaporation::Blown {
                    air_speed_m_per_s: v.value,
                    activity: 1.0,
                }),
            heat_from_air: 1.0,
        })
        .collect()
}

/// The floor, where something wets it, and its daily wash-downs as one film.
///
/// - `air`: that heat and water cross to it as at
pub(super) fn floor(room: &Room, air: &MoistAir) -> Option<Film> {
    let area_m2 = room
        .washdowns
        .iter()
        .map(|w| w.area_m2.value)
        .fold(0.0, f64::max);
    let wetted = 0.0 < area_m2 || !room.wet_floors.is_empty();
    wetted.then(|| Film {
        area_m2,
        heat_transfer_w_per_m2_k: film_w_per_m2_k(air, &machines::FLOOR_AIR),
        cooling_time_s: machines::FLOOR_AIR.cooling_time_constant_s,
        daily_wash_downs: room
            .washdowns
            .iter()
            .map(|w| WashDown {
                time_s: f64::from(w.at_s.value),
                film_kg: w.film_kg_per_m2.value * w.area_m2.value,
            })
            .collect(),
    })
}
