//! The surveyed room as a setup that can be simulated.
//!
//! [`Compiled`] holds what does not depend on a draw or a set of units: machine
//! tables and the timetable. [`Compiled::setup`] adds the rest.

use std::collections::BTreeMap;
use std::sync::Arc;

use equipment::{Catalog, Controller, Cooler, Model};
use quantity::Band;
use rayon::prelude::*;
use room::{CoolingControl as RoomCoolingControl, CoolingFan, FanHabit, Room, Side, UnitState};
use roomsim::setup::{
    CoilWater, Cooling, CoolingControl, Dehumidifier, Fan, Heating, HeatingControl,
    HumidityControl, HumiditySpan, Lights, RunLength, Setup, Staging, StartAir, ThermalMass, Zone,
};
use roomsim::timetable::Timetable;
use roomsim::{CoolingTable, RemovalTable};

mod stores;
mod timetable;

pub(crate) use stores::{coldest_surface, fast_capacity_j_per_k, moisture_layer};
pub(crate) use timetable::humidity_band;
pub use timetable::{DRY_BULB_TOLERANCE_K, HUMIDITY_TOLERANCE};

use stores::{canopy, exchanges, floor, medium, moisture, water_surfaces};
use timetable::{Lit, cooling_setpoint, timetable};

use crate::airs::{self, Edge, Season};
use crate::cooling::{self, CoilWaterCounts, CoolingAt};
use crate::error::JobError;
use crate::machines::{self, Nodes};
use crate::settable::coarsest;
use crate::uncertain::{Draw, Uncertain};
use crate::units::{UnitAir, UnitSet};

/// Heat transfer from room air to the surfaces of the thermal mass
/// \[W/(m² K)\].
///
/// **Source** ISO 6946:2007, 1/R_si for horizontal flow, read second hand.
const MASS_FILM_W_PER_M2_K: f64 = 7.7;

/// Share of the lights' heat that goes to floor and walls first.
///
/// **Assumed**: leaves and benches take the rest.
pub(crate) const LIGHT_TO_MASS: f64 = 0.2;

/// Evaporation from a wet coil under a fan that never stops, over the rated
/// removal.
///
/// **Source** Shirey, Henderson and Raustad 2006 via a public building-energy
/// library: 1.5, measured on air conditioners.
const COIL_EVAPORATION_RATIO: f64 = 1.5;

/// Time constant in which latent removal comes up after a start \[s\].
///
/// **Source** Henderson and Rengarajan 1996, ASHRAE Trans. 102(1), from memory.
const COIL_START_S: f64 = 45.0;

/// Water held on a dehumidifier's coil, as time of its rated removal \[s\].
///
/// **Assumed** as for cooling coils: 1400 s in a public building-energy
/// library; 990 to 1740 s measured.
const COIL_WET_S: f64 = 1400.0;

/// How the room is run, where it is not as surveyed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Circumstances {
    /// Design day around it.
    pub(crate) season: Season,
    /// Whether the cooling coils' water counts.
    pub(crate) coil_water: CoilWaterCounts,
    /// How finely its machines are tabulated.
    pub(crate) nodes: Nodes,
}

impl Circumstances {
    /// Summer, everything as simulated.
    pub(crate) const DESIGN: Self = Self {
        season: Season::Summer,
        coil_water: CoilWaterCounts::Yes,
        nodes: Nodes::Fine,
    };
}

/// Everything of a room that all its draws and all sets of units share.
#[derive(Debug)]
pub(crate) struct Compiled<'a> {
    room: &'a Room,
    pressure_pa: f64,
    nodes: Nodes,
    /// By the step at which the humidity is set: it depends on who runs.
    timetables: Vec<(Option<f64>, Arc<Timetable>)>,
    controllers: Vec<&'a Controller>,
    coolers: Vec<CompiledCooler>,
    /// Stands in where no cooling was surveyed.
    assumed_cooling: Option<Arc<CoolingTable>>,
    units: BTreeMap<String, CompiledUnit<'a>>,
}

#[derive(Debug)]
struct CompiledCooler {
    cooler: Cooler,
    table: Arc<CoolingTable>,
}

#[derive(Debug)]
struct CompiledUnit<'a> {
    model: &'a Model,
    /// With the share that is assumed and no ducts.
    anywhere: Arc<RemovalTable>,
    /// Of each unit of the model that has a place, in their order.
    in_place: Vec<Arc<RemovalTable>>,
}

impl<'a> Compiled<'a> {
    /// Makes the tables of the room's cooling and of these models.
    ///
    /// # Errors
    /// A model that is not in the catalogue, a machine that cannot be
    /// tabulated at this pressure, air that cannot be.
    pub(crate) fn new<'m>(
        room: &'a Room,
        catalog: &'a Catalog,
        models: impl Iterator<Item = &'m str>,
        now: Circumstances,
    ) -> Result<Self, JobError> {
        let pressure_pa = airs::pressure_pa(&room.site);
        let timetable = timetable(room, now.season, None)?;
        // A first look has no tables for the winter: air colder than that of the
        // summer day is taken as its coldest.
        let outdoor_c = match now.nodes {
            Nodes::Fine => timetable.hours().outdoor.dry_bulb_c,
            Nodes::Coarse => airs::surroundings(room, Season::Summer)?.outdoor.dry_bulb_c,
        };
        let at = CoolingAt {
            setpoint_c: cooling_setpoint(room, Lit::On),
            pressure_pa,
            outdoor_c: (
                outdoor_c.into_iter().fold(f64::INFINITY, f64::min),
                outdoor_c.into_iter().fold(f64::NEG_INFINITY, f64::max),
            ),
            water: now.coil_water,
            nodes: now.nodes,
        };
        let anywhere = UnitAir {
            short_circuit: room.selection.short_circuit.value,
            ducted_m3_per_s: None,
        };
        let made: Vec<_> = models
            .collect::<Vec<_>>()
            .into_par_iter()
            .map(|code| {
                let model = machines::record(&catalog.dehumidifiers, code, "selection")?;
                let table = machines::removal_table(model, pressure_pa, anywhere, now.nodes)?;
                let unit = CompiledUnit {
                    model,
                    anywhere: table,
                    in_place: Vec::new(),
                };
                Ok((code.to_owned(), unit))
            })
            .collect();
        // Of several errors the first is told, whichever came first.
        let units = made.into_iter().collect::<Result<_, JobError>>()?;
        let coolers = room
            .cooling
            .iter()
            .map(|c| {
                let cooler = cooling::cooler(c, catalog)?;
                let table = cooling::cooling_table(&cooler, at)?;
                Ok(CompiledCooler { cooler, table })
            })
            .collect::<Result<_, JobError>>()?;
        let assumed_cooling = cooling::is_assumed(room)
            .then(|| cooling::assumed_table(room, at.setpoint_c, pressure_pa))
            .transpose()?;
        let controllers = room.controllers.iter();
        let mut compiled = Self {
            room,
            pressure_pa,
            nodes: now.nodes,
            assumed_cooling,
            timetables: vec![(None, Arc::new(timetable))],
            controllers: controllers
                .filter_map(|c| catalog.controllers.get(&c.model.value))
                .collect(),
            coolers,
            units,
        };
        // The step of a set is that of one of its models, or the controllers'.
        let codes = compiled.units.keys().map(std::iter::once);
        let of_each = codes.map(|code| compiled.step(code.map(String::as_str)));
        let steps: Vec<_> = of_each.chain([compiled.step(std::iter::empty())]).collect();
        for step in steps {
            if compiled.timetables.iter().all(|(known, _)| *known != step) {
                let stepped = timetable::timetable(room, now.season, step)?;
                compiled.timetables.push((step, Arc::new(stepped)));
            }
        }
        Ok(compiled)
    }

    /// The day where these models run.
    fn timetable<'c>(&self, codes: impl Iterator<Item = &'c str>) -> &Arc<Timetable> {
        let step = self.step(codes);
        let of_step = self.timetables.iter().find(|(known, _)| *known == step);
        let (_, timetable) = of_step.unwrap_or_else(|| panic!("no day with steps of {step:?}"));
        timetable
    }

    /// The coarsest step at which a humidity is set where these models run.
    fn step<'c>(&self, codes: impl Iterator<Item = &'c str>) -> Option<f64> {
        let models = codes.map(|code| self.unit(code).model);
        coarsest(models, self.controllers.iter().copied())
    }

    /// The same with units in their places, each with its air: of several units
    /// of a model the first placed is the first of a set.
    ///
    /// # Errors
    /// A machine that cannot be tabulated with this air.
    pub(crate) fn in_place<'m>(
        mut self,
        placed: impl Iterator<Item = (&'m str, UnitAir)>,
    ) -> Result<Self, JobError> {
        for (code, air) in placed {
            if let Some(unit) = self.units.get_mut(code) {
                let table = machines::removal_table(unit.model, self.pressure_pa, air, self.nodes)?;
                unit.in_place.push(table);
            }
        }
        Ok(self)
    }

    fn unit(&self, code: &str) -> &CompiledUnit<'a> {
        self.units
            .get(code)
            .unwrap_or_else(|| panic!("{code} was not among the models that were compiled"))
    }

    /// The room with these units in one drawn world.
    ///
    /// # Errors
    /// The room cannot be run.
    pub(crate) fn setup(
        &self,
        draw: &Draw,
        units: &UnitSet,
        run: RunLength,
    ) -> Result<Setup, JobError> {
        let room = self.room;
        let start = airs::air_of(
            room.targets.of(room.period_at(0.0)),
            Edge::Middle,
            self.pressure_pa,
        )?;
        let setup = Setup {
            zone: self.zone(draw),
            start: StartAir {
                dry_bulb_c: start.dry_bulb_c(),
                humidity_ratio: start.humidity_ratio(),
            },
            timetable: Arc::clone(self.timetable(units.models())),
            lights: room.light.as_ref().map_or(Lights::NONE, |l| Lights {
                power_w: l.power_w.value * l.heat_in_room.value,
                ppfd_umol_per_m2_s: l.ppfd_umol_per_m2_s.value,
                share_to_mass: LIGHT_TO_MASS,
            }),
            canopy: canopy(room, draw),
            medium: medium(room, draw),
            water_surfaces: water_surfaces(room),
            floor: floor(room, &start),
            cooling: self.cooling(),
            heating: heating(room),
            dehumidifiers: units
                .groups()
                .iter()
                .flat_map(|(code, count)| {
                    (0..*count as usize).map(|nth| self.dehumidifier(code, nth, draw))
                })
                .collect(),
            humidity_control: humidity_control(room),
            events: Vec::new(),
            run,
        };
        setup.check().map_err(|e| JobError::Setup {
            room: room.name.value.clone(),
            reason: e.to_string(),
        })?;
        Ok(setup)
    }

    fn zone(&self, draw: &Draw) -> Zone {
        let room = self.room;
        let envelope = &room.envelope;
        Zone {
            volume_m3: room.volume_m3(),
            pressure_pa: self.pressure_pa,
            outdoor_conductance_w_per_k: envelope.conductance_w_per_k(Side::Outdoor),
            adjacent_conductance_w_per_k: envelope.conductance_w_per_k(Side::Adjacent)
                + envelope.conductance_w_per_k(Side::Ground),
            fast_capacity_j_per_k: fast_capacity_j_per_k(room, draw),
            mass: thermal_mass(room),
            moisture: moisture(room),
            air_moisture_multiplier: envelope.moisture_capacity.value,
            exchanges: exchanges(room, draw),
            coldest_surface: coldest_surface(room),
        }
    }

    fn cooling(&self) -> Vec<Cooling> {
        let mut all: Vec<Cooling> = self
            .assumed_cooling
            .iter()
            .map(|table| Cooling {
                table: Arc::clone(table),
                control: CoolingControl::Ideal,
                indoor_fan_w: 0.0,
                fan: Fan::Auto,
                part_load_degradation: 0.0,
                coil: None,
                restart_delay_s: 0.0,
            })
            .collect();
        for (surveyed, compiled) in self.room.cooling.iter().zip(&self.coolers) {
            let cooler = &compiled.cooler;
            let (fan, coil) = cooling_fan(surveyed, cooler);
            for stage in 0..surveyed.count.value {
                all.push(Cooling {
                    table: Arc::clone(&compiled.table),
                    control: cooling_control(surveyed, stage),
                    indoor_fan_w: cooler.fan_w,
                    fan,
                    part_load_degradation: cooler.degradation,
                    coil,
                    restart_delay_s: surveyed.min_off_s.value,
                });
            }
        }
        all
    }

    /// The nth unit of a model; those beyond the placed ones stand anywhere.
    fn dehumidifier(&self, code: &str, nth: usize, draw: &Draw) -> Dehumidifier {
        let CompiledUnit {
            model,
            anywhere,
            in_place,
        } = self.unit(code);
        let table = in_place.get(nth).unwrap_or(anywhere);
        let control = &self.room.control;
        let fan = fan_of(self.room, model);
        let (min_on_s, min_off_s) = least_runs_s(self.room, model);
        Dehumidifier {
            table: Arc::clone(table),
            removal_factor: draw.value(
                Uncertain::UnitCapacity,
                removal_band(self.room, code, nth, model),
            ),
            fan,
            fan_w: model.fan_w,
            standby_w: model.standby_w,
            restart_delay_s: model.delays.restart_s.max(control.power_up_delay_s.value),
            min_on_s,
            min_off_s,
            coil: Some(coil_of(model)),
            defrost: None,
        }
    }
}

/// Least time that a dehumidifier runs, and that it rests \[s\]: by itself or by
/// its control.
pub(crate) fn least_runs_s(room: &Room, model: &Model) -> (f64, f64) {
    let control = &room.control;
    (
        model.delays.min_on_s.max(control.min_on_s.value),
        model.delays.min_off_s.max(control.min_off_s.value),
    )
}

/// Habit of a dehumidifier's fan.
pub(crate) fn fan_of(room: &Room, model: &Model) -> Fan {
    match (room.control.fan.value, model.fan_habit) {
        (FanHabit::Continuous, _) | (FanHabit::AsModel, equipment::FanHabit::Continuous) => {
            Fan::Continuous
        }
        _ => Fan::Auto,
    }
}

/// Heat store of walls, floor and ceiling.
pub(crate) fn thermal_mass(room: &Room) -> Option<ThermalMass> {
    let capacity_j_per_k = room.envelope.heat_capacity_j_per_k.value;
    let surface_m2 = room.geometry.walls_m2() + 2.0 * room.geometry.floor_m2();
    (0.0 < capacity_j_per_k).then_some(ThermalMass {
        capacity_j_per_k,
        conductance_w_per_k: surface_m2 * MASS_FILM_W_PER_M2_K,
    })
}

/// Habit of a cooling machine's fan, and the water on its coil where that goes
/// back to the room.
pub(crate) fn cooling_fan(
    surveyed: &room::Cooling,
    cooler: &equipment::Cooler,
) -> (Fan, Option<CoilWater>) {
    let rated_removal = (cooler.rating.total_w - cooler.rating.sensible_w)
        / air::vapour_enthalpy_j_per_kg(cooler.rating.dry_bulb_c);
    match surveyed.fan.value {
        CoolingFan::Auto => (Fan::Auto, None),
        CoolingFan::Continuous => (
            Fan::Continuous,
            Some(CoilWater {
                capacity_kg: rated_removal * surveyed.coil_wet_time_s.value,
                rated_removal_kg_per_s: rated_removal,
                evaporation_ratio: COIL_EVAPORATION_RATIO,
                start_time_constant_s: COIL_START_S,
            }),
        ),
    }
}

/// Water on the coil of a dehumidifier.
pub(crate) fn coil_of(model: &Model) -> CoilWater {
    let rated = model.ratings.first().map_or(0.0, |r| r.removal_kg_per_s);
    CoilWater {
        capacity_kg: rated * COIL_WET_S,
        rated_removal_kg_per_s: rated,
        evaporation_ratio: COIL_EVAPORATION_RATIO,
        start_time_constant_s: COIL_START_S,
    }
}

/// How far a unit may be from what its record says, as a factor.
///
/// **Source** rating only: ±10 %, the difference between two published sets of
/// curves away from the rating point (Winkler, Christensen and Tomerlin 2011
/// and the example curves of a public simulation program). Own data: ±5 %,
/// **assumed** for the tolerance of a rating and of manufacture.
pub(crate) fn capacity_band(model: &Model) -> Band {
    match model.performance {
        equipment::Performance::RatingOnly => Band::new(0.9, 1.0, 1.1),
        _ => Band::new(0.95, 1.0, 1.05),
    }
}

/// Water that the nth unit of a model removes over what its record says, from
/// 0: as the room file says of the nth that runs there, else as records are.
/// Units that are there come first in every set.
pub(crate) fn removal_band(room: &Room, code: &str, nth: usize, model: &Model) -> Band {
    room.units
        .iter()
        .filter(|u| u.state.value == UnitState::InUse && u.model.value == code)
        .nth(nth)
        .and_then(|u| u.removal_factor.as_ref())
        .map_or_else(|| capacity_band(model), |factor| factor.value)
}

fn cooling_control(surveyed: &room::Cooling, stage: u32) -> CoolingControl {
    match surveyed.control.value {
        RoomCoolingControl::Ideal => CoolingControl::Ideal,
        RoomCoolingControl::OnOff => CoolingControl::Thermostat {
            deadband_k: surveyed.deadband_k.value,
            // Each further machine comes in half a deadband later.
            offset_k: 0.5 * surveyed.deadband_k.value * f64::from(stage),
            min_on_s: surveyed.min_on_s.value,
            min_off_s: surveyed.min_off_s.value,
        },
        RoomCoolingControl::Modulating => CoolingControl::Modulating {
            band_k: surveyed.deadband_k.value.max(0.5),
            min_share: 0.0,
        },
    }
}

fn heating(room: &Room) -> Option<Heating> {
    let first = room.heating.first()?;
    let capacity_w = room.heating.iter().map(|h| h.capacity_w.value).sum();
    Some(Heating {
        capacity_w,
        electricity_per_heat: match first.from.value {
            room::HeatSource::Electric => 1.0,
            room::HeatSource::HotWater | room::HeatSource::Gas => 0.0,
        },
        control: HeatingControl::Thermostat {
            deadband_k: first.deadband_k.value,
        },
    })
}

fn humidity_control(room: &Room) -> HumidityControl {
    let control = &room.control;
    let deadband = HumiditySpan {
        rel_humidity: control.deadband.value,
        vpd_pa: control.deadband_vpd_pa.value,
        dew_point_k: control.deadband_dew_point_k.value,
    };
    HumidityControl {
        deadband,
        sensor_lag_s: control.sensor_lag_s.value,
        sensor_offset: control.sensor_offset.value,
        staging: match control.staging.value {
            room::Staging::All => Staging::Together,
            room::Staging::Step => Staging::OneByOne {
                wait_s: control.stage_delay_s.value,
            },
        },
    }
}
