//! One room over time.

use air::{
    humidity_ratio_from_vapour_pressure, specific_volume_m3_per_kg, vapour_enthalpy_j_per_kg,
    vapour_pressure_from_humidity_ratio_pa,
};

use crate::bank::{Bank, MachineAir, Supply};
use crate::events::{Action, Agenda};
use crate::linear::{Capacity, Change, Flow, mean_decay};
use crate::outcome::{HeatPath, Outcome, Record, WaterPath};
use crate::plant::{Cooler, Heater, Rest, solve};
use crate::saturation::{Saturation, WithSlope};
use crate::sensor::Sensor;
use crate::setup::{Boundary, ColdSurfaceBoundary, Evaporation, HumiditySpan, Setup, Staging};
use crate::storage::{Storage, StorageAir};
use crate::tally::{StepSeen, Tally};
use crate::timetable::{DAY_S, Row};
use crate::wet_surface::{Surface, SurfaceAir};

/// Heat capacity of dry air \[J/(kg K)\].
const DRY_AIR_J_PER_KG_K: f64 = 1006.0;
/// Heat capacity of water vapour \[J/(kg K)\].
const VAPOUR_J_PER_KG_K: f64 = 1860.0;
/// Gas constant of vapour as the leaf equations have it \[J/(kg K)\].
const VAPOUR_GAS_J_PER_KG_K: f64 = 461.5;
const ZERO_C_K: f64 = 273.15;
/// Molar mass of water over that of dry air.
const MOLAR_MASS_RATIO: f64 = 0.621_945;
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
    let rows = setup
        .timetable
        .rows(setup.run.step_s, setup.zone.pressure_pa);
    let mut simulation = Simulation::new(setup);
    let mut tally = Tally::new(setup, record, rows.len());
    for day in 0..setup.run.warm_up_days {
        let day = f64::from(day) - f64::from(setup.run.warm_up_days);
        for (index, row) in rows.iter().enumerate() {
            simulation.step(row, day * DAY_S + index as f64 * setup.run.step_s);
        }
    }
    tally.begin(&simulation);
    for day in 0..setup.run.days {
        for (index, row) in rows.iter().enumerate() {
            let time_s = f64::from(day) * DAY_S + index as f64 * setup.run.step_s;
            let seen = simulation.step(row, time_s);
            tally.count(row, &seen, &simulation);
        }
    }
    tally.finish(&simulation)
}

/// What does not change over a run.
#[derive(Debug)]
pub(crate) struct Constants {
    pub(crate) step_s: f64,
    pub(crate) dry_air_kg: f64,
    /// Dry air × multiplier: what W is the content of.
    pub(crate) moist_mass_kg: f64,
    /// Conductance to the mass that the air feels over a step \[W/K\].
    mass_conductance_w_per_k: f64,
    mass_capacity_j_per_k: f64,
    has_mass: bool,
    stage: HumiditySpan,
    canopy: Option<CanopyConstants>,
    stomata_follow: f64,
    film_follow: f64,
    medium_half: f64,
    surfaces: Vec<OpenWater>,
}

#[derive(Clone, Copy, Debug)]
struct CanopyConstants {
    leaf_area_m2: f64,
    /// Light taken up with all lamps on \[W\].
    light_w: f64,
}

#[derive(Clone, Copy, Debug)]
struct OpenWater {
    area_m2: f64,
    heat_from_air: f64,
    vapour_pressure_pa: f64,
    humidity_ratio: f64,
    dry_air_kg_per_m3: f64,
    /// For blown water \[kg/(s Pa)\], all area.
    blown_kg_per_s_pa: Option<f64>,
}

/// The room at a moment.
#[derive(Debug)]
pub(crate) struct Simulation<'a> {
    pub(crate) setup: &'a Setup,
    pub(crate) constants: Constants,
    pub(crate) table: &'static Saturation,
    agenda: Agenda,
    supply: Supply,
    pub(crate) dry_bulb_c: f64,
    pub(crate) humidity_ratio: f64,
    pub(crate) mass_c: f64,
    pub(crate) leaf_c: f64,
    stomata_s_per_m: f64,
    pub(crate) dew_point_c: f64,
    medium: MediumState,
    film: FilmState,
    pub(crate) storage: Storage,
    sensor: Sensor,
    pub(crate) bank: Bank<'a>,
    pub(crate) coolers: Vec<Cooler<'a>>,
    pub(crate) heater: Heater,
}

#[derive(Clone, Copy, Debug)]
struct MediumState {
    surface_c: f64,
    water_kg: f64,
    full_rate_s: f64,
    wetness: f64,
}

#[derive(Clone, Copy, Debug)]
struct FilmState {
    surface_c: f64,
    water_kg: f64,
    /// Film above its settled temperature \[K\].
    above_k: f64,
}

/// Air at the start of a step.
#[derive(Clone, Copy, Debug)]
struct AirNow {
    saturation: WithSlope,
    vapour_pressure_pa: f64,
    vapour_pressure_per_w: f64,
    rel_humidity: f64,
    /// Heat capacity per kilogram of dry air \[J/(kg K)\].
    heat_j_per_kg_k: f64,
    dry_air_kg_per_m3: f64,
    surface: SurfaceAir,
    machine: MachineAir,
}

/// Flows of a step as they add up: total for the solution, parts for the books.
struct Flows {
    heat: Flow,
    water: Flow,
    heat_parts: [Flow; HeatPath::COUNT],
    water_parts: [Flow; WaterPath::COUNT],
}

impl Flows {
    const NONE: Self = Self {
        heat: Flow::ZERO,
        water: Flow::ZERO,
        heat_parts: [Flow::ZERO; HeatPath::COUNT],
        water_parts: [Flow::ZERO; WaterPath::COUNT],
    };

    #[inline]
    fn heat(&mut self, path: HeatPath, flow: Flow) {
        self.heat = self.heat.plus(flow);
        self.heat_parts[path as usize] = flow;
    }

    #[inline]
    fn water(&mut self, path: WaterPath, flow: Flow) {
        self.water = self.water.plus(flow);
        self.water_parts[path as usize] = flow;
    }
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
        let (mass_conductance, mass_capacity) = zone.mass.map_or((0.0, 0.0), |mass| {
            let x = mass.conductance_w_per_k * step_s / mass.capacity_j_per_k;
            (
                mass.conductance_w_per_k * mean_decay(x),
                mass.capacity_j_per_k,
            )
        });
        let constants = Constants {
            step_s,
            dry_air_kg,
            moist_mass_kg: dry_air_kg * zone.air_moisture_multiplier,
            mass_conductance_w_per_k: mass_conductance,
            mass_capacity_j_per_k: mass_capacity,
            has_mass: zone.mass.is_some(),
            stage: match setup.humidity_control.staging {
                Staging::Together => HumiditySpan::ZERO,
                Staging::Stepped(span) => span,
            },
            canopy: setup.canopy.map(|canopy| CanopyConstants {
                leaf_area_m2: canopy.area_m2 * canopy.leaves.active_lai(),
                light_w: canopy.area_m2
                    * crop::canopy::net_radiation_w_per_m2(
                        &canopy.leaves,
                        setup.lights.ppfd_umol_per_m2_s,
                    ),
            }),
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
            surfaces: open_water(setup),
        };
        let vapour_pressure_pa =
            vapour_pressure_from_humidity_ratio_pa(start.humidity_ratio, zone.pressure_pa);
        let rel_humidity = (vapour_pressure_pa / table.pressure(start.dry_bulb_c).value).min(1.0);
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
            dew_point_c: table.dew_point_from(vapour_pressure_pa, start.dry_bulb_c),
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
            bank: Bank::new(&setup.dehumidifiers, step_s),
            coolers: setup
                .cooling
                .iter()
                .map(|machine| Cooler::new(machine, step_s))
                .collect(),
            heater: Heater::new(setup.heating),
            constants,
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
    fn step(&mut self, row: &Row, time_s: f64) -> StepSeen {
        let disturbed = self.happenings(row, time_s);
        let air = self.air_now(row);
        let mut flows = Flows::NONE;
        let mut mass_w = 0.0;
        self.gains(row, &air, &mut flows);
        self.boundaries(row, &air, &mut flows);
        let light = match self.supply {
            Supply::On => row.light,
            Supply::Cut => 0.0,
        };
        self.lamps_and_leaves(light, &air, &mut flows, &mut mass_w);
        let medium = self.medium_flow(light, &air, &mut flows);
        let film = self.water_surfaces(&air, &mut flows, &mut mass_w);
        let store_air = StorageAir {
            vapour_pressure_pa: air.vapour_pressure_pa,
            vapour_pressure_per_w: air.vapour_pressure_per_w,
            saturation_pa: if self.constants.has_mass {
                self.table.pressure(self.mass_c).value
            } else {
                air.saturation.value
            },
        };
        let store_flow = self.storage.flow(&store_air);
        flows.water(WaterPath::Storage, store_flow);

        self.sensor.follow(air.rel_humidity);
        let excess = self.sensor.excess(
            row.humidity_setpoint,
            &self.setup.humidity_control.deadband,
            &self.constants.stage,
            air.saturation.value,
            self.table,
        );
        let (bank_heat, bank_water) =
            self.bank
                .flows(&air.machine, &excess, row.force_units, self.supply);
        flows.heat(HeatPath::Dehumidifiers, bank_heat);
        flows.water(WaterPath::Dehumidifiers, bank_water);

        for cooler in &mut self.coolers {
            cooler.decide(&air.machine, row.cooling_setpoint_c, self.supply);
        }
        self.heater
            .decide(self.dry_bulb_c, row.heating_setpoint_c, self.supply);
        let c = &self.constants;
        let heat_capacity_j_per_k = c.dry_air_kg * air.heat_j_per_kg_k;
        let rest = Rest {
            heat: flows.heat,
            water: flows.water,
            capacity: Capacity {
                step_per_heat: c.step_s / heat_capacity_j_per_k,
                step_per_mass: c.step_s / c.moist_mass_kg,
            },
            supply: self.supply,
            cooling_setpoint_c: row.cooling_setpoint_c,
            heating_setpoint_c: row.heating_setpoint_c,
        };
        let solved = solve(&mut self.coolers, &mut self.heater, &air.machine, &rest);
        let (mut cooling_heat, mut cooling_water) = (Flow::ZERO, Flow::ZERO);
        for cooler in &self.coolers {
            cooling_heat = cooling_heat.plus(cooler.heat);
            cooling_water = cooling_water.plus(cooler.water);
        }
        flows.heat_parts[HeatPath::Cooling as usize] = cooling_heat;
        flows.water_parts[WaterPath::Cooling as usize] = cooling_water;
        flows.heat_parts[HeatPath::Heating as usize] = Flow::constant(self.heater.heat_w);

        let end = solved.propagator.end(solved.heat.start, solved.water.start);
        let mean = solved
            .propagator
            .mean(solved.heat.start, solved.water.start);
        self.book(
            row,
            &air,
            &flows,
            mean,
            end,
            Stores {
                store_air,
                store_flow,
                medium,
                film,
                mass_w,
                light,
                disturbed,
                time_s,
            },
        )
    }

    /// Events and daily wettings due in this step.
    #[inline]
    fn happenings(&mut self, row: &Row, time_s: f64) -> Disturbed {
        let mut disturbed = Disturbed::default();
        let end_s = time_s + self.constants.step_s;
        // Events belong to counted days: a time before 0 is warm-up.
        if time_s >= 0.0 {
            while let Some(action) = self.agenda.due(end_s) {
                self.act(action, &mut disturbed);
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
    fn act(&mut self, action: Action, disturbed: &mut Disturbed) {
        match action {
            Action::PowerIsCut => {
                self.supply = Supply::Cut;
                self.bank.power_is_cut();
                for cooler in &mut self.coolers {
                    cooler.switch_off();
                }
            }
            Action::PowerIsBack => {
                self.supply = Supply::On;
                self.bank.power_is_back();
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
            Action::DehumidifierFails(index) => self.bank.fails(index),
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
        // The water lies on a floor that is as warm as the room's mass.
        let floor_c = if self.constants.has_mass {
            self.mass_c
        } else {
            self.dry_bulb_c
        };
        self.film.above_k = (floor_c - self.film.surface_c).max(0.0);
        disturbed.washed = true;
    }

    #[inline]
    fn air_now(&self, row: &Row) -> AirNow {
        let pressure_pa = self.setup.zone.pressure_pa;
        let (t_c, w) = (self.dry_bulb_c, self.humidity_ratio);
        let saturation = self.table.pressure(t_c);
        let per_total = 1.0 / (MOLAR_MASS_RATIO + w);
        let vapour_pressure_pa = pressure_pa * w * per_total;
        let vapour_pressure_per_w = pressure_pa * MOLAR_MASS_RATIO * per_total * per_total;
        let per_saturation = 1.0 / saturation.value;
        let rel_humidity = vapour_pressure_pa * per_saturation;
        let heat_j_per_kg_k = DRY_AIR_J_PER_KG_K + VAPOUR_J_PER_KG_K * w;
        let dry_air_kg_per_m3 = 1.0 / specific_volume_m3_per_kg(t_c, w, pressure_pa);
        let per_kelvin = 1.0 / (t_c + ZERO_C_K);
        let per_gas = per_kelvin * (1.0 / VAPOUR_GAS_J_PER_KG_K);
        let vapour_kg_per_m3 = vapour_pressure_pa * per_gas;
        let evaporation_heat_j_per_kg = air::latent_heat_j_per_kg(t_c);
        // p_ws(T_wb) − γ (T − T_wb) = p_w, with the slope at T: a little
        // small, good enough for the rate at which a coil dries.
        let gamma_pa_per_k =
            heat_j_per_kg_k * pressure_pa / (MOLAR_MASS_RATIO * evaporation_heat_j_per_kg);
        let wet_bulb_depression_k =
            (saturation.value - vapour_pressure_pa) / (saturation.per_k + gamma_pa_per_k);
        AirNow {
            saturation,
            vapour_pressure_pa,
            vapour_pressure_per_w,
            rel_humidity,
            heat_j_per_kg_k,
            dry_air_kg_per_m3,
            surface: SurfaceAir {
                dry_bulb_c: t_c,
                heat_j_per_m3_k: heat_j_per_kg_k * dry_air_kg_per_m3,
                vapour_kg_per_m3,
                vapour_per_k: -vapour_kg_per_m3 * per_kelvin,
                vapour_per_w: vapour_pressure_per_w * per_gas,
                evaporation_heat_j_per_kg,
            },
            machine: MachineAir {
                dry_bulb_c: t_c,
                humidity_ratio: w,
                rel_humidity,
                rel_humidity_per_k: -rel_humidity * saturation.per_k * per_saturation,
                rel_humidity_per_w: vapour_pressure_per_w * per_saturation,
                vapour_enthalpy_j_per_kg: vapour_enthalpy_j_per_kg(t_c),
                evaporation_heat_j_per_kg,
                wet_bulb_depression_k,
                outdoor_c: row.outdoor_c,
            },
        }
    }

    /// People, burner, crop hung to dry and whatever else gives heat or water.
    #[inline]
    fn gains(&self, row: &Row, air: &AirNow, flows: &mut Flows) {
        let spells = &row.spells;
        let (people, burner, other) = match self.supply {
            Supply::On => (&spells.people, &spells.burner, &spells.other),
            Supply::Cut => (&spells.people_own, &spells.burner_own, &spells.other_own),
        };
        flows.heat(HeatPath::People, Flow::constant(people.sensible_w));
        flows.water(WaterPath::People, Flow::constant(people.water_kg_per_s));
        flows.heat(HeatPath::Burner, Flow::constant(burner.sensible_w));
        flows.water(WaterPath::Burner, Flow::constant(burner.water_kg_per_s));
        flows.heat(HeatPath::Other, Flow::constant(other.sensible_w));
        let latent_w = self.setup.timetable.hours.latent_gain_w;
        flows.water(
            WaterPath::Other,
            Flow::constant(other.water_kg_per_s + latent_w / air.machine.vapour_enthalpy_j_per_kg),
        );
        let drying = row.drying_kg_per_s;
        flows.heat(
            HeatPath::Drying,
            Flow::constant(-drying * air.machine.evaporation_heat_j_per_kg),
        );
        flows.water(WaterPath::Drying, Flow::constant(drying));
    }

    /// Envelope, air exchange, thermal mass and dew on the coldest surface.
    #[inline]
    fn boundaries(&self, row: &Row, air: &AirNow, flows: &mut Flows) {
        let zone = &self.setup.zone;
        let (t_c, w) = (self.dry_bulb_c, self.humidity_ratio);
        let (outdoor, adjacent) = (
            zone.outdoor_conductance_w_per_k,
            zone.adjacent_conductance_w_per_k,
        );
        flows.heat(
            HeatPath::Envelope,
            Flow {
                start: outdoor * (row.outdoor_c - t_c) + adjacent * (row.adjacent_c - t_c),
                per_k: -(outdoor + adjacent),
                per_w: 0.0,
            },
        );
        let (other_c, other_w, density) = match zone.exchange.with {
            Boundary::Outdoor => (
                row.outdoor_c,
                row.outdoor_humidity_ratio,
                row.outdoor_dry_air_kg_per_m3,
            ),
            Boundary::Adjacent => (
                row.adjacent_c,
                row.adjacent_humidity_ratio,
                row.adjacent_dry_air_kg_per_m3,
            ),
        };
        let dry_air_kg_per_s = zone.exchange.flow_m3_per_s * density;
        flows.water(
            WaterPath::Exchange,
            Flow {
                start: dry_air_kg_per_s * (other_w - w),
                per_k: 0.0,
                per_w: -dry_air_kg_per_s,
            },
        );
        // Air comes in with its own heat capacity; the water exchanged is
        // counted at room temperature with the water.
        let heat_w_per_k = dry_air_kg_per_s * (DRY_AIR_J_PER_KG_K + VAPOUR_J_PER_KG_K * other_w);
        flows.heat(
            HeatPath::Exchange,
            Flow {
                start: heat_w_per_k * (other_c - t_c),
                per_k: -heat_w_per_k,
                per_w: 0.0,
            },
        );
        let mass_w_per_k = self.constants.mass_conductance_w_per_k;
        flows.heat(
            HeatPath::Mass,
            Flow {
                start: mass_w_per_k * (self.mass_c - t_c),
                per_k: -mass_w_per_k,
                per_w: 0.0,
            },
        );
        if let Some(cold) = &zone.coldest_surface
            && cold.area_m2 > 0.0
        {
            let surface_c = self.cold_surface_c(row, t_c).unwrap_or(t_c);
            let saturated_w = humidity_ratio_from_vapour_pressure(
                self.table.pressure(surface_c).value,
                zone.pressure_pa,
            );
            if w > saturated_w {
                // Heat and vapour go alike (Lewis number 1).
                let kg_per_s =
                    cold.area_m2 / (cold.surface_resistance_m2_k_per_w * air.heat_j_per_kg_k);
                flows.water(
                    WaterPath::Condensation,
                    Flow {
                        start: kg_per_s * (saturated_w - w),
                        per_k: 0.0,
                        per_w: -kg_per_s,
                    },
                );
            }
        }
    }

    /// Temperature of the coldest surface \[°C\].
    #[inline]
    pub(crate) fn cold_surface_c(&self, row: &Row, dry_bulb_c: f64) -> Option<f64> {
        self.setup.zone.coldest_surface.as_ref().map(|cold| {
            let beyond_c = match cold.boundary {
                ColdSurfaceBoundary::Outdoor => row.outdoor_c,
                ColdSurfaceBoundary::Adjacent => row.adjacent_c,
                ColdSurfaceBoundary::At(t_c) => t_c,
            };
            dry_bulb_c
                - cold.transmittance_w_per_m2_k
                    * cold.surface_resistance_m2_k_per_w
                    * (dry_bulb_c - beyond_c)
        })
    }

    #[inline]
    fn lamps_and_leaves(&mut self, light: f64, air: &AirNow, flows: &mut Flows, mass_w: &mut f64) {
        let lights = &self.setup.lights;
        let mut lamps_w = light * lights.power_w;
        if let (Some(canopy), Some(known)) = (&self.setup.canopy, &self.constants.canopy)
            && known.leaf_area_m2 > 0.0
        {
            let target_s_per_m = if light > 0.0 {
                let ppfd = light * lights.ppfd_umol_per_m2_s;
                canopy.day_resistance_factor
                    * canopy.co2_factor
                    * crop::stomata::lit_resistance_s_per_m(ppfd)
            } else {
                canopy.night_resistance_s_per_m
            };
            self.stomata_s_per_m +=
                self.constants.stomata_follow * (target_s_per_m - self.stomata_s_per_m);
            let aero_s_per_m = match self.supply {
                Supply::On => canopy.leaves.leaf_aero_resistance_s_per_m,
                Supply::Cut => canopy.still_air_resistance_s_per_m,
            };
            let light_w = light * known.light_w;
            let leaves = Surface {
                heat_m3_per_s: known.leaf_area_m2 / aero_s_per_m,
                vapour_m3_per_s: known.leaf_area_m2 / (aero_s_per_m + self.stomata_s_per_m),
                light_w,
            };
            let flow = leaves.flow(&air.surface, self.leaf_c, self.table);
            self.leaf_c = flow.temperature_c;
            flows.heat(HeatPath::Crop, flow.heat);
            flows.water(WaterPath::Crop, flow.water);
            lamps_w -= light_w;
        } else {
            self.leaf_c = self.dry_bulb_c;
        }
        if self.constants.has_mass && lamps_w > 0.0 {
            let to_mass_w = lights.share_to_mass * lamps_w;
            *mass_w += to_mass_w;
            lamps_w -= to_mass_w;
        }
        flows.heat(HeatPath::Lights, Flow::constant(lamps_w));
    }

    #[inline]
    fn medium_flow(&mut self, light: f64, air: &AirNow, flows: &mut Flows) -> Flow {
        let Some(medium) = &self.setup.medium else {
            return Flow::ZERO;
        };
        if self.medium.wetness <= 0.0 || self.medium.water_kg <= 0.0 {
            return Flow::ZERO;
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
        let most_kg_per_s = self.medium.water_kg / self.constants.step_s;
        let mut share = self.medium.wetness;
        if flow.water.start * share > most_kg_per_s {
            share = most_kg_per_s / flow.water.start;
        }
        let water = flow.water.times(share);
        flows.water(WaterPath::Medium, water);
        flows.heat(
            HeatPath::Medium,
            water.times(-air.surface.evaporation_heat_j_per_kg),
        );
        water
    }

    /// Tanks and wet floor; gives the part that comes from the film.
    #[inline]
    fn water_surfaces(&mut self, air: &AirNow, flows: &mut Flows, mass_w: &mut f64) -> Flow {
        let mut water = Flow::ZERO;
        let mut heat = Flow::ZERO;
        for surface in &self.constants.surfaces {
            let flow = surface.flow(air);
            water = water.plus(flow);
            heat = heat
                .plus(flow.times(-surface.heat_from_air * air.surface.evaporation_heat_j_per_kg));
        }
        let mut film_water = Flow::ZERO;
        if let Some(floor) = &self.setup.floor
            && (self.film.water_kg > 0.0 || floor.always_wet_m2 > 0.0)
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
            let latent_j_per_kg = air.surface.evaporation_heat_j_per_kg;
            let always = per_area.water.times(floor.always_wet_m2);
            if self.film.water_kg > 0.0 {
                let area_m2 = floor.area_m2 - floor.always_wet_m2;
                let warm_kg_per_s =
                    area_m2 * m_per_s * per_area.saturation_per_k * self.film.above_k;
                film_water = per_area.water.times(area_m2);
                film_water.start += warm_kg_per_s;
                let most_kg_per_s = self.film.water_kg / self.constants.step_s;
                let share = if film_water.start > most_kg_per_s {
                    most_kg_per_s / film_water.start
                } else {
                    1.0
                };
                film_water = film_water.times(share);
                // The floor pays for the film being warmer than it settles at.
                let warm_w = share
                    * (area_m2 * floor.heat_transfer_w_per_m2_k * self.film.above_k
                        + latent_j_per_kg * warm_kg_per_s);
                let from_floor_w = if self.constants.has_mass { warm_w } else { 0.0 };
                *mass_w -= from_floor_w;
                heat.start += from_floor_w;
            }
            water = water.plus(always).plus(film_water);
            heat = heat.plus(always.plus(film_water).times(-latent_j_per_kg));
            self.film.above_k *= 1.0 - self.constants.film_follow;
        }
        flows.water(WaterPath::Surfaces, water);
        flows.heat(HeatPath::Surfaces, heat);
        film_water
    }

    /// Moves every state to the end of the step and reports the step.
    #[inline]
    fn book(
        &mut self,
        row: &Row,
        air: &AirNow,
        flows: &Flows,
        mean: Change,
        end: Change,
        stores: Stores,
    ) -> StepSeen {
        let c = &self.constants;
        let step_s = c.step_s;
        let mut heat_w = [0.0; HeatPath::COUNT];
        for (mean_w, flow) in heat_w.iter_mut().zip(&flows.heat_parts) {
            *mean_w = flow.mean(mean);
        }
        let mut water_kg_per_s = [0.0; WaterPath::COUNT];
        for (mean_kg, flow) in water_kg_per_s.iter_mut().zip(&flows.water_parts) {
            *mean_kg = flow.mean(mean);
        }
        let (start_c, start_w) = (self.dry_bulb_c, self.humidity_ratio);
        let mut t_c = start_c + end.k;
        let mut w = start_w + end.w;
        let heat_capacity_j_per_k = c.dry_air_kg * air.heat_j_per_kg_k;

        // Air above saturation gives up the rest as fog on whatever is there.
        let mut saturation = self.table.pressure(t_c);
        let pressure_pa = self.setup.zone.pressure_pa;
        let mut tries = 0;
        while vapour_pressure_from_humidity_ratio_pa(w, pressure_pa) > saturation.value && tries < 8
        {
            let at_saturation = humidity_ratio_from_vapour_pressure(saturation.value, pressure_pa);
            let over = w - at_saturation;
            let per_k = at_saturation * saturation.per_k / saturation.value
                * (1.0 + at_saturation / MOLAR_MASS_RATIO);
            let latent_j_per_kg = air.machine.evaporation_heat_j_per_kg;
            let k_per_w = c.moist_mass_kg * latent_j_per_kg / heat_capacity_j_per_k;
            let fog = over / (1.0 + k_per_w * per_k);
            w -= fog;
            t_c += fog * k_per_w;
            water_kg_per_s[WaterPath::Condensation as usize] -= fog * c.moist_mass_kg / step_s;
            heat_w[HeatPath::Condensation as usize] +=
                fog * c.moist_mass_kg * latent_j_per_kg / step_s;
            saturation = self.table.pressure(t_c);
            tries += 1;
        }
        if w < DRIEST {
            // A straight line ran past dry air: the machines took less.
            let short_kg_per_s = (DRIEST - w) * c.moist_mass_kg / step_s;
            water_kg_per_s[WaterPath::Dehumidifiers as usize] += short_kg_per_s;
            w = DRIEST;
        }
        let held_c = t_c.clamp(COLDEST_C, HOTTEST_C);
        if held_c != t_c {
            heat_w[HeatPath::Other as usize] += (held_c - t_c) * heat_capacity_j_per_k / step_s;
            t_c = held_c;
            saturation = self.table.pressure(t_c);
        }
        // What the multiplier stands for is held by materials, not by air.
        water_kg_per_s[WaterPath::Storage as usize] -=
            (c.moist_mass_kg - c.dry_air_kg) * (w - start_w) / step_s;
        self.dry_bulb_c = t_c;
        self.humidity_ratio = w;

        if c.has_mass {
            let given_w = heat_w[HeatPath::Mass as usize];
            self.mass_c += (stores.mass_w - given_w) * step_s / c.mass_capacity_j_per_k;
        }
        for unit in &mut self.bank.units {
            unit.settle(mean);
        }
        for cooler in &mut self.coolers {
            cooler.settle(mean);
        }
        self.storage
            .advance(stores.store_flow, mean, &stores.store_air);
        if self.medium.wetness > 0.0 {
            self.medium.water_kg -= stores.medium.mean(mean) * step_s;
            if self.medium.full_rate_s > 0.0 {
                self.medium.full_rate_s -= step_s;
            } else {
                self.medium.wetness *= c.medium_half;
            }
        }
        if self.film.water_kg > 0.0 {
            self.film.water_kg = (self.film.water_kg - stores.film.mean(mean) * step_s).max(0.0);
        }
        let vapour_pressure_pa = vapour_pressure_from_humidity_ratio_pa(w, pressure_pa);
        self.dew_point_c = self
            .table
            .dew_point_from(vapour_pressure_pa, self.dew_point_c);
        StepSeen {
            time_s: stores.time_s,
            mean,
            start_c,
            start_w,
            heat_w,
            water_kg_per_s,
            saturation_pa: saturation.value,
            vapour_pressure_pa,
            surface_c: self.cold_surface_c(row, t_c),
            light: stores.light,
            power_is_back: stores.disturbed.power_is_back,
            washed: stores.disturbed.washed,
        }
    }
}

/// Disturbances of a step.
#[derive(Clone, Copy, Debug, Default)]
struct Disturbed {
    power_is_back: bool,
    washed: bool,
}

/// What [`Simulation::book`] needs beside the flows.
#[derive(Clone, Copy, Debug)]
struct Stores {
    store_air: StorageAir,
    store_flow: Flow,
    medium: Flow,
    film: Flow,
    mass_w: f64,
    light: f64,
    disturbed: Disturbed,
    time_s: f64,
}

fn open_water(setup: &Setup) -> Vec<OpenWater> {
    let pressure_pa = setup.zone.pressure_pa;
    setup
        .water_surfaces
        .iter()
        .map(|surface| {
            let vapour_pressure_pa = air::saturation_pressure_pa(surface.water_c);
            let humidity_ratio =
                humidity_ratio_from_vapour_pressure(vapour_pressure_pa, pressure_pa);
            OpenWater {
                area_m2: surface.area_m2,
                heat_from_air: surface.heat_from_air,
                vapour_pressure_pa,
                humidity_ratio,
                dry_air_kg_per_m3: 1.0
                    / specific_volume_m3_per_kg(surface.water_c, humidity_ratio, pressure_pa),
                blown_kg_per_s_pa: match surface.law {
                    Evaporation::Still => None,
                    Evaporation::Blown {
                        air_speed_m_per_s,
                        activity,
                    } => Some(
                        // Handbook form, kPa and kJ/kg turned into Pa and J/kg.
                        surface.area_m2 * activity * (0.089 + 0.0782 * air_speed_m_per_s)
                            / air::latent_heat_j_per_kg(surface.water_c),
                    ),
                },
            }
        })
        .collect()
}

impl OpenWater {
    /// Evaporation now, falling in a straight line to nothing where the air
    /// has the vapour pressure of the water.
    #[inline]
    fn flow(&self, air: &AirNow) -> Flow {
        let difference_pa = self.vapour_pressure_pa - air.vapour_pressure_pa;
        if difference_pa <= 0.0 {
            return Flow::ZERO;
        }
        let start = match self.blown_kg_per_s_pa {
            Some(kg_per_s_pa) => kg_per_s_pa * difference_pa,
            None => {
                let lighter = (air.dry_air_kg_per_m3 - self.dry_air_kg_per_m3).max(0.0);
                let buoyant = 35.0
                    * self.dry_air_kg_per_m3
                    * lighter.cbrt()
                    * (self.humidity_ratio - air.machine.humidity_ratio);
                let forced = 5.0e-5 * difference_pa;
                self.area_m2 * buoyant.max(forced) * (1.0 / 3600.0)
            }
        };
        Flow {
            start,
            per_k: 0.0,
            per_w: -start / difference_pa * air.vapour_pressure_per_w,
        }
    }
}
