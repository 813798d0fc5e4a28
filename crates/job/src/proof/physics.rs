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
use room::Room;
use roomsim::setup::ThermalMass;

use super::before::{Before, before};
use super::coolers::Coolers;
use super::lights::Lit;
use super::pull_down::Held;
use super::series::{Sensor, Series, middle};
use super::units::{RoomUnit, RunsFrom, UnitRuns};
use super::unknown::{Point, StoreOver, Unknown, beside};
use super::windows::{End, Laid, Part, Run, Window, Windows};
use crate::airs::{self, Season};
use crate::error::JobError;
use crate::load::LoadSource;
use crate::load::given_off::{self, GivenOff, Moment};
use crate::load::wetted::Films;
use crate::uncertain::Draw;
use crop::{Lag, stomata};

/// Water of a part, or of a window, at one point \[kg\].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct WindowWater {
    /// By leaves.
    pub(super) crop: f64,
    /// By all else, air exchange included.
    pub(super) other: f64,
    /// From the store to the air, and what the air itself gave.
    pub(super) stored: f64,
    pub(super) units: f64,
    /// Of which by their records at the true air, before any factor.
    pub(super) by_record: f64,
    /// Gone back from resting coils as reckoned, before any factor.
    pub(super) back: f64,
    pub(super) cooling: f64,
    /// Change of the air's humidity ratio \[kg/kg\].
    pub(super) change: f64,
    /// Moisture capacity over that of the air.
    pub(super) multiple: f64,
    /// Times that its rest may be as large as others'.
    pub(super) doubt: f64,
}

impl WindowWater {
    /// What is not explained, as water of the air alone: the humidity logged
    /// less that which the flows lead to. Taken with all that is stored, a fit
    /// would shrink the store to shrink the noise of the sensor with it. Where the
    /// reckoning itself is in doubt, as much less of it.
    pub(super) fn rest(&self) -> f64 {
        let open = self.crop + self.other + self.stored - self.units - self.cooling;
        open / self.multiple / self.doubt
    }

    /// Adds a share of the flows of another time.
    fn add(&mut self, share: f64, other: &Self) {
        self.crop += share * other.crop;
        self.other += share * other.other;
        self.stored += share * other.stored;
        self.units += share * other.units;
        self.by_record += share * other.by_record;
        self.back += share * other.back;
        self.cooling += share * other.cooling;
    }

    /// What the room gave off by its removal and stores: the load found.
    pub(super) fn load(&self) -> f64 {
        self.units + self.cooling - self.stored
    }
}

/// All that is known of one log.
#[derive(Clone, Copy)]
pub(super) struct Evidence<'a, 'e> {
    pub(super) room: &'a Room,
    pub(super) catalog: &'e Catalog,
    pub(super) series: &'e Series,
    pub(super) lit: &'e Lit,
    pub(super) sensors: &'e [Sensor],
    pub(super) units: &'a [RoomUnit],
    /// Of each unit, in their order.
    pub(super) runs: &'e [UnitRuns],
    pub(super) runs_from: RunsFrom,
    /// Water counted by step \[kg\], if any was.
    pub(super) counted_kg: Option<&'e [f64]>,
}

/// The log and the room made ready.
pub(super) struct Physics<'a> {
    room: &'a Room,
    pressure_pa: f64,
    parts: Vec<Part>,
    /// What each unit did in each part.
    runs: Vec<Run>,
    pub(super) windows: Vec<Window>,
    /// Share of a part beyond the end of a window that its end tells of.
    beyond: f64,
    units: &'a [RoomUnit],
    coolers: Coolers,
    mass: Option<ThermalMass>,
    /// Heat capacity of the air and of what follows it within minutes \[J/K\].
    fast_j_per_k: f64,
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
    pub(super) fn new(evidence: &Evidence<'a, '_>) -> Result<Self, JobError> {
        let Evidence {
            room,
            catalog,
            series,
            units,
            ..
        } = *evidence;
        let pressure_pa = airs::pressure_pa(&room.site);
        let base = GivenOff::new(room, Season::Summer)?;
        let all = vec![true; evidence.sensors.len()];
        let outdoor_c = middle(
            evidence.sensors,
            &all,
            Measure::OutdoorDryBulb,
            series.len(),
        );
        let coolers = Coolers::of_room(room, catalog, pressure_pa)?;
        let Windows {
            parts,
            runs,
            all,
            beyond,
        } = Windows::of(&Laid {
            series,
            lit: evidence.lit,
            units,
            runs: evidence.runs,
            runs_from: evidence.runs_from,
            pressure_pa,
            outdoor_c: &outdoor_c,
            counted_kg: evidence.counted_kg,
        });
        let air_kg = room.volume_m3() / typical_volume(series, pressure_pa);
        Ok(Self {
            room,
            pressure_pa,
            parts,
            runs,
            windows: all,
            beyond,
            units,
            before: before(
                room,
                units,
                evidence.runs_from,
                evidence.counted_kg.is_some(),
                &coolers,
            ),
            coolers,
            mass: crate::zone::thermal_mass(room),
            fast_j_per_k: 1006.0 * air_kg + crate::zone::fast_capacity_j_per_k(room, &Draw::LIKELY),
            base,
            air_kg,
        })
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
        let parts = self.water_of_parts(point);
        let multiple = self.air_multiple(point[Unknown::Store as usize].exp());
        let goes_on = |part: usize| self.parts.get(part).is_some_and(|p| !p.anew);
        self.windows
            .iter()
            .map(|window| {
                let (first, end) = window.parts;
                let mut water = WindowWater {
                    multiple,
                    doubt: window.doubt,
                    ..WindowWater::default()
                };
                for part in &parts[first..end] {
                    water.add(1.0, part);
                }
                // The humidity at an end is a mean around it, and with it what
                // flows there: less of what is inside, some of what is beyond.
                if goes_on(first) {
                    water.add(-self.beyond, &parts[first]);
                    water.add(self.beyond, &parts[first - 1]);
                }
                if goes_on(end) {
                    water.add(-self.beyond, &parts[end - 1]);
                    water.add(self.beyond, &parts[end]);
                }
                let offset = point[Unknown::SensorOffset as usize];
                let ends = [&window.begin, &window.end].map(|end| self.true_ratio(end, offset));
                if let [Ok(begin), Ok(end)] = ends {
                    water.change = end - begin;
                    water.stored -= self.air_kg * multiple * water.change;
                }
                water
            })
            .collect()
    }

    /// Moisture capacity over that of the air where the store is this multiple; a
    /// surveyed buffer is not in it.
    fn air_multiple(&self, store: f64) -> f64 {
        match self.store_over() {
            StoreOver::Air => store,
            StoreOver::Buffer => self.room.envelope.moisture_capacity.value,
        }
    }

    /// What the store of the room is a multiple of.
    pub(super) const fn store_over(&self) -> StoreOver {
        StoreOver::of(self.room)
    }

    fn true_air(&self, (t, rh): (f64, f64), offset: f64) -> Result<MoistAir, air::AirError> {
        MoistAir::from_rel_humidity(t, (rh - offset).clamp(0.005, 1.0), self.pressure_pa)
    }

    /// Humidity ratio at an end of a window. What the offset takes from it is
    /// reckoned in the air beside: at the logged air, the noise of the thermometer
    /// would count for less the more is taken off, and a fit would take off too
    /// much.
    fn true_ratio(&self, end: &End, offset: f64) -> Result<f64, air::AirError> {
        let ratio = |air, offset| Ok(self.true_air(air, offset)?.humidity_ratio());
        let taken_off = ratio(end.beside, 0.0)? - ratio(end.beside, offset)?;
        Ok(ratio(end.logged, 0.0)? - taken_off)
    }

    /// Water of every part at a point; what the air itself stores is not in it.
    fn water_of_parts(&self, point: &Point) -> Vec<WindowWater> {
        let room = self.room_at(point);
        let given = self.base.with_room(&room);
        let draw = beside(point);
        let capacity = point[Unknown::UnitCapacity as usize].exp();
        let coil = point[Unknown::CoilWater as usize].exp();
        let drying = point[Unknown::CoilDrying as usize].exp();
        let store = point[Unknown::Store as usize].exp();
        let offset = point[Unknown::SensorOffset as usize];
        let layer = crate::zone::moisture_layer(&room)
            .map(|(capacity_kg, conductance)| (capacity_kg * store, conductance));
        let lag_s = room.crop.as_ref().map_or(0.0, |c| c.stomatal_lag_s.value);
        let (mut leaf_s_per_m, mut layer_rh, mut mass_c) = (0.0, 0.0, None);
        let mut films = Films::dry(&room.washdowns);
        let mut all = vec![WindowWater::default(); self.parts.len()];
        for window in &self.windows {
            let parts = window.parts.0..window.parts.1;
            for (part, water) in self.parts[parts.clone()].iter().zip(&mut all[parts]) {
                let Ok(air) = self.true_air((part.dry_bulb_c, part.rel_humidity), offset) else {
                    continue;
                };
                let target = given_off::stomatal_target(&room, &draw, part.light);
                if part.anew {
                    mass_c = None;
                    films = Films::left_at(&room.washdowns, part.second, &air);
                    leaf_s_per_m = target;
                    layer_rh = air.rel_humidity();
                }
                let after = |passed_s: f64| {
                    let lag = Lag {
                        passed_s,
                        time_constant_s: lag_s,
                    };
                    stomata::lagged_resistance_s_per_m(leaf_s_per_m, target, lag)
                };
                let half_way_s_per_m = after(part.length_s / 2.0);
                leaf_s_per_m = after(part.length_s);
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
                let dt = part.length_s;
                let floor_c = mass_c.unwrap_or(part.dry_bulb_c);
                let dried = films.dry_on(part.second, dt, &air, floor_c);
                let flows = given.at(&draw, &moment, half_way_s_per_m, &dried);
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
                    let by_record = truer * run.taken_kg;
                    let removed = capacity * by_record - drying * run.back_kg;
                    water.by_record += by_record;
                    water.back += run.back_kg;
                    water.units += removed;
                    heat_w += run.share * (point.power_w - point.drained_heat_w)
                        + removed / dt * air::vapour_enthalpy_j_per_kg(air.dry_bulb_c());
                }
                // Air and thin things cool or warm with it.
                let swing_w = self.fast_j_per_k * part.rise_k / dt;
                let to_mass_w = crate::zone::LIGHT_TO_MASS * flows.sensible(LoadSource::Lights);
                let mass_w = self.mass_gives_w(&mut mass_c, part, to_mass_w - dried.from_floor_w);
                let carried_w = heat_w - to_mass_w - swing_w + mass_w;
                water.cooling += coil
                    * self
                        .coolers
                        .water_kg_per_s(&air, outdoor.dry_bulb_c(), carried_w)
                    * dt;
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
        }
        all
    }

    /// What the room holds of water where its store is this multiple.
    pub(super) fn held(&self, store: f64, deviation: f64) -> Held {
        Held {
            kg_per_ratio: self.air_kg * self.air_multiple(store),
            deviation,
            layer_kg_per_s_pa: crate::zone::moisture_layer(self.room)
                .map_or(0.0, |(_, conductance)| conductance),
        }
    }

    /// Heat that walls, floor and ceiling give to the air over a part \[W\], and
    /// their temperature after it; where that is not known before, they are taken
    /// as settled.
    ///
    /// - `given_w`: heat given to them by other than the air
    fn mass_gives_w(&self, mass_c: &mut Option<f64>, part: &Part, given_w: f64) -> f64 {
        let Some(mass) = self.mass else {
            return given_w;
        };
        let settled_c = part.dry_bulb_c + given_w / mass.conductance_w_per_k;
        let x = mass.conductance_w_per_k * part.length_s / mass.capacity_j_per_k;
        let over_k = mass_c.unwrap_or(settled_c) - settled_c;
        *mass_c = Some(settled_c + over_k * (-x).exp());
        given_w + over_k * -(-x).exp_m1() * mass.capacity_j_per_k / part.length_s
    }
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
