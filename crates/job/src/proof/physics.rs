//! The room's moisture balance along the log: what is given off, stored and
//! taken away, for any value of what is not known exactly.
//!
//! ```text
//! m M dW = (given off + from store - taken by units - taken by cooling) dt
//! ```
//!
//! m dry air of the room, M moisture capacity of the envelope section, W
//! logged humidity ratio. Given off includes air exchange.

use air::MoistAir;
use equipment::Catalog;
use quantity::Band;
use readings::Measure;
use room::{Period, Room};
use roomsim::CoolingTable;

use super::lights::Lit;
use super::series::{Sensor, Series, middle};
use super::units::{RoomUnit, RunsFrom, UnitRuns, taken_and_given_back};
use crate::airs::{self, Season};
use crate::cooling::{self, CoilWaterCounts, CoolingAt};
use crate::error::JobError;
use crate::load::LoadSource;
use crate::load::given_off::{self, GivenOff, Moment};
use crate::machines::Nodes;
use crate::uncertain::Draw;
use crop::{Lag, stomata};
use std::sync::Arc;

/// Length of the parts in which the balance is reckoned \[s\]; longer where
/// the log is coarser.
const PART_S: f64 = 300.0;
/// Length of a window over which it must close \[s\].
pub(super) const WINDOW_S: f64 = 1800.0;
/// Known time before a window, in windows: leaves and coils then have forgotten
/// how they were before.
const WINDOWS_BEFORE: usize = 2;
/// Most windows: four weeks, the last of the log. A crop changes over more.
const MOST_WINDOWS: usize = 28 * 48;

/// What the log is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(usize)]
pub enum Unknown {
    /// Leaf resistance with lights off \[s/m\].
    NightResistance = 0,
    /// Multiple of the published response of leaves to light.
    DayResistance,
    /// Air exchange \[1/s\].
    AirExchange,
    /// What units remove over what their records say.
    UnitCapacity,
    /// Moisture capacity as a multiple of the air's; of the buffer's capacity,
    /// where one was surveyed.
    Store,
    /// What the humidity sensor reads less what is true, 0 to 1.
    SensorOffset,
    /// What cooling coils take over what is reckoned.
    CoilWater,
    /// What goes back from resting coils of units over what is reckoned.
    CoilDrying,
}

impl Unknown {
    /// All, in the order of their numbers.
    pub const ALL: [Self; 8] = [
        Self::NightResistance,
        Self::DayResistance,
        Self::AirExchange,
        Self::UnitCapacity,
        Self::Store,
        Self::SensorOffset,
        Self::CoilWater,
        Self::CoilDrying,
    ];

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::NightResistance => "leaf resistance with lights off",
            Self::DayResistance => "leaf resistance with lights on, over the published response",
            Self::AirExchange => "air exchange",
            Self::UnitCapacity => "water that units remove, over their records",
            Self::Store => "moisture capacity, over that of the air",
            Self::SensorOffset => "humidity sensor, shown less true",
            Self::CoilWater => "water that cooling coils take, over what is reckoned",
            Self::CoilDrying => {
                "water that goes back from units' resting coils, over what is reckoned"
            }
        }
    }

    /// Whether it is a factor, so that its logarithm is fitted.
    pub const fn is_factor(self) -> bool {
        !matches!(self, Self::SensorOffset)
    }
}

/// Number of unknowns.
pub(super) const COUNT: usize = Unknown::ALL.len();
/// One value of all unknowns; factors as natural logarithms.
pub(super) type Point = [f64; COUNT];

/// Middle and standard deviation of what is known beforehand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Before {
    pub(super) middle: Point,
    pub(super) deviation: Point,
}

/// A part of a window.
#[derive(Clone, Copy, Debug)]
struct Part {
    dry_bulb_c: f64,
    rel_humidity: f64,
    second: f64,
    light: f64,
    period: Period,
    outdoor: Option<f64>,
    /// The air before this part is not known: leaves and store start anew.
    anew: bool,
    length_s: f64,
    first_run: usize,
}

/// What a unit did in a part.
#[derive(Clone, Copy, Debug, Default)]
struct Run {
    /// Share of the part that it ran.
    share: f64,
    /// Water taken by its record at the logged air \[kg\].
    taken_kg: f64,
    /// Water that went back from its coil \[kg\].
    back_kg: f64,
    /// Removal by its record at the mean logged air \[kg/s\].
    logged_kg_per_s: f64,
}

/// A window.
#[derive(Clone, Copy, Debug)]
pub(super) struct Window {
    /// First step of the series.
    pub(super) step: usize,
    parts: (usize, usize),
    /// Dry bulb and relative humidity as logged at its ends.
    begin: (f64, f64),
    end: (f64, f64),
    /// Water counted in it \[kg\]; not a number if unknown.
    counted_kg: f64,
}

/// Water of a window at one point \[kg\].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct WindowWater {
    /// By leaves.
    pub(super) crop: f64,
    /// By all else, air exchange included.
    pub(super) other: f64,
    /// From the store to the air, and what the air itself gave.
    pub(super) stored: f64,
    pub(super) units: f64,
    pub(super) cooling: f64,
    /// Moisture capacity over that of the air.
    multiple: f64,
}

impl WindowWater {
    /// What is not explained, as water of the air alone: the humidity logged
    /// less that which the flows lead to. Taken with all that is stored, a fit
    /// would shrink the store to shrink the noise of the sensor with it.
    pub(super) fn rest(&self) -> f64 {
        (self.crop + self.other + self.stored - self.units - self.cooling) / self.multiple
    }

    /// What the room gave off by its removal and stores: the load found.
    pub(super) fn load(&self) -> f64 {
        self.units + self.cooling - self.stored
    }
}

/// The log and the room made ready.
pub(super) struct Physics<'a> {
    room: &'a Room,
    pressure_pa: f64,
    parts: Vec<Part>,
    /// What each unit did in each part.
    runs: Vec<Run>,
    pub(super) windows: Vec<Window>,
    units: &'a [RoomUnit],
    coolers: Vec<Arc<CoolingTable>>,
    base: GivenOff<'a>,
    pub(super) before: Before,
    /// Dry air of the room per humidity ratio \[kg\].
    pub(super) air_kg: f64,
}

impl<'a> Physics<'a> {
    /// Lays the log into windows.
    ///
    /// # Errors
    /// Machines or surroundings that cannot be.
    #[allow(clippy::too_many_arguments, reason = "all that was read of one log")]
    pub(super) fn new(
        room: &'a Room,
        catalog: &Catalog,
        series: &Series,
        lit: &Lit,
        sensors: &[Sensor],
        units: &'a [RoomUnit],
        runs: &[UnitRuns],
        from: RunsFrom,
        counted_kg: Option<&[f64]>,
    ) -> Result<Self, JobError> {
        let pressure_pa = airs::pressure_pa(&room.site);
        let base = GivenOff::new(room, Season::Summer)?;
        let all = vec![true; sensors.len()];
        let outdoor_c = middle(sensors, &all, Measure::OutdoorDryBulb, series.len());
        let coolers = coolers(room, catalog, pressure_pa)?;
        let air_kg = room.volume_m3() / typical_volume(series, pressure_pa);
        let mut physics = Self {
            room,
            pressure_pa,
            parts: Vec::new(),
            runs: Vec::new(),
            windows: Vec::new(),
            units,
            before: before(room, catalog, units, from, &coolers),
            coolers,
            base,
            air_kg,
        };
        physics.lay(series, lit, runs, &outdoor_c, counted_kg);
        Ok(physics)
    }

    /// Windows whose air and runs are known throughout, the last of the log.
    fn lay(
        &mut self,
        series: &Series,
        lit: &Lit,
        runs: &[UnitRuns],
        outdoor_c: &[f64],
        counted_kg: Option<&[f64]>,
    ) {
        let per_part = (PART_S / series.step_s).round().max(1.0) as usize;
        let part_s = per_part as f64 * series.step_s;
        let per_window = (WINDOW_S / part_s).round().max(1.0) as usize * per_part;
        let complete = |from: usize| {
            (from..=from + per_window).all(|i| {
                series.knows(i)
                    && lit.period[i].is_some()
                    && runs.iter().all(|r| r.run[i].is_finite())
            })
        };
        let mut starts = Vec::new();
        let (mut from, mut known) = (0, 0);
        while from + per_window < series.len() {
            if complete(from) {
                known += 1;
                if WINDOWS_BEFORE < known {
                    starts.push(from);
                }
                from += per_window;
            } else {
                known = 0;
                from += per_part;
            }
        }
        let starts = starts.split_off(starts.len().saturating_sub(MOST_WINDOWS));
        let water_of_units: Vec<Vec<(f64, f64)>> = self
            .units
            .iter()
            .zip(runs)
            .map(|(unit, runs)| taken_and_given_back(series, unit, runs, self.pressure_pa))
            .collect();
        let mean = |values: &[f64], from: usize, n: usize| {
            values[from..from + n].iter().sum::<f64>() / n as f64
        };
        let mut before = None;
        for &start in &starts {
            let first = self.parts.len();
            for from in (start..start + per_window).step_by(per_part) {
                let middle = from + per_part / 2;
                let first_run = self.runs.len();
                let (t, rh) = (
                    mean(&series.dry_bulb_c, from, per_part),
                    mean(&series.rel_humidity, from, per_part),
                );
                for (i, unit) in runs.iter().enumerate() {
                    let part = &water_of_units[i][from..from + per_part];
                    self.runs.push(Run {
                        share: mean(&unit.run, from, per_part),
                        taken_kg: part.iter().map(|(taken, _)| taken).sum(),
                        back_kg: part.iter().map(|(_, back)| back).sum(),
                        logged_kg_per_s: self.units[i].table.at(t, rh).removal_kg_per_s,
                    });
                }
                let outdoor = mean(outdoor_c, from, per_part);
                self.parts.push(Part {
                    dry_bulb_c: t,
                    rel_humidity: rh,
                    second: f64::from(series.second[middle]),
                    light: self.room.light_share_at(lit.like_s[middle]),
                    period: lit.period[middle].unwrap_or(Period::LightsOff),
                    outdoor: outdoor.is_finite().then_some(outdoor),
                    anew: from == start && before != Some(start),
                    length_s: part_s,
                    first_run,
                });
            }
            before = Some(start + per_window);
            // Single readings are noisy: the middle of some around the end.
            let at = |i: usize| {
                let around = i.saturating_sub(per_part / 2);
                let n = (per_part | 1).min(series.len() - around);
                (
                    known_mean(&series.dry_bulb_c[around..around + n]),
                    known_mean(&series.rel_humidity[around..around + n]),
                )
            };
            self.windows.push(Window {
                step: start,
                parts: (first, self.parts.len()),
                begin: at(start),
                end: at(start + per_window),
                counted_kg: counted_kg
                    .map_or(f64::NAN, |kg| kg[start..start + per_window].iter().sum()),
            });
        }
    }

    /// Water counted in a window \[kg\].
    pub(super) fn counted_kg(&self, window: usize) -> f64 {
        self.windows[window].counted_kg
    }

    /// The room with what a point says, and the leaves of that room.
    fn room_at(&self, point: &Point) -> Room {
        let mut room = self.room.clone();
        let factor = |u: Unknown| point[u as usize].exp();
        if let Some(crop) = &mut room.crop {
            crop.night_resistance_s_per_m.value = Band::exact(factor(Unknown::NightResistance));
            crop.day_resistance_factor.value = Band::exact(factor(Unknown::DayResistance));
        }
        room.envelope.air_exchange_per_s.value = Band::exact(factor(Unknown::AirExchange));
        room
    }

    /// Water of every window at a point.
    pub(super) fn water(&self, point: &Point) -> Vec<WindowWater> {
        let room = self.room_at(point);
        let given = self.base.with_room(&room);
        let draw = Draw::LIKELY;
        let capacity = point[Unknown::UnitCapacity as usize].exp();
        let coil = point[Unknown::CoilWater as usize].exp();
        let drying = point[Unknown::CoilDrying as usize].exp();
        let store = point[Unknown::Store as usize].exp();
        let offset = point[Unknown::SensorOffset as usize];
        let (air_multiple, layer) = match crate::zone::moisture_layer(&room) {
            None => (store, None),
            Some((capacity_kg, conductance)) => (
                room.envelope.moisture_capacity.value,
                Some((capacity_kg * store, conductance)),
            ),
        };
        let lag_s = room.crop.as_ref().map_or(0.0, |c| c.stomatal_lag_s.value);
        let true_air = |(t, rh): (f64, f64)| {
            MoistAir::from_rel_humidity(t, (rh - offset).clamp(0.005, 1.0), self.pressure_pa)
        };
        let mut leaf_s_per_m = 0.0;
        let mut layer_rh = 0.0;
        let mut all = Vec::with_capacity(self.windows.len());
        for window in &self.windows {
            let mut water = WindowWater {
                multiple: air_multiple,
                ..WindowWater::default()
            };
            let mut before_c = window.begin.0;
            for part in &self.parts[window.parts.0..window.parts.1] {
                let Ok(air) = true_air((part.dry_bulb_c, part.rel_humidity)) else {
                    continue;
                };
                let target = given_off::stomatal_target(&room, &draw, part.light);
                if part.anew {
                    leaf_s_per_m = target;
                    layer_rh = air.rel_humidity();
                }
                leaf_s_per_m = stomata::lagged_resistance_s_per_m(
                    leaf_s_per_m,
                    target,
                    Lag {
                        passed_s: part.length_s,
                        time_constant_s: lag_s,
                    },
                );
                let design = given.outdoor_at(part.second);
                let outdoor = part.outdoor.map_or(design, |t| {
                    let w = design
                        .humidity_ratio()
                        .min(air::saturation_humidity_ratio(t, self.pressure_pa));
                    MoistAir::new(t, w, self.pressure_pa).unwrap_or(design)
                });
                let moment = Moment {
                    time_s: part.second,
                    period: part.period,
                    light: part.light,
                    air,
                    outdoor,
                };
                let quarter = (part.second / given_off::STEP_S) as usize;
                let flows = given.at(&draw, quarter, &moment, leaf_s_per_m);
                let dt = part.length_s;
                let crop = flows.water(LoadSource::Canopy);
                water.crop += crop * dt;
                water.other += (flows.total_water() - crop) * dt;
                let mut heat_w = flows.total_sensible();
                for (i, unit) in self.units.iter().enumerate() {
                    let run = &self.runs[part.first_run + i];
                    if run.taken_kg <= 0.0 && run.back_kg <= 0.0 {
                        continue;
                    }
                    let point = unit.table.at(air.dry_bulb_c(), air.rel_humidity());
                    let truer = if 0.0 < run.logged_kg_per_s {
                        point.removal_kg_per_s / run.logged_kg_per_s
                    } else {
                        1.0
                    };
                    let removed = capacity * (truer * run.taken_kg - drying * run.back_kg);
                    water.units += removed;
                    heat_w += run.share * (point.power_w - point.drained_heat_w)
                        + removed / dt * air::vapour_enthalpy_j_per_kg(air.dry_bulb_c());
                }
                // Air and thin things cool or warm with it.
                let swing_w = self.fast_j_per_k() * (part.dry_bulb_c - before_c) / dt;
                before_c = part.dry_bulb_c;
                water.cooling +=
                    coil * self.coil_water(&air, outdoor.dry_bulb_c(), heat_w - swing_w) * dt;
                if let Some((capacity_kg, conductance)) = layer {
                    let saturation_pa = air::saturation_pressure_pa(air.dry_bulb_c());
                    let x = conductance * saturation_pa * dt / capacity_kg;
                    let mean = if x < 1e-9 { 1.0 } else { -(-x).exp_m1() / x };
                    let flow =
                        conductance * mean * (layer_rh * saturation_pa - air.vapour_pressure_pa());
                    layer_rh -= flow * dt / capacity_kg;
                    water.stored += flow * dt;
                }
            }
            if let (Ok(begin), Ok(end)) = (true_air(window.begin), true_air(window.end)) {
                let change = end.humidity_ratio() - begin.humidity_ratio();
                water.stored -= self.air_kg * air_multiple * change;
            }
            all.push(water);
        }
        all
    }

    fn fast_j_per_k(&self) -> f64 {
        1006.0 * self.air_kg + crate::zone::fast_capacity_j_per_k(self.room, &Draw::LIKELY)
    }

    /// Water that cooling takes while it carries this heat away \[kg/s\]: by the
    /// ratio of latent to sensible heat of its machines at this air.
    fn coil_water(&self, air: &MoistAir, outdoor_c: f64, heat_w: f64) -> f64 {
        if heat_w <= 0.0 {
            return 0.0;
        }
        let (mut sensible_w, mut latent_w) = (0.0, 0.0);
        for table in &self.coolers {
            let point = table.at(air.dry_bulb_c(), air.humidity_ratio(), outdoor_c);
            sensible_w += point.gross_sensible_w;
            latent_w += point.latent_w;
        }
        if sensible_w <= 0.0 {
            return 0.0;
        }
        let share = (heat_w / sensible_w).min(1.0);
        share * latent_w / air::vapour_enthalpy_j_per_kg(air.dry_bulb_c())
    }
}

fn known_mean(values: &[f64]) -> f64 {
    let known = || values.iter().filter(|x| x.is_finite());
    known().sum::<f64>() / known().count() as f64
}

/// Specific volume of the log's usual air \[m³/kg dry air\].
fn typical_volume(series: &Series, pressure_pa: f64) -> f64 {
    let known: Vec<usize> = series.known().collect();
    let middle = known.get(known.len() / 2);
    let (t, w) = middle.map_or((24.0, 0.01), |&i| {
        (series.dry_bulb_c[i], series.humidity_ratio[i])
    });
    air::specific_volume_m3_per_kg(t, w, pressure_pa)
}

fn coolers(
    room: &Room,
    catalog: &Catalog,
    pressure_pa: f64,
) -> Result<Vec<Arc<CoolingTable>>, JobError> {
    let around = airs::surroundings(room, Season::Summer)?;
    let winter = airs::surroundings(room, Season::Winter)?;
    let both = || {
        around
            .outdoor
            .dry_bulb_c
            .iter()
            .chain(&winter.outdoor.dry_bulb_c)
    };
    let setpoint_c = room.targets.lights_on.dry_bulb_c.value.likely;
    let at = CoolingAt {
        setpoint_c,
        pressure_pa,
        outdoor_c: (
            both().copied().fold(f64::INFINITY, f64::min),
            both().copied().fold(f64::NEG_INFINITY, f64::max),
        ),
        water: CoilWaterCounts::Yes,
        nodes: Nodes::Coarse,
    };
    if cooling::is_assumed(room) {
        return Ok(vec![cooling::assumed_table(room, setpoint_c, pressure_pa)?]);
    }
    let mut all = Vec::new();
    for cooling in &room.cooling {
        let cooler = cooling::cooler(cooling, catalog)?;
        let table = cooling::cooling_table(&cooler, at)?;
        all.extend(std::iter::repeat_n(table, cooling.count.value as usize));
    }
    Ok(all)
}

/// What is known before the log: the survey's bands, wide enough to be wrong.
fn before(
    room: &Room,
    catalog: &Catalog,
    units: &[RoomUnit],
    from: RunsFrom,
    coolers: &[Arc<CoolingTable>],
) -> Before {
    /// Standard deviations between 10th and 90th percentile.
    const TEN_TO_NINETY: f64 = 2.563;
    let spread = |band: Band| {
        if 0.0 < band.low {
            (band.high / band.low).ln() / TEN_TO_NINETY
        } else {
            0.0
        }
    };
    let mut before = Before {
        middle: [0.0; COUNT],
        deviation: [0.0; COUNT],
    };
    let mut set = |u: Unknown, middle: f64, deviation: f64| {
        before.middle[u as usize] = middle;
        before.deviation[u as usize] = deviation;
    };
    if let Some(crop) = &room.crop {
        let night = crop.night_resistance_s_per_m.value;
        let day = crop.day_resistance_factor.value;
        set(
            Unknown::NightResistance,
            night.likely.ln(),
            spread(night).max(0.6),
        );
        set(
            Unknown::DayResistance,
            day.likely.ln(),
            spread(day).max(0.4),
        );
    }
    let exchange = room.envelope.air_exchange_per_s.value;
    set(
        Unknown::AirExchange,
        exchange.likely.max(1e-9).ln(),
        if 0.0 < exchange.likely {
            spread(exchange).max(0.15)
        } else {
            0.0
        },
    );
    // The widest record counts; without runs in the log they may be far off.
    let record = units
        .iter()
        .filter_map(|u| catalog.dehumidifiers.get(&u.model))
        .map(|m| spread(crate::zone::capacity_band(m)))
        .fold(0.0, f64::max);
    let capacity = match from {
        RunsFrom::Log => record,
        RunsFrom::Humidistat => record.max(0.35),
    };
    set(
        Unknown::UnitCapacity,
        0.0,
        if units.is_empty() { 0.0 } else { capacity },
    );
    // Air alone is the least that a room stores; leaves, media and walls add to
    // it. Assumed: twice the air where nobody surveyed it.
    let store = match (&room.moisture_buffer, &room.envelope.moisture_capacity) {
        (Some(_), _) => 1.0,
        (None, capacity) if capacity.is_assumed() => 2.0 * capacity.value,
        (None, capacity) => capacity.value,
    };
    set(Unknown::Store, store.ln(), 0.5);
    // Electronic sensors of relative humidity hold 2 to 3 %RH; from memory.
    set(Unknown::SensorOffset, 0.0, 0.012);
    // Published shares for coils of air conditioners; units may differ.
    let dries = units
        .iter()
        .any(|u| u.fan == roomsim::setup::Fan::Continuous);
    set(Unknown::CoilDrying, 0.0, if dries { 0.3 } else { 0.0 });
    set(
        Unknown::CoilWater,
        0.0,
        if coolers.is_empty() { 0.0 } else { 0.3 },
    );
    before
}
