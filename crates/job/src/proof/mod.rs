//! Proof from logs: what the logs say that room and units did.
//!
//! The readings lie on even steps of time ([`readings::Grid`]); everything here
//! is arithmetic over them: time in band, nights, margins, cycling, faults of
//! sensors, and the water that the room really gives off, by inverting its
//! moisture balance. What the log decides of what was assumed becomes a
//! proposed change of the room file, and the selection is made again with it.

mod alone;
mod before;
mod checks;
mod coil_water;
mod coolers;
mod counted;
mod cycling;
mod fit;
mod found;
mod irrigation;
mod kept;
mod lights;
mod nights;
mod open;
mod periods;
mod physics;
mod pull_down;
mod running;
mod sensors;
mod series;
mod setpoint;
mod surfaces;
#[cfg(test)]
mod truth;
mod units;
mod unknown;
mod windows;
mod workings;

use equipment::Catalog;
use quantity::{Band, Finding, Working};
use readings::{Ask, Grid, Measure, Told, WallClock};
use room::Room;

pub use alone::{Alone, alone};
pub use counted::Counted;
pub use fit::Found;
pub use found::{Again, CapacityFound, Cut, Proposal};
pub use irrigation::IrrigationSeen;
pub use kept::changed_since;
pub use lights::{LightsFrom, Lit};
pub use nights::{DayHours, Hour, NIGHTS_SHOWN, Night};
pub use open::Open;
pub use periods::{PeriodSeen, Switching};
pub use pull_down::PullDown;
pub use sensors::{FaultySensor, SensorFault};
pub use series::{Sensor, Series};
pub(crate) use setpoint::over_setpoint;
pub use surfaces::{Surfaces, Temperature};
pub use units::{RunsFrom, UnitRuns};
pub(crate) use units::{names_unit, unit_of_log};
pub use unknown::{StoreOver, Unknown};

use crate::airs;
use crate::error::JobError;
use crate::load::{self, Load};
use crate::progress::{Effort, Progress};
use crate::selection;
use crate::units::UnitSet;
use physics::{Evidence, Physics, WindowWater};

/// Readings of the logs and how their times are meant.
#[derive(Clone, Debug)]
pub struct Log {
    /// Readings over even steps.
    pub grid: Grid,
    /// The clock on the wall.
    pub clock: WallClock,
}

/// The room's real water.
#[derive(Clone, Debug)]
pub struct Water {
    /// What the removal rests on.
    pub runs_from: RunsFrom,
    /// Time that the balance closes over \[s\].
    pub over_s: f64,
    /// Load found for each hour of the wall clock \[kg/s\].
    pub hours: [Option<Band>; 24],
    /// Load found over a day \[kg\]; `None` where an hour of the day is never
    /// known.
    pub kg_per_day: Option<Band>,
    /// As surveyed: load of each hour at the targets \[kg/s\].
    pub surveyed: Vec<Band>,
    /// As surveyed, over a day \[kg\].
    pub surveyed_kg_per_day: Band,
    /// By way, over a day, at the middle found \[kg\]: units, cooling coils.
    pub removed_kg_per_day: (f64, f64),
    /// What was found of each unknown.
    pub found: Vec<Found>,
    /// What the store of the room is a multiple of.
    pub store_over: StoreOver,
    /// Standard deviation of what half an hour leaves unexplained \[kg\].
    pub rest_kg: f64,
    /// By which variances were raised, since rests follow each other.
    pub raised: f64,
    /// Why the load found is a hint only, if it is.
    pub open: Option<Open>,
}

/// What the logs prove.
#[derive(Clone, Debug)]
pub struct Proof {
    /// The room's air by step.
    pub series: Series,
    /// The channels.
    pub sensors: Vec<Sensor>,
    /// The lights.
    pub lit: Lit,
    /// By lights-on, transition, lights-off.
    pub periods: [PeriodSeen; 3],
    /// After lights-off.
    pub lights_off: Switching,
    /// After lights-on.
    pub lights_on: Switching,
    /// Leaves and the coldest surface.
    pub surfaces: Surfaces,
    /// Hour by hour and day by day.
    pub days: Vec<DayHours>,
    /// The worst nights.
    pub nights: Vec<Night>,
    /// How it is known when units ran.
    pub runs_from: RunsFrom,
    /// Each unit.
    pub units: Vec<UnitRuns>,
    /// Turns of the humidity by more than half a deadband \[1/s\].
    pub turns_per_s: f64,
    /// Faulty sensors.
    pub faults: Vec<FaultySensor>,
    /// Irrigation.
    pub irrigation: Option<IrrigationSeen>,
    /// Water counted.
    pub counted: Option<Counted>,
    /// The real water load; `None` where the log is too short or has gaps.
    pub water: Option<Water>,
    /// What to change in the room file; nothing where the balance is open.
    pub proposals: Vec<Proposal>,
    /// The selection with what was found; `None` without a
    /// balance that closes.
    pub again: Option<Again>,
    /// How the numbers came about.
    pub workings: Vec<Working>,
    /// Judgements.
    pub findings: Vec<Finding>,
}

/// Most steps that are kept: two years of minutes; longer logs get longer
/// steps.
pub const MOST_STEPS: usize = 1 << 20;
/// Length of a step \[s\].
pub const STEP_S: i64 = 60;

/// Judges logs of a room.
///
/// # Errors
/// A log without dry bulb or without humidity, a room that cannot be reckoned,
/// or the watcher said stop.
pub fn prove(
    room: &Room,
    catalog: &Catalog,
    log: &Log,
    effort: Effort,
    progress: &dyn Progress,
) -> Result<Proof, JobError> {
    progress.at("the air", 0, 1)?;
    let pressure_pa = airs::pressure_pa(&room.site);
    let sensors = series::sensors(&log.grid);
    let missing = |what: &str, column: &str| JobError::Log {
        reason: format!("the logs have no {what} of the room"),
        asks: vec![Ask::new(Told::Column, [column])],
    };
    let has = |m: Measure| sensors.iter().any(|s| s.measure == m);
    if !has(Measure::DryBulb) {
        return Err(missing("dry bulb", "NAME=dry bulb °C"));
    }
    if ![
        Measure::RelHumidity,
        Measure::DewPoint,
        Measure::Vpd,
        Measure::WetBulb,
    ]
    .into_iter()
    .any(has)
    {
        return Err(missing("humidity", "NAME=rh %"));
    }
    let step_s = log.grid.step_s() as f64;
    let of = |counts: &[bool]| series::series(&log.grid, &log.clock, &sensors, counts, pressure_pa);
    let with_all = of(&vec![true; sensors.len()]);
    let lit = lights::lit(room, &with_all, &sensors);
    let (faults, counts) = sensors::faults(&sensors, step_s, &switchings(&lit));
    let series = if counts.contains(&false) {
        of(&counts)
    } else {
        with_all
    };
    if series.known().next().is_none() {
        return Err(JobError::Log {
            reason: "dry bulb and humidity are never logged at the same time".into(),
            asks: Vec::new(),
        });
    }
    let periods = periods::seen(room, &series, &lit);
    let surfaces = surfaces::surfaces(room, &series, &lit, &sensors);
    let nights = nights::worst(room, &series, &lit, &surfaces);

    progress.at("the units", 0, 1)?;
    let load = load::hourly(room, effort)?;
    let set = match selection::present_set(room) {
        Some(set) => set,
        None => selection::choose(room, &load, catalog, Effort::Preview, progress)?.design_set(),
    };
    let placed = crate::placement::place(room, catalog, &set)?;
    let room_units = units::of_room(room, catalog, &set, &placed.units, pressure_pa)?;
    let mut counted = counted::counted(&series, &sensors);
    if let Some(counted) = &mut counted {
        let with = (room, catalog);
        counted.most_kg = Some(counted::most_kg(
            with,
            &series,
            &room_units,
            counted.over_s,
        )?);
    }
    let believed = counted.as_ref().filter(|c| !c.is_impossible());
    let with = (room, catalog);
    let (runs_from, mut units) = units::runs(with, &series, &sensors, &room_units, believed);

    progress.at("the water", 0, 1)?;
    let physics = Physics::new(&Evidence {
        room,
        catalog,
        series: &series,
        lit: &lit,
        sensors: &sensors,
        units: &room_units,
        runs: &units,
        runs_from,
        counted_kg: believed.map(|c| &c.kg[..]),
    })?;
    let fit = fit::fit(&physics);
    let held = fit::held(&physics, fit.as_ref());
    let pull_downs = pull_down::pull_downs(&series, &room_units, &units, held, pressure_pa);
    for (unit, pull_down) in units.iter_mut().zip(pull_downs) {
        unit.pull_down = pull_down;
    }
    let water = fit
        .as_ref()
        .map(|fit| water(room, &physics, fit, &series, &load, runs_from));
    let closed = water.as_ref().filter(|w| w.open.is_none());
    let proposals = closed.map_or_else(Vec::new, |w| found::proposals(room, catalog, w));
    let again = match closed.zip(fit.as_ref()) {
        Some(both) => {
            progress.at("the selection again", 0, 1)?;
            Some(found::again(room, catalog, &set, both, effort, progress)?)
        }
        None => None,
    };
    let irrigation = irrigation::irrigation(&series, &sensors, |step| lit.is_dark(step));
    let mut proof = Proof {
        days: nights::days(room, &series, &lit),
        lights_off: periods::switching(&series, &lit.went_out),
        lights_on: periods::switching(&series, &lit.came_on),
        turns_per_s: cycling::sawtooth_per_s(room, &series),
        periods,
        surfaces,
        nights,
        runs_from,
        units,
        faults,
        irrigation,
        counted,
        water,
        proposals,
        again,
        sensors,
        lit,
        series,
        workings: Vec::new(),
        findings: Vec::new(),
    };
    proof.workings = workings::workings(room, &proof, fit.as_ref().map(|f| (&physics, f)));
    proof.findings = checks::findings(room, &proof);
    Ok(proof)
}

/// Steps at which the lights come on or go out.
fn switchings(lit: &Lit) -> Vec<usize> {
    lit.came_on.iter().chain(&lit.went_out).copied().collect()
}

fn water(
    room: &Room,
    physics: &Physics<'_>,
    fit: &fit::Fit,
    series: &Series,
    load: &Load,
    runs_from: RunsFrom,
) -> Water {
    let hour_of = |step: usize| (series.second[step] / 3600) as usize % 24;
    let (hours, kg_per_day) = fit::loads(physics, fit, hour_of);
    let over_s = physics.windows.len() as f64 * windows::WINDOW_S;
    let found = fit.found(physics);
    let units_known = runs_from == RunsFrom::Log && !room.units.is_empty();
    let at_middle = physics.water(&fit.point);
    let per_day = |pick: &dyn Fn(&WindowWater) -> f64| {
        at_middle.iter().map(pick).sum::<f64>() / over_s * 86_400.0
    };
    let surveyed: Vec<Band> = load.hours.iter().map(|h| h.water_kg_per_s).collect();
    Water {
        runs_from,
        over_s,
        kg_per_day,
        hours,
        surveyed,
        surveyed_kg_per_day: load.water_kg_per_day,
        removed_kg_per_day: (per_day(&|w| w.units), per_day(&|w| w.cooling)),
        store_over: physics.store_over(),
        rest_kg: fit.rest_kg,
        raised: fit.raised,
        open: open::open(&found, fit.settled, units_known),
        found,
    }
}

impl Water {
    /// An unknown in words.
    pub const fn words_of(&self, unknown: Unknown) -> &'static str {
        unknown.words(self.store_over)
    }
}

/// The units that a proof was made for, as a set.
pub fn set_of(proof: &Proof) -> UnitSet {
    proof
        .units
        .iter()
        .fold(UnitSet::EMPTY, |set, u| set.and(&u.model, 1))
}
