//! Logs of simulated rooms, of which the truth is known, and logs written by
//! hand, of which it is reckoned beside the check.

mod air;
mod air_alone;
mod bands;
mod day_and_night;
mod sensor_faults;
mod units_seen;
mod workings;

use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use readings::{Grid, Measure, Sink, WallClock};
use room::Room;
use roomsim::setup::{RunLength, Setup};
use roomsim::{Outcome, Record, WaterPath};

use super::physics::{Evidence, Physics, WindowWater};
use super::units::RunsFrom;
use super::{
    Found, Log, Proof, StoreOver, Unknown, Water, fit, lights, prove, sensors, series, units,
};
use crate::airs;
use crate::common::{Sheet, catalog};
use crate::progress::{Effort, Silent};
use crate::uncertain::Draw;
use crate::units::UnitSet;
use crate::zone::{Circumstances, Compiled};
use quantity::Band;

const MODEL: &str = "generic-30";
const UNITS: u32 = 3;
/// 2025-03-01 00:00 as if UTC (POSIX time).
const MIDNIGHT_S: i64 = 1_740_787_200;

pub(super) fn sheet() -> Sheet {
    let mut sheet = Sheet::leafy()
        .set("target.lights_off", "dry_bulb", "\"20 °C\"")
        .set("light", "power", "\"5 kW\"");
    for n in 1..=UNITS {
        sheet = sheet.and(&format!("[[unit]]\ntag = \"D{n}\"\nmodel = \"{MODEL}\"\n"));
    }
    sheet
}

/// What a logger adds to the truth.
#[derive(Clone, Copy)]
struct Logger {
    seed: u64,
    /// Relative humidity shown less true.
    offset: f64,
    /// Spread of single readings: dry bulb [K], relative humidity.
    noise: (f64, f64),
    /// Rows every so many minutes.
    every: usize,
}

const EXACT: Logger = Logger {
    seed: 0,
    offset: 0.0,
    noise: (0.0, 0.0),
    every: 1,
};

/// A room simulated as surveyed, but for what `change` does to it.
fn outcome(room: &Room, draw: &Draw, days: u32, change: impl FnOnce(&mut Setup)) -> Outcome {
    outcome_of(room, &UnitSet::of(MODEL, UNITS), draw, days, change)
}

fn outcome_of(
    room: &Room,
    set: &UnitSet,
    draw: &Draw,
    days: u32,
    change: impl FnOnce(&mut Setup),
) -> Outcome {
    let placed = crate::placement::place(room, catalog(), set).unwrap();
    let compiled = Compiled::new(room, catalog(), set.models(), Circumstances::DESIGN)
        .unwrap()
        .in_place(placed.units.iter().map(|p| (p.model.as_str(), p.air())))
        .unwrap();
    let run = RunLength {
        step_s: 60.0,
        warm_up_days: 2,
        days,
    };
    let mut setup = compiled.setup(draw, set, run).unwrap();
    change(&mut setup);
    roomsim::run(&setup, Record::Minutes)
}

/// Nothing else than surveyed.
const fn as_surveyed(_: &mut Setup) {}

/// A channel beside those that every log has: what, its name, its reading at
/// each minute.
type Channel<'a> = (Measure, &'a str, &'a dyn Fn(usize) -> f64);

fn log(outcome: &Outcome, logger: Logger) -> Log {
    log_with(outcome, logger, &[])
}

fn log_with(outcome: &Outcome, logger: Logger, more: &[Channel<'_>]) -> Log {
    let s = outcome.series.as_ref().unwrap();
    let mut generator = ChaCha8Rng::seed_from_u64(logger.seed);
    let mut noise = || -> f64 { StandardNormal.sample(&mut generator) };
    let mut grid = Grid::new(super::STEP_S, super::MOST_STEPS);
    grid.channel(Measure::DryBulb, "canopy temp");
    grid.channel(Measure::RelHumidity, "canopy rh");
    grid.channel(Measure::Light, "lux");
    for n in 1..=UNITS {
        grid.channel(Measure::UnitState, &format!("D{n} state"));
    }
    for (measure, name, _) in more {
        grid.channel(*measure, name);
    }
    for i in (0..s.len()).step_by(logger.every) {
        grid.moment(MIDNIGHT_S + 60 * i as i64);
        let round = |x: f64, to: f64| (x / to).round() * to;
        // The reading at the begin of a step is what the step before ended at.
        let at = i.saturating_sub(1);
        let exact = logger.noise == (0.0, 0.0);
        let (t, rh) = (
            s.dry_bulb_c[at] + logger.noise.0 * noise(),
            s.rel_humidity[at] + logger.offset + logger.noise.1 * noise(),
        );
        grid.reading(0, if exact { t } else { round(t, 0.1) });
        grid.reading(1, if exact { rh } else { round(rh, 0.001) });
        grid.reading(2, 12_000.0 * s.light[i]);
        for n in 0..UNITS {
            let span = i..(i + logger.every).min(s.len());
            let on = span
                .clone()
                .filter(|&k| s.dehumidifiers_on[k] & (1 << n) != 0)
                .count();
            grid.reading(3 + n as usize, on as f64 / span.len() as f64);
        }
        for (n, (_, _, of)) in more.iter().enumerate() {
            grid.reading(3 + UNITS as usize + n, of(i));
        }
    }
    Log {
        grid,
        clock: WallClock::Own,
    }
}

/// Water that all sources give off in a day [kg].
fn true_load_kg_per_day(outcome: &Outcome, days: u32) -> f64 {
    [
        WaterPath::Crop,
        WaterPath::Medium,
        WaterPath::Surfaces,
        WaterPath::People,
        WaterPath::Drying,
        WaterPath::Other,
        WaterPath::Exchange,
    ]
    .into_iter()
    .map(|p| outcome.summary.water_kg(p))
    .sum::<f64>()
        / f64::from(days)
}

fn proof(room: &Room, log: &Log) -> Proof {
    prove(room, catalog(), log, Effort::Draft, &Silent).unwrap()
}

/// A log written by hand: `row` gives the readings of each minute, in the order
/// of the channels.
fn written(channels: &[(Measure, &str)], minutes: usize, row: impl Fn(usize) -> Vec<f64>) -> Log {
    let mut grid = Grid::new(super::STEP_S, super::MOST_STEPS);
    for (measure, name) in channels {
        grid.channel(*measure, name);
    }
    for i in 0..minutes {
        grid.moment(MIDNIGHT_S + 60 * i as i64);
        for (channel, x) in row(i).into_iter().enumerate() {
            if x.is_finite() {
                grid.reading(channel, x);
            }
        }
    }
    Log {
        grid,
        clock: WallClock::Own,
    }
}

/// Water of which one unknown was found well, and nothing else.
pub(super) fn water_of(unknown: Unknown, after: Band) -> Water {
    Water {
        runs_from: RunsFrom::Log,
        over_s: 86_400.0,
        hours: [None; 24],
        kg_per_day: None,
        surveyed: Vec::new(),
        surveyed_kg_per_day: Band::exact(1.0),
        removed_kg_per_day: (0.0, 0.0),
        found: vec![Found {
            unknown,
            before: Band::exact(1.0),
            after,
            left: 0.1,
        }],
        store_over: StoreOver::Air,
        rest_kg: 0.0,
        raised: 1.0,
        open: None,
    }
}

/// Names of the findings.
fn checks(proof: &Proof) -> Vec<&str> {
    proof.findings.iter().map(|f| f.check.as_ref()).collect()
}

fn with_physics<T>(room: &Room, log: &Log, f: impl FnOnce(&Physics<'_>) -> T) -> T {
    with_physics_of(room, &UnitSet::of(MODEL, UNITS), log, f)
}

fn with_physics_of<T>(
    room: &Room,
    set: &UnitSet,
    log: &Log,
    f: impl FnOnce(&Physics<'_>) -> T,
) -> T {
    let pressure_pa = airs::pressure_pa(&room.site);
    let sensors = series::sensors(&log.grid);
    let (_, counts) = sensors::faults(&sensors, 60.0, &[]);
    let series = series::series(&log.grid, &log.clock, &sensors, &counts, pressure_pa);
    let lit = lights::lit(room, &series, &sensors);
    let placed = crate::placement::place(room, catalog(), set).unwrap();
    let room_units = units::of_room(room, catalog(), set, &placed.units, pressure_pa).unwrap();
    let counted = super::counted::counted(&series, &sensors);
    let counted = counted.as_ref();
    let with = (room, catalog());
    let (from, units) = units::runs(with, &series, &sensors, &room_units, counted);
    let physics = Physics::new(&Evidence {
        room,
        catalog: catalog(),
        series: &series,
        lit: &lit,
        sensors: &sensors,
        units: &room_units,
        runs: &units,
        runs_from: from,
        counted_kg: counted.map(|c| &c.kg[..]),
    })
    .unwrap();
    f(&physics)
}

/// An exact log of a room as surveyed gives the load back.
#[test]
fn an_exact_log_gives_the_load_back() {
    let room = sheet().room();
    let outcome = outcome(&room, &Draw::LIKELY, 3, as_surveyed);
    let proof = proof(&room, &log(&outcome, EXACT));
    let water = proof.water.as_ref().unwrap();
    let truth = true_load_kg_per_day(&outcome, 3);
    let found = water.kg_per_day.unwrap();
    assert!(
        (found.likely / truth - 1.0).abs() < 0.05,
        "{found:?} {truth}"
    );
    assert_eq!(water.open, None);
}

/// At the truth an exact log leaves next to nothing of the balance open, though
/// units cycle within a window and its ends are means of the air around them.
#[test]
fn an_exact_log_leaves_next_to_nothing_open() {
    let room = sheet().room();
    let outcome = outcome(&room, &Draw::LIKELY, 3, as_surveyed);
    for every in [1, 5] {
        let log = log(&outcome, Logger { every, ..EXACT });
        with_physics(&room, &log, |physics| {
            let mut truth = physics.before.middle;
            truth[Unknown::Store as usize] = room.envelope.moisture_capacity.value.ln();
            let water = physics.water(&truth);
            let mean = |f: &dyn Fn(&WindowWater) -> f64| {
                water.iter().map(f).sum::<f64>() / water.len() as f64
            };
            let rest = mean(&|w| (w.rest() * w.multiple).powi(2)).sqrt();
            let through = mean(&|w| w.crop + w.other);
            assert!(
                rest < 0.01 * through,
                "every {every} min: {rest} of {through}"
            );
        });
    }
}

/// A lit room whose cooling takes more water than its units, where the floor is
/// washed and lights ramp.
fn much_cooled() -> (Room, UnitSet) {
    let text = include_str!("../../../../../cases/demo/flower-2.room.toml");
    (crate::common::read(text), UnitSet::of("generic-70", UNITS))
}

/// In a lit room whose cooling takes as much water as its units, the balance
/// reckons of the cooling what the simulation has: coils at part load under fans
/// that never stop, heat that walls take up at lights-on and give back after.
#[test]
fn cooling_takes_in_the_balance_what_it_takes_in_the_room() {
    let (room, set) = much_cooled();
    let outcome = outcome_of(&room, &set, &Draw::LIKELY, 3, as_surveyed);
    let of_hour = |hour: usize, step: usize| step / 60 % 24 == hour;
    let series = outcome.series.as_ref().unwrap();
    let simulated = |hour: usize| {
        let steps = (0..series.len()).filter(|step| of_hour(hour, *step));
        let of_steps: Vec<f64> = steps
            .map(|step| -60.0 * series.water_kg_per_s[step][WaterPath::Cooling as usize])
            .collect();
        of_steps.iter().sum::<f64>() / (of_steps.len() as f64 / 60.0)
    };
    with_physics_of(&room, &set, &log(&outcome, EXACT), |physics| {
        let mut truth = physics.before.middle;
        truth[Unknown::Store as usize] = room.envelope.moisture_capacity.value.ln();
        let water = physics.water(&truth);
        let reckoned = |hour: usize| {
            let windows = physics.windows.iter().zip(&water);
            let of_hour: Vec<f64> = windows
                .filter(|(window, _)| of_hour(hour, window.step))
                .map(|(_, water)| water.cooling)
                .collect();
            2.0 * of_hour.iter().sum::<f64>() / of_hour.len() as f64
        };
        for hour in 0..24 {
            let (is, should_be) = (reckoned(hour), simulated(hour));
            let off = (is - should_be) / should_be.max(5.0);
            assert!(off.abs() < 0.03, "hour {hour}: {is} kg, {should_be} kg");
        }
        let day = |of: &dyn Fn(usize) -> f64| (0..24).map(of).sum::<f64>();
        let (is, should_be) = (day(&reckoned), day(&simulated));
        assert!(
            (is / should_be - 1.0).abs() < 0.01,
            "{is} kg, {should_be} kg"
        );
    });
}

/// There too an exact log gives the load back, and coils are found to take what
/// is reckoned of them.
#[test]
fn the_load_of_a_much_cooled_room_is_given_back() {
    let (room, set) = much_cooled();
    let outcome = outcome_of(&room, &set, &Draw::LIKELY, 4, as_surveyed);
    let truth = true_load_kg_per_day(&outcome, 4);
    for every in [1, 5] {
        let log = log(&outcome, Logger { every, ..EXACT });
        with_physics_of(&room, &set, &log, |physics| {
            let fit = fit::fit(physics).unwrap();
            let (_, load) = fit::loads(physics, &fit, |step| step / 60 % 24);
            let load = load.unwrap();
            assert!(load.low <= truth && truth <= load.high, "{load:?} {truth}");
            assert!((load.likely / truth - 1.0).abs() < 0.04, "{load:?} {truth}");
            let found = fit.found(physics);
            let coil = found.iter().find(|f| f.unknown == Unknown::CoilWater);
            let off = coil.unwrap().after.likely - 1.0;
            assert!(off.abs() < 0.1, "every {every} min: {off}");
        });
    }
}
