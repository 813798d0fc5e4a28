//! One room over time.

use air::{humidity_ratio_from_vapour_pressure, specific_volume_m3_per_kg};

use crate::air_now::{AirNow, Humid, MOLAR_MASS_RATIO, State};
use crate::bank::{Ask, Bank, Supply};
use crate::boundaries::Streams;
use crate::events::{Action, Agenda};
use crate::linear::{Capacity, Change, mean_decay};
use crate::open_water::OpenWater;
use crate::outcome::{HeatPath, Outcome, Record, WaterPath};
use crate::parts::{Parts, PerW};
use crate::plant::{Cooler, Heater, Rest, solve};
use crate::saturation::Saturation;
use crate::sensor::Sensor;
use crate::setup::{HumiditySpan, Setup, Staging};
use crate::sources::Drawn;
use crate::storage::{Storage, StorageAir};
use crate::tally::{StepSeen, Tally};
use crate::timetable::{DAY_S, Row};

/// The air is never drier than this \[kg/kg\].
const DRIEST: f64 = 1e-7;
/// Dry bulbs that a run is held to \[°C\]: the range of the saturation table.
const COLDEST_C: f64 = -65.0;
const HOTTEST_C: f64 = 95.0;

/// Runs a room.
///
/// - `setup`: as [`Setup::check`] accepts it
/// - `record`: whether to keep every step
///
/// Deterministic: the same setup gives the same bits. A setup that
/// [`Setup::check`] refuses gives numbers that mean nothing.
pub fn run(setup: &Setup, record: Record) -> Outcome {
    let mut simulation = Simulation::new(setup);
    simulation.warm_up();
    simulation.counted_days(record)
}

/// A room at the end of its days to settle, without its machines.
#[derive(Clone, Debug)]
pub struct Settled {
    dry_bulb_c: f64,
    humidity_ratio: f64,
    humid: Humid,
    dew_point_c: f64,
    mass_c: f64,
    leaf_c: f64,
    medium: MediumState,
    film: FilmState,
    storage: Storage,
    sensor: Sensor,
}

/// Runs a room's days to settle and keeps what it is like then.
///
/// - `setup`: as [`Setup::check`] accepts it
pub fn settle(setup: &Setup) -> Settled {
    let mut simulation = Simulation::new(setup);
    simulation.warm_up();
    Settled {
        dry_bulb_c: simulation.dry_bulb_c,
        humidity_ratio: simulation.humidity_ratio,
        humid: simulation.humid,
        dew_point_c: simulation.dew_point_c,
        mass_c: simulation.mass_c,
        leaf_c: simulation.leaf_c,
        medium: simulation.medium,
        film: simulation.film,
        storage: simulation.storage,
        sensor: simulation.sensor,
    }
}

/// Runs the counted days of a room from where another like it has settled, its
/// own days to settle left out. Half the work of [`run`] for a day, for many
/// rooms that differ in what is not known exactly.
///
/// - `setup`: as [`Setup::check`] accepts it
/// - `settled`: of a room of the same pressure, step, moisture storage and
///   sensor; its machines stand still at the begin
pub fn run_from(setup: &Setup, settled: &Settled, record: Record) -> Outcome {
    let mut simulation = Simulation::new(setup);
    let from = settled.clone();
    simulation.dry_bulb_c = from.dry_bulb_c;
    simulation.humidity_ratio = from.humidity_ratio;
    simulation.humid = from.humid;
    simulation.dew_point_c = from.dew_point_c;
    simulation.mass_c = from.mass_c;
    simulation.leaf_c = from.leaf_c;
    simulation.medium = from.medium;
    simulation.film = from.film;
    simulation.storage = from.storage;
    simulation.sensor = from.sensor;
    simulation.counted_days(record)
}

/// What does not change over a run.
#[derive(Debug)]
pub(crate) struct Constants {
    pub(crate) step_s: f64,
    pub(crate) dry_air_kg: f64,
    /// Dry air × multiplier: what W is the content of.
    pub(crate) moist_mass_kg: f64,
    step_per_moist_mass: f64,
    fast_capacity_j_per_k: f64,
    /// The same over the step \[W/K\].
    fast_w_per_k: f64,
    /// Conductance to the mass that the air feels over a step \[W/K\].
    pub(crate) mass_conductance_w_per_k: f64,
    step_per_mass_capacity: f64,
    pub(crate) has_mass: bool,
    stage: HumiditySpan,
    pub(crate) canopy: Option<CanopyConstants>,
    pub(crate) stomata_follow: f64,
    pub(crate) film_follow: f64,
    medium_half: f64,
    pub(crate) surfaces: Vec<OpenWater>,
    pub(crate) latent_gain_w: f64,
    /// Air exchange with power and without.
    pub(crate) streams: [Streams; 2],
    /// Whether there is medium, open water, floor or a crop hung to dry.
    pub(crate) may_be_wet: bool,
}

impl Constants {
    /// Of the air and what follows it at once \[J/K\].
    #[inline]
    fn heat_capacity_j_per_k(&self, air: &AirNow) -> f64 {
        self.dry_air_kg * air.heat_j_per_kg_k + self.fast_capacity_j_per_k
    }
}

#[derive(Clone, Copy, Debug)]
pub(crate) struct CanopyConstants {
    pub(crate) leaf_area_m2: f64,
    /// Leaf area over air-layer resistance, air movers running.
    pub(crate) heat_m3_per_s: f64,
    /// Light taken up with all lamps on \[W\].
    pub(crate) light_w: f64,
    /// Stomatal resistance with all lamps on.
    pub(crate) lit_resistance_s_per_m: f64,
}

impl CanopyConstants {
    /// `None` without leaves.
    fn of(setup: &Setup) -> Option<Self> {
        let canopy = setup.canopy.as_ref()?;
        let ppfd = setup.lights.ppfd_umol_per_m2_s;
        let leaf_area_m2 = canopy.area_m2 * canopy.leaves.active_lai();
        (leaf_area_m2 > 0.0).then(|| Self {
            leaf_area_m2,
            heat_m3_per_s: leaf_area_m2 / canopy.leaves.leaf_aero_resistance_s_per_m,
            light_w: canopy.area_m2 * crop::canopy::net_radiation_w_per_m2(&canopy.leaves, ppfd),
            lit_resistance_s_per_m: canopy.day_resistance_factor
                * canopy.co2_factor
                * crop::stomata::lit_resistance_s_per_m(ppfd),
        })
    }
}

/// The room at a moment.
#[derive(Debug)]
pub(crate) struct Simulation<'a> {
    pub(crate) setup: &'a Setup,
    pub(crate) constants: Constants,
    pub(crate) table: &'static Saturation,
    agenda: Agenda,
    pub(crate) supply: Supply,
    pub(crate) dry_bulb_c: f64,
    pub(crate) humidity_ratio: f64,
    pub(crate) mass_c: f64,
    pub(crate) leaf_c: f64,
    pub(crate) stomata_s_per_m: f64,
    pub(crate) dew_point_c: f64,
    /// At the air of now.
    pub(crate) humid: Humid,
    pub(crate) medium: MediumState,
    pub(crate) film: FilmState,
    pub(crate) storage: Storage,
    sensor: Sensor,
    pub(crate) bank: Bank<'a>,
    pub(crate) coolers: Vec<Cooler<'a>>,
    pub(crate) heater: Heater,
}

/// The growing medium.
#[derive(Clone, Copy, Debug)]
pub(crate) struct MediumState {
    pub(crate) surface_c: f64,
    pub(crate) water_kg: f64,
    full_rate_s: f64,
    pub(crate) wetness: f64,
}

/// The film on the floor.
#[derive(Clone, Copy, Debug)]
pub(crate) struct FilmState {
    pub(crate) surface_c: f64,
    pub(crate) water_kg: f64,
    /// Film above its settled temperature \[K\].
    pub(crate) above_k: f64,
}

impl<'a> Simulation<'a> {
    fn new(setup: &'a Setup) -> Self {
        let zone = &setup.zone;
        let step_s = setup.run.step_s;
        let start = setup.start;
        let table = Saturation::table();
        let volume_per_kg =
            specific_volume_m3_per_kg(start.dry_bulb_c, start.humidity_ratio, zone.pressure_pa);
        let dry_air_kg = zone.volume_m3 / volume_per_kg;
        let follow = |time_s: f64| {
            if time_s > 0.0 {
                1.0 - (-step_s / time_s).exp()
            } else {
                1.0
            }
        };
        let (mass_conductance, step_per_mass_capacity) = zone.mass.map_or((0.0, 0.0), |mass| {
            let per_capacity = step_s / mass.capacity_j_per_k;
            let x = mass.conductance_w_per_k * per_capacity;
            (mass.conductance_w_per_k * mean_decay(x), per_capacity)
        });
        let moist_mass_kg = dry_air_kg * zone.air_moisture_multiplier;
        let constants = Constants {
            step_s,
            dry_air_kg,
            moist_mass_kg,
            step_per_moist_mass: step_s / moist_mass_kg,
            fast_capacity_j_per_k: zone.fast_capacity_j_per_k,
            fast_w_per_k: zone.fast_capacity_j_per_k / step_s,
            mass_conductance_w_per_k: mass_conductance,
            step_per_mass_capacity,
            has_mass: zone.mass.is_some(),
            stage: match setup.humidity_control.staging {
                Staging::Together | Staging::OneByOne { .. } => HumiditySpan::ZERO,
                Staging::Stepped(span) => span,
            },
            canopy: CanopyConstants::of(setup),
            stomata_follow: setup
                .canopy
                .map_or(1.0, |canopy| follow(canopy.stomatal_lag_s)),
            film_follow: setup
                .floor
                .as_ref()
                .map_or(1.0, |floor| follow(floor.cooling_time_s)),
            medium_half: setup.medium.map_or(0.0, |medium| {
                if medium.half_time_s > 0.0 {
                    0.5_f64.powf(step_s / medium.half_time_s)
                } else {
                    0.0
                }
            }),
            surfaces: setup
                .water_surfaces
                .iter()
                .map(|surface| OpenWater::new(surface, zone.pressure_pa))
                .collect(),
            latent_gain_w: setup.timetable.hours.latent_gain_w,
            streams: Streams::of(&zone.exchanges),
            may_be_wet: setup.medium.is_some()
                || setup.timetable.hours.drying.is_some()
                || setup.floor.is_some()
                || !setup.water_surfaces.is_empty(),
        };
        let humid = Humid::new(
            table.pressure(start.dry_bulb_c),
            start.humidity_ratio,
            zone.pressure_pa,
        );
        let rel_humidity = humid.rel_humidity.min(1.0);
        Self {
            setup,
            table,
            agenda: Agenda::new(&setup.events),
            supply: Supply::On,
            dry_bulb_c: start.dry_bulb_c,
            humidity_ratio: start.humidity_ratio,
            mass_c: start.dry_bulb_c,
            leaf_c: start.dry_bulb_c,
            stomata_s_per_m: setup
                .canopy
                .map_or(0.0, |canopy| canopy.night_resistance_s_per_m),
            humid,
            dew_point_c: table.dew_point_from(humid.vapour_pressure_pa, start.dry_bulb_c),
            medium: MediumState {
                surface_c: start.dry_bulb_c,
                water_kg: 0.0,
                full_rate_s: 0.0,
                wetness: 0.0,
            },
            film: FilmState {
                surface_c: start.dry_bulb_c,
                water_kg: 0.0,
                above_k: 0.0,
            },
            storage: Storage::new(&zone.moisture, rel_humidity, step_s),
            sensor: Sensor::new(
                setup.humidity_control.sensor_lag_s,
                setup.humidity_control.sensor_offset,
                rel_humidity,
                step_s,
            ),
            bank: Bank::new(&setup.dehumidifiers, setup.humidity_control.staging, step_s),
            coolers: setup
                .cooling
                .iter()
                .map(|machine| Cooler::new(machine, step_s))
                .collect(),
            heater: Heater::new(setup.heating),
            constants,
        }
    }

    /// Days before anything is counted.
    fn warm_up(&mut self) {
        let run = self.setup.run;
        let rows = self.rows();
        let mut seen = StepSeen::NOTHING;
        for day in 0..run.warm_up_days {
            let day = f64::from(day) - f64::from(run.warm_up_days);
            for (index, row) in rows.iter().enumerate() {
                let time_s = day * DAY_S + index as f64 * run.step_s;
                self.step(row, time_s, &mut seen);
            }
        }
    }

    /// The days that count.
    fn counted_days(mut self, record: Record) -> Outcome {
        let run = self.setup.run;
        let rows = self.rows();
        let mut tally = Tally::new(self.setup, record, rows.len());
        let mut seen = StepSeen::NOTHING;
        self.count_from_now();
        tally.begin(&self);
        for day in 0..run.days {
            for (index, row) in rows.iter().enumerate() {
                let time_s = f64::from(day) * DAY_S + index as f64 * run.step_s;
                self.step(row, time_s, &mut seen);
                tally.count(row, &seen, &self);
            }
        }
        tally.finish(&self)
    }

    fn rows(&self) -> std::sync::Arc<[Row]> {
        let setup = self.setup;
        setup
            .timetable
            .rows(setup.run.step_s, setup.zone.pressure_pa)
    }

    /// Machines begin to count.
    fn count_from_now(&mut self) {
        self.bank.count_from_now();
        for cooler in &mut self.coolers {
            cooler.count_from_now();
        }
    }

    /// Temperature of the thermal mass \[°C\]; the air's without one.
    pub(crate) const fn mass_now_c(&self) -> f64 {
        if self.constants.has_mass {
            self.mass_c
        } else {
            self.dry_bulb_c
        }
    }

    /// Electrical power of what is neither lamp nor machine \[W\].
    pub(crate) const fn other_electric_w(&self, row: &Row) -> f64 {
        match self.supply {
            Supply::On => row.spells.electric_w,
            Supply::Cut => 0.0,
        }
    }

    /// One step from `time_s`, counted from midnight of the first counted day.
    #[inline]
    fn step(&mut self, row: &Row, time_s: f64, seen: &mut StepSeen) {
        let disturbed = self.happenings(row, time_s);
        let state = State {
            dry_bulb_c: self.dry_bulb_c,
            humidity_ratio: self.humidity_ratio,
            pressure_pa: self.setup.zone.pressure_pa,
            outdoor_c: row.outdoor_c,
            humid: self.humid,
        };
        let air = AirNow::new(state);
        let light = match self.supply {
            Supply::On => row.light,
            Supply::Cut => 0.0,
        };
        let mut parts = Parts::default();
        let mut drawn = Drawn::default();
        self.gains(row, &air, &mut parts);
        self.boundaries(row, &air, &mut parts);
        self.lamps_and_leaves(light, &air, &mut parts, &mut drawn);
        self.wet_things(row, light, &air, &mut parts, &mut drawn);
        let store_air = self.store_air(&air);
        parts.storage = self.storage.flow(&store_air);

        self.sensor.follow(air.machine.rel_humidity);
        let excess = self.sensor.excess(
            row.humidity_setpoint,
            &self.setup.humidity_control.deadband,
            &self.constants.stage,
            air.saturation.value,
            self.table,
        );
        parts.dehumidifiers = self.bank.flows(
            &air.machine,
            &excess,
            Ask {
                force: row.force_units,
                time_s,
            },
        );
        for cooler in &mut self.coolers {
            cooler.decide(&air.machine, row.cooling_setpoint_c, self.supply, time_s);
        }
        self.heater
            .decide(self.dry_bulb_c, row.heating_setpoint_c, self.supply);
        let sum = parts.sum();
        let rest = Rest {
            heat: sum.heat,
            water: sum.water,
            capacity: Capacity {
                step_per_heat: self.constants.step_s / self.constants.heat_capacity_j_per_k(&air),
                step_per_mass: self.constants.step_per_moist_mass,
            },
            supply: self.supply,
            cooling_setpoint_c: row.cooling_setpoint_c,
            heating_setpoint_c: row.heating_setpoint_c,
        };
        let solved = solve(&mut self.coolers, &mut self.heater, &air.machine, &rest);
        let (heat_w, water_kg_per_s) = (solved.heat_w, solved.water_kg_per_s);
        let end = solved.propagator.end(heat_w, water_kg_per_s);
        let mean = solved.propagator.mean(heat_w, water_kg_per_s);
        self.settle(&drawn, mean, (&store_air, parts.storage));
        seen.time_s = time_s;
        seen.mean = mean;
        seen.start_c = self.dry_bulb_c;
        seen.start_w = self.humidity_ratio;
        seen.light = light;
        seen.power_is_back = disturbed.power_is_back;
        seen.washed = disturbed.washed;
        seen.heat_w = parts.heat_w(solved.cooling.heat, self.heater.heat_w, mean);
        seen.water_kg_per_s = parts.water_kg_per_s(solved.cooling.water, mean);
        if self.constants.has_mass {
            let to_air_w = seen.heat_w[HeatPath::Mass as usize];
            self.mass_c += (drawn.mass_w - to_air_w) * self.constants.step_per_mass_capacity;
        }
        self.arrive(&air, end, seen);
        seen.surface_c = self.cold_surface_c(row);
    }

    /// Air as the moisture storage feels it.
    #[inline]
    fn store_air(&self, air: &AirNow) -> StorageAir {
        StorageAir {
            vapour_pressure_pa: air.vapour_pressure_pa,
            vapour_pressure_per_w: air.vapour_pressure_per_w,
            saturation_pa: if self.constants.has_mass && self.storage.holds() {
                self.table.pressure(self.mass_c).value
            } else {
                air.saturation.value
            },
        }
    }

    /// Moves coils and stores of water to the end of the step.
    #[inline]
    fn settle(&mut self, drawn: &Drawn, mean: Change, (air, flow): (&StorageAir, PerW)) {
        self.bank.settle(mean);
        for cooler in &mut self.coolers {
            cooler.settle(mean);
        }
        self.storage.advance(flow, mean, air);
        if !self.constants.may_be_wet {
            return;
        }
        let step_s = self.constants.step_s;
        if self.medium.wetness > 0.0 {
            self.medium.water_kg -= drawn.medium.mean(mean) * step_s;
            if self.medium.full_rate_s > 0.0 {
                self.medium.full_rate_s -= step_s;
            } else {
                self.medium.wetness *= self.constants.medium_half;
            }
        }
        if self.film.water_kg > 0.0 {
            self.film.water_kg -= drawn.film.mean(mean) * step_s;
        }
    }

    /// Moves the air to the end of the step, inside what air can be.
    #[inline]
    fn arrive(&mut self, air: &AirNow, end: Change, seen: &mut StepSeen) {
        let pressure_pa = self.setup.zone.pressure_pa;
        self.dry_bulb_c += end.k;
        self.humidity_ratio += end.w;
        let humid_now = |now: &Self| {
            let saturation = now.table.pressure(now.dry_bulb_c);
            Humid::new(saturation, now.humidity_ratio, pressure_pa)
        };
        let mut humid = humid_now(self);
        if humid.vapour_pressure_pa > humid.saturation.value
            || self.humidity_ratio < DRIEST
            || self.dry_bulb_c < COLDEST_C
            || self.dry_bulb_c > HOTTEST_C
        {
            self.hold_in_range(air, seen);
            humid = humid_now(self);
        }
        let c = &self.constants;
        seen.heat_w[HeatPath::Mass as usize] -= c.fast_w_per_k * (self.dry_bulb_c - seen.start_c);
        if c.moist_mass_kg > c.dry_air_kg {
            // What the multiplier stands for is held by materials, not by air.
            seen.water_kg_per_s[WaterPath::Storage as usize] -=
                (c.moist_mass_kg - c.dry_air_kg) * (self.humidity_ratio - seen.start_w) / c.step_s;
        }
        self.dew_point_c = self
            .table
            .dew_point_from(humid.vapour_pressure_pa, self.dew_point_c);
        self.humid = humid;
    }

    /// Fog, bone-dry air and temperatures beyond the tables: what no machine
    /// of a sound room brings about, but a broken one may.
    #[cold]
    fn hold_in_range(&mut self, air: &AirNow, seen: &mut StepSeen) {
        let c = &self.constants;
        let step_s = c.step_s;
        let pressure_pa = self.setup.zone.pressure_pa;
        let heat_capacity_j_per_k = c.heat_capacity_j_per_k(air);
        let (mut t_c, mut w) = (self.dry_bulb_c, self.humidity_ratio);
        let held_c = t_c.clamp(COLDEST_C, HOTTEST_C);
        seen.heat_w[HeatPath::Other as usize] += (held_c - t_c) * heat_capacity_j_per_k / step_s;
        t_c = held_c;
        // Air above saturation gives up the rest as fog on whatever is there.
        for _ in 0..8 {
            let saturation = self.table.pressure(t_c);
            let most = humidity_ratio_from_vapour_pressure(saturation.value, pressure_pa);
            if w <= most {
                break;
            }
            let per_k =
                most * saturation.per_k / saturation.value * (1.0 + most / MOLAR_MASS_RATIO);
            let latent_j_per_kg = air.machine.evaporation_heat_j_per_kg;
            let k_per_w = c.moist_mass_kg * latent_j_per_kg / heat_capacity_j_per_k;
            let fog = (w - most) / (1.0 + k_per_w * per_k);
            w -= fog;
            t_c += fog * k_per_w;
            let fog_kg_per_s = fog * c.moist_mass_kg / step_s;
            seen.water_kg_per_s[WaterPath::Condensation as usize] -= fog_kg_per_s;
            seen.heat_w[HeatPath::Condensation as usize] += fog_kg_per_s * latent_j_per_kg;
        }
        if w < DRIEST {
            // A straight line ran past dry air: the machines took less.
            seen.water_kg_per_s[WaterPath::Dehumidifiers as usize] +=
                (DRIEST - w) * c.moist_mass_kg / step_s;
            w = DRIEST;
        }
        self.dry_bulb_c = t_c;
        self.humidity_ratio = w;
    }

    /// Events and daily wettings due in this step.
    #[inline]
    fn happenings(&mut self, row: &Row, time_s: f64) -> Disturbed {
        let mut disturbed = Disturbed::default();
        let end_s = time_s + self.constants.step_s;
        // Events belong to counted days: a time before 0 is warm-up.
        if time_s >= 0.0 {
            while let Some(action) = self.agenda.due(end_s) {
                self.act(action, time_s, &mut disturbed);
            }
        }
        if row.irrigate && self.supply == Supply::On {
            self.irrigate();
        }
        if let Some(floor) = &self.setup.floor
            && !floor.daily_wash_downs.is_empty()
        {
            let of_day_s = time_s.rem_euclid(DAY_S);
            let mut film_kg = 0.0;
            for wash in &floor.daily_wash_downs {
                if of_day_s <= wash.time_s && wash.time_s < of_day_s + self.constants.step_s {
                    film_kg += wash.film_kg;
                }
            }
            if film_kg > 0.0 {
                self.wash_down(film_kg, &mut disturbed);
            }
        }
        disturbed
    }

    #[cold]
    fn act(&mut self, action: Action, time_s: f64, disturbed: &mut Disturbed) {
        match action {
            Action::PowerIsCut => {
                self.supply = Supply::Cut;
                self.bank.power_is_cut(time_s);
                for cooler in &mut self.coolers {
                    cooler.switch_off();
                }
            }
            Action::PowerIsBack => {
                self.supply = Supply::On;
                self.bank.power_is_back(time_s);
                for cooler in &mut self.coolers {
                    cooler.power_is_back();
                }
                disturbed.power_is_back = true;
            }
            Action::WashDown { film_kg } => self.wash_down(film_kg, disturbed),
            Action::Irrigation => self.irrigate(),
            Action::FilterLoaded {
                dehumidifier,
                removal_factor,
                power_factor,
            } => self
                .bank
                .filter_loaded(dehumidifier, removal_factor, power_factor),
            Action::DehumidifierFails(index) => self.bank.fails(index, time_s),
            Action::CoolingFails(index) => {
                if let Some(cooler) = self.coolers.get_mut(index) {
                    cooler.switch_off();
                    cooler.failed = true;
                }
            }
        }
    }

    fn irrigate(&mut self) {
        if let Some(medium) = &self.setup.medium {
            self.medium.water_kg = medium.water_per_irrigation_kg;
            self.medium.full_rate_s = medium.constant_rate_s;
            self.medium.wetness = 1.0;
        }
    }

    fn wash_down(&mut self, film_kg: f64, disturbed: &mut Disturbed) {
        self.film.water_kg += film_kg;
        // The water lies on a floor as warm as the room's mass, and cools from
        // there to the wet bulb.
        let state = State {
            dry_bulb_c: self.dry_bulb_c,
            humidity_ratio: self.humidity_ratio,
            pressure_pa: self.setup.zone.pressure_pa,
            outdoor_c: self.dry_bulb_c,
            humid: self.humid,
        };
        let air = AirNow::new(state);
        self.film.surface_c = self.dry_bulb_c - air.machine.wet_bulb_depression_k();
        self.film.above_k = (self.mass_now_c() - self.film.surface_c).max(0.0);
        disturbed.washed = true;
    }
}

/// Disturbances of a step.
#[derive(Clone, Copy, Debug, Default)]
struct Disturbed {
    power_is_back: bool,
    washed: bool,
}
