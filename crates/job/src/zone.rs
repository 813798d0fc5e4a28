//! The surveyed room as a setup that can be simulated.
//!
//! [`Compiled`] holds what does not depend on a draw or a set of units: machine
//! tables and the timetable. [`Compiled::setup`] adds the rest.

use std::collections::BTreeMap;
use std::sync::Arc;

use equipment::{Catalog, Cooler, Model};
use quantity::Band;
use rayon::prelude::*;
use room::{CoolingControl as RoomCoolingControl, CoolingFan, FanHabit, Humidity, Room, Side};
use roomsim::setup::{
    Boundary, Canopy, CoilWater, ColdSurface, ColdSurfaceBoundary, Cooling, CoolingControl,
    Dehumidifier, Evaporation, Exchange, Fan, Film, Heating, HeatingControl, HumidityControl,
    HumiditySpan, Lights, Medium, MoistureStorage, RunLength, Setup, Staging, StartAir,
    ThermalMass, WashDown, WaterSurface, Zone,
};
use roomsim::timetable::{
    Anticipate, Anticipation, DAY_S, DayAir, Drying, Hours, HumidityBand, LightHours, Range, Spell,
    Supply, Target, Targets, Timetable, WetFloor,
};
use roomsim::{CoolingTable, RemovalTable};

use crate::airs::{self, Edge, Season};
use crate::cooling::{self, CoilWaterCounts, CoolingAt};
use crate::error::JobError;
use crate::load::given_off;
use crate::machines::{self, Nodes};
use crate::uncertain::{Draw, Uncertain};
use crate::units::{UnitAir, UnitSet};

/// Half-width that counts as "at target" where the survey gives one number
/// for the dry bulb \[K\].
///
/// Common practice, no published source.
pub const DRY_BULB_TOLERANCE_K: f64 = 1.5;

/// The same for relative humidity, VPD \[Pa\] and dew point \[K\].
///
/// Common practice, no published source.
pub const HUMIDITY_TOLERANCE: HumiditySpan = HumiditySpan {
    rel_humidity: 0.05,
    vpd_pa: 150.0,
    dew_point_k: 1.5,
};

/// Heat transfer from room air to the surfaces of the thermal mass
/// \[W/(m² K)\].
///
/// **Source** ISO 6946:2007, 1/R_si for horizontal flow, read second hand.
const MASS_FILM_W_PER_M2_K: f64 = 7.7;

/// Share of the lights' heat that goes to floor and walls first.
///
/// **Assumed**: leaves and benches take the rest.
const LIGHT_TO_MASS: f64 = 0.2;

/// Heat transfer to a wet floor \[W/(m² K)\]: slow air under benches.
///
/// **Assumed**.
const FLOOR_FILM_W_PER_M2_K: f64 = 5.0;

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
    timetable: Arc<Timetable>,
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
        let timetable = timetable(room, now.season)?;
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
        Ok(Self {
            room,
            pressure_pa,
            nodes: now.nodes,
            assumed_cooling,
            timetable: Arc::new(timetable),
            coolers,
            units,
        })
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
            timetable: Arc::clone(&self.timetable),
            lights: room.light.as_ref().map_or(Lights::NONE, |l| Lights {
                power_w: l.power_w.value * l.heat_in_room.value,
                ppfd_umol_per_m2_s: l.ppfd_umol_per_m2_s.value,
                share_to_mass: LIGHT_TO_MASS,
            }),
            canopy: canopy(room, draw),
            medium: medium(room, draw),
            water_surfaces: water_surfaces(room),
            floor: floor(room),
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
        let capacity = envelope.heat_capacity_j_per_k.value;
        let surface_m2 = room.geometry.walls_m2() + 2.0 * room.geometry.floor_m2();
        Zone {
            volume_m3: room.volume_m3(),
            pressure_pa: self.pressure_pa,
            outdoor_conductance_w_per_k: envelope.conductance_w_per_k(Side::Outdoor),
            adjacent_conductance_w_per_k: envelope.conductance_w_per_k(Side::Adjacent)
                + envelope.conductance_w_per_k(Side::Ground),
            fast_capacity_j_per_k: fast_capacity_j_per_k(room, draw),
            mass: (0.0 < capacity).then_some(ThermalMass {
                capacity_j_per_k: capacity,
                conductance_w_per_k: surface_m2 * MASS_FILM_W_PER_M2_K,
            }),
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
            let fan = match surveyed.fan.value {
                CoolingFan::Auto => Fan::Auto,
                CoolingFan::Continuous => Fan::Continuous,
            };
            let rated_removal = (cooler.rating.total_w - cooler.rating.sensible_w)
                / air::vapour_enthalpy_j_per_kg(cooler.rating.dry_bulb_c);
            for stage in 0..surveyed.count.value {
                all.push(Cooling {
                    table: Arc::clone(&compiled.table),
                    control: cooling_control(surveyed, stage),
                    indoor_fan_w: cooler.fan_w,
                    fan,
                    part_load_degradation: cooler.degradation,
                    coil: (fan == Fan::Continuous).then_some(CoilWater {
                        capacity_kg: rated_removal * surveyed.coil_wet_time_s.value,
                        rated_removal_kg_per_s: rated_removal,
                        evaporation_ratio: COIL_EVAPORATION_RATIO,
                        start_time_constant_s: COIL_START_S,
                    }),
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
        Dehumidifier {
            table: Arc::clone(table),
            removal_factor: draw.value(Uncertain::UnitCapacity, capacity_band(model)),
            fan,
            fan_w: model.fan_w,
            standby_w: model.standby_w,
            restart_delay_s: model.delays.restart_s.max(control.power_up_delay_s.value),
            min_on_s: model.delays.min_on_s.max(control.min_on_s.value),
            min_off_s: model.delays.min_off_s.max(control.min_off_s.value),
            coil: Some(coil_of(model)),
            defrost: None,
        }
    }
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

/// What leaks in from where the survey says, and what a fan brings in from
/// outdoors.
fn exchanges(room: &Room, draw: &Draw) -> Vec<Exchange> {
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

/// With lights on or off, or on the way from on to off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Lit {
    On,
    Off,
    Transition,
}

fn target(room: &Room, lit: Lit) -> &room::Target {
    match lit {
        Lit::On
            if room
                .light
                .as_ref()
                .is_some_and(|l| 0.0 < l.photoperiod_s.value) =>
        {
            &room.targets.lights_on
        }
        Lit::On | Lit::Off => &room.targets.lights_off,
        Lit::Transition => &room.targets.transition,
    }
}

/// The target after lights-off, where one of its own was surveyed.
fn transition_target(room: &Room) -> Option<Target> {
    let transition = &room.targets.transition;
    let surveyed = !transition.dry_bulb_c.is_assumed()
        || transition
            .humidity
            .as_ref()
            .is_some_and(|h| !h.is_assumed());
    surveyed.then(|| sim_target(room, Lit::Transition))
}

/// Setpoint of the thermostat: of the first cooling machine that has one, else
/// the middle of the target \[°C\].
fn cooling_setpoint(room: &Room, lit: Lit) -> f64 {
    let given = room.cooling.iter().find_map(|c| match lit {
        Lit::On => c.setpoint_lights_on_c.as_ref(),
        Lit::Off | Lit::Transition => c.setpoint_lights_off_c.as_ref(),
    });
    given.map_or(target(room, lit).dry_bulb_c.value.likely, |g| g.value)
}

/// Setpoint of the heating: surveyed, or so far below the cooling's that the
/// two do not fight \[°C\].
fn heating_setpoint(room: &Room, lit: Lit) -> f64 {
    let given = room.heating.iter().find_map(|h| match lit {
        Lit::On => h.setpoint_lights_on_c.as_ref(),
        Lit::Off | Lit::Transition => h.setpoint_lights_off_c.as_ref(),
    });
    let cooling_c = cooling_setpoint(room, lit);
    let band = target(room, lit).dry_bulb_c.value;
    given
        .map_or(band.low.min(band.likely - DRY_BULB_TOLERANCE_K), |g| {
            g.value
        })
        .min(cooling_c)
}

fn timetable(room: &Room, season: Season) -> Result<Timetable, JobError> {
    let around = airs::surroundings(room, season)?;
    let spell = |hours: room::Hours, sensible_w: f64, water_kg_per_s: f64, supply: Supply| {
        let (from_s, to_s) = from_to(hours);
        Spell {
            from_s,
            to_s,
            sensible_w,
            water_kg_per_s,
            electric_w: 0.0,
            supply,
        }
    };
    let people = room.people.iter().map(|p| {
        let one = crop::people::person(
            machines::activity(p),
            target(room, Lit::On).dry_bulb_c.value.likely,
        );
        let count = f64::from(p.count.value);
        spell(
            p.hours,
            count * one.sensible_w,
            count * one.water_kg_per_s,
            Supply::Own,
        )
    });
    let burner = room.burners.iter().map(|b| {
        let gain = machines::burner_gain(b);
        spell(b.hours, gain.sensible_w, gain.water_kg_per_s, Supply::Mains)
    });
    let gains = room.gains.iter().map(|g| {
        let water = match g.water.as_ref().map(|w| w.value) {
            Some(room::GainWater::VapourKgPerS(rate)) => rate,
            _ => 0.0,
        };
        spell(g.hours, g.sensible_w.value, water, Supply::Mains)
    });
    let latent_gain_w = room
        .gains
        .iter()
        .filter_map(|g| match g.water.as_ref()?.value {
            room::GainWater::LatentW(w) => Some(w),
            room::GainWater::VapourKgPerS(_) => None,
        })
        .sum();
    let light = room.light.as_ref();
    Ok(Timetable::new(Hours {
        lights: light.map_or(
            LightHours {
                on_s: 0.0,
                photoperiod_s: 0.0,
                ramp_s: 0.0,
            },
            |l| LightHours {
                on_s: f64::from(l.on_s.value),
                photoperiod_s: l.photoperiod_s.value,
                ramp_s: l.ramp_s.value,
            },
        ),
        targets: Targets {
            lights_on: sim_target(room, Lit::On),
            lights_off: sim_target(room, Lit::Off),
            transition: transition_target(room),
            ramp_s: room.targets.ramp_down_s.value,
        },
        transition_s: room.targets.transition_s.value,
        anticipation: anticipation(room),
        outdoor: around.outdoor,
        adjacent: DayAir::constant(
            around.adjacent.dry_bulb_c(),
            around.adjacent.humidity_ratio(),
        ),
        people: people.collect(),
        burner: burner.collect(),
        other: gains
            .chain(fans(room))
            .chain(ground(room, around.adjacent.dry_bulb_c()))
            .collect(),
        latent_gain_w,
        drying: drying(room)?,
        wet_floor: wet_floor(room),
        irrigation_s: room
            .irrigation
            .iter()
            .flat_map(|i| &i.times_s)
            .map(|t| f64::from(t.value))
            .collect(),
    }))
}

/// What the floor loses to the ground beyond what it would lose to the space
/// around: the zone has one conductance for both, and
/// G (T_g − T) = G (T_a − T) + G (T_g − T_a), the last a constant.
fn ground(room: &Room, adjacent_c: f64) -> Option<Spell> {
    let conductance = room.envelope.conductance_w_per_k(Side::Ground);
    let sensible_w = conductance * (room.site.ground_c.value - adjacent_c);
    (sensible_w != 0.0).then(|| Spell {
        supply: Supply::Own,
        ..Spell::always(sensible_w, 0.0)
    })
}

/// Circulation fans: their power is heat.
fn fans(room: &Room) -> impl Iterator<Item = Spell> {
    let light = room.light.as_ref();
    room.air_movers.iter().map(move |fan| {
        let power_w = fan.power_w.value * f64::from(fan.count.value);
        let (on_s, off_s) = light.map_or((0.0, 0.0), |l| {
            let on_s = f64::from(l.on_s.value);
            (on_s, (on_s + l.photoperiod_s.value).rem_euclid(DAY_S))
        });
        let (from_s, to_s) = match fan.runs.value {
            room::RunsWhen::Always => (0.0, DAY_S),
            room::RunsWhen::LightsOn => (on_s, off_s),
            room::RunsWhen::LightsOff => (off_s, on_s),
        };
        Spell {
            from_s,
            to_s,
            sensible_w: power_w,
            water_kg_per_s: 0.0,
            electric_w: power_w,
            supply: Supply::Mains,
        }
    })
}

/// Begin and end of surveyed hours \[s\].
fn from_to(hours: room::Hours) -> (f64, f64) {
    match hours {
        room::Hours::Always => (0.0, DAY_S),
        room::Hours::Between { from_s, to_s } => (f64::from(from_s), f64::from(to_s)),
    }
}

/// The hung crops by their surveyed curves, which hold at the room's targets:
/// the reference is the mean deficit of the target air over the day.
///
/// # Errors
/// A target that cannot be at this pressure.
fn drying(room: &Room) -> Result<Option<Drying>, JobError> {
    /// Least reference deficit \[Pa\]: a target of saturated air, in which
    /// nothing dries, is not the air that a drying time was learnt in.
    const LEAST_REFERENCE_PA: f64 = 50.0;
    if room.hung_crops.is_empty() {
        return Ok(None);
    }
    let pressure_pa = airs::pressure_pa(&room.site);
    let mut vpd_pa = 0.0;
    for hour in 0..24 {
        let target = room.target_at((f64::from(hour) + 0.5) * 3600.0);
        let air = airs::target_air(
            target.dry_bulb_c.likely,
            target.humidity,
            Edge::Middle,
            pressure_pa,
        )?;
        vpd_pa += air.vpd_pa() / 24.0;
    }
    let water_kg_per_s = std::array::from_fn(|hour| {
        let of = |hung: &room::HungCrop| {
            let from_s = hung.hung_for_s.value + hour as f64 * 3600.0;
            machines::hung_crop(hung).water_given_off_kg(from_s, from_s + 3600.0) / 3600.0
        };
        room.hung_crops.iter().map(of).sum()
    });
    Ok(Some(Drying {
        water_kg_per_s,
        reference_vpd_pa: vpd_pa.max(LEAST_REFERENCE_PA),
    }))
}

/// Floor that lies wet, in its hours.
fn wet_floor(room: &Room) -> Vec<WetFloor> {
    room.wet_floors
        .iter()
        .map(|floor| {
            let (from_s, to_s) = from_to(floor.hours);
            WetFloor {
                from_s,
                to_s,
                area_m2: floor.area_m2.value,
            }
        })
        .collect()
}

/// All units run for some time before lights-off.
fn anticipation(room: &Room) -> Option<Anticipation> {
    let lead_s = room.control.anticipation_s.value;
    (0.0 < lead_s).then_some(Anticipation {
        lead_s,
        action: Anticipate::RunAll,
    })
}

fn sim_target(room: &Room, lit: Lit) -> Target {
    let surveyed = target(room, lit);
    let t = surveyed.dry_bulb_c.value;
    let dry_bulb_band_c = if t.is_spread() {
        Range {
            low: t.low,
            high: t.high,
        }
    } else {
        Range {
            low: t.likely - DRY_BULB_TOLERANCE_K,
            high: t.likely + DRY_BULB_TOLERANCE_K,
        }
    };
    Target {
        cooling_setpoint_c: cooling_setpoint(room, lit),
        heating_setpoint_c: heating_setpoint(room, lit),
        humidity_setpoint: humidity_setpoint(room, lit),
        dry_bulb_band_c,
        humidity_band: humidity_band(surveyed.humidity.as_ref().map(|h| h.value)),
    }
}

/// The surveyed setpoint, else the middle of the target; where nothing is to
/// be held, one that never calls.
fn humidity_setpoint(room: &Room, lit: Lit) -> roomsim::timetable::Humidity {
    use roomsim::timetable::Humidity as Sim;
    let given = match lit {
        Lit::On => &room.control.lights_on,
        Lit::Off | Lit::Transition => &room.control.lights_off,
    };
    match given.as_ref().map(|g| g.value) {
        Some(room::Setpoint::RelHumidity(x)) => return Sim::Relative(x),
        Some(room::Setpoint::VpdPa(x)) => return Sim::VpdPa(x),
        Some(room::Setpoint::DewPointC(x)) => return Sim::DewPointC(x),
        None => {}
    }
    match target(room, lit).humidity.as_ref().map(|h| h.value) {
        Some(Humidity::RelHumidity(b)) => Sim::Relative(b.likely),
        Some(Humidity::VpdPa(b)) => Sim::VpdPa(b.likely),
        Some(Humidity::DewPointC(b)) => Sim::DewPointC(b.likely),
        None => Sim::Relative(1.0),
    }
}

/// The target's band; one number is widened by what counts as at target.
pub(crate) fn humidity_band(humidity: Option<Humidity>) -> HumidityBand {
    let widened = |b: Band, by: f64| {
        if b.is_spread() {
            Range {
                low: b.low,
                high: b.high,
            }
        } else {
            Range {
                low: b.likely - by,
                high: b.likely + by,
            }
        }
    };
    match humidity {
        Some(Humidity::RelHumidity(b)) => {
            HumidityBand::Relative(widened(b, HUMIDITY_TOLERANCE.rel_humidity))
        }
        Some(Humidity::VpdPa(b)) => HumidityBand::VpdPa(widened(b, HUMIDITY_TOLERANCE.vpd_pa)),
        Some(Humidity::DewPointC(b)) => {
            HumidityBand::DewPointC(widened(b, HUMIDITY_TOLERANCE.dew_point_k))
        }
        None => HumidityBand::Relative(Range {
            low: 0.0,
            high: 1.0,
        }),
    }
}

fn moisture(room: &Room) -> MoistureStorage {
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

fn canopy(room: &Room, draw: &Draw) -> Option<Canopy> {
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

fn medium(room: &Room, draw: &Draw) -> Option<Medium> {
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

fn water_surfaces(room: &Room) -> Vec<WaterSurface> {
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
fn floor(room: &Room) -> Option<Film> {
    let area_m2 = room
        .washdowns
        .iter()
        .map(|w| w.area_m2.value)
        .fold(0.0, f64::max);
    let wetted = 0.0 < area_m2 || !room.wet_floors.is_empty();
    wetted.then(|| Film {
        area_m2,
        heat_transfer_w_per_m2_k: FLOOR_FILM_W_PER_M2_K,
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
