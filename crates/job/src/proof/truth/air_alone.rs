//! Logs without a channel of any unit.

use super::super::UnitRuns;
use super::units_seen::drained;
use super::*;

/// The log of a simulated room: its air, and its condensate where it is counted.
///
/// - `count`: step of the counter \[kg\]; without end, a vessel that is emptied
///   once a day
fn air_log(outcome: &Outcome, logger: Logger, count: Option<f64>) -> Log {
    air_log_at(MIDNIGHT_S, outcome, logger, count)
}

/// The same, of which the logger's clock shows this at midnight \[s\].
fn air_log_at(midnight_s: i64, outcome: &Outcome, logger: Logger, count: Option<f64>) -> Log {
    let s = outcome.series.as_ref().unwrap();
    let mut generator = ChaCha8Rng::seed_from_u64(logger.seed);
    let mut noise = || -> f64 { StandardNormal.sample(&mut generator) };
    let mut grid = Grid::new(super::super::STEP_S, super::super::MOST_STEPS);
    grid.channel(Measure::DryBulb, "canopy temp");
    grid.channel(Measure::RelHumidity, "canopy rh");
    if count.is_some() {
        grid.channel(Measure::WaterCounter, "condensate");
    }
    let drained = drained(outcome);
    for i in (0..s.len()).step_by(logger.every) {
        grid.moment(midnight_s + 60 * i as i64);
        let round = |x: f64, to: f64| (x / to).round() * to;
        let at = i.saturating_sub(1);
        let (t, rh) = (
            s.dry_bulb_c[at] + logger.noise.0 * noise(),
            s.rel_humidity[at] + logger.offset + logger.noise.1 * noise(),
        );
        grid.reading(0, round(t, 0.1));
        grid.reading(1, round(rh, 0.001));
        match count {
            Some(step) if step.is_finite() => grid.reading(2, (drained[at] / step).floor() * step),
            Some(_) if i % 1440 == 0 => grid.reading(2, drained[at]),
            _ => {}
        }
    }
    Log {
        grid,
        clock: WallClock::Own,
    }
}

const LOGGER: Logger = Logger {
    seed: 5,
    noise: (0.05, 0.003),
    ..EXACT
};

/// The much cooled room with three units that its file lists, too few for it by
/// night.
fn flowering() -> (Room, UnitSet) {
    let unit = |n: u32| format!("[[unit]]\ntag = \"D{n}\"\nmodel = \"generic-70\"\n");
    let units: String = (1..=UNITS).map(unit).collect();
    let text = include_str!("../../../../../cases/demo/flower-2.room.toml");
    let room = crate::common::read(&format!("{text}\n{units}"));
    (room, UnitSet::of("generic-70", UNITS))
}

/// A room that is held near its setpoint may give off much under many units or
/// little under few: the air alone tells no load, and none is told.
#[test]
fn no_load_is_told_from_the_air_of_a_room_that_is_held() {
    let room = sheet().room();
    let outcome = outcome(&room, &Draw::LIKELY, 4, as_surveyed);
    let proof = proof(&room, &air_log(&outcome, LOGGER, None));
    assert_eq!(proof.runs_from, RunsFrom::Setpoint);
    assert!(proof.water.is_none() && proof.proposals.is_empty() && proof.again.is_none());
    let of_units = |of: fn(&UnitRuns) -> bool| proof.units.iter().all(of);
    assert!(of_units(|u| u.run_share.is_none() && u.pull_down.is_none()));
    for told in ["balance_open", "runs_not_logged"] {
        assert!(
            checks(&proof).contains(&told),
            "{told}: {:?}",
            checks(&proof)
        );
    }
}

/// Where units are said to run or to rest beyond doubt, they do.
#[test]
fn what_is_beyond_doubt_is_so() {
    let (room, set) = flowering();
    let outcome = outcome_of(&room, &set, &Draw::LIKELY, 4, as_surveyed);
    let truth = &outcome.series.as_ref().unwrap().dehumidifiers_on;
    for every in [1, 5] {
        let logger = Logger { every, ..LOGGER };
        let proof = proof(&room, &air_log(&outcome, logger, None));
        let (mut ran, mut rested) = (0, 0);
        for (n, unit) in (0..UNITS).zip(&proof.units) {
            for (is, truth) in unit.run.iter().zip(truth) {
                let did = truth & (1 << n) != 0;
                if is.is_finite() {
                    assert_eq!(*is, f64::from(u8::from(did)), "{}", unit.tag);
                    *(if did { &mut ran } else { &mut rested }) += 1;
                }
            }
        }
        assert!(0 < ran, "every {every} min: {ran} {rested}");
    }
}

/// Condensate counted by tenths of a litre tells the load as well as the running
/// of every unit would, with store and leaves.
#[test]
fn counted_water_tells_the_load_where_no_unit_is_logged() {
    let held = (sheet().room(), UnitSet::of(MODEL, UNITS));
    for (room, set) in [held, flowering()] {
        let outcome = outcome_of(&room, &set, &Draw::LIKELY, 4, as_surveyed);
        let truth = true_load_kg_per_day(&outcome, 4);
        for every in [1, 5] {
            let logger = Logger { every, ..LOGGER };
            let log = air_log(&outcome, logger, Some(0.1));
            with_physics_of(&room, &set, &log, |physics| {
                let fit = fit::fit(physics).unwrap();
                let (_, load) = fit::loads(physics, &fit, |step| step / 60 % 24);
                let load = load.unwrap();
                let off = load.likely / truth - 1.0;
                assert!(fit.settled && off.abs() < 0.06, "{load:?} {truth}");
                let found = fit.found(physics);
                let store = found.iter().find(|f| f.unknown == Unknown::Store);
                let store = store.unwrap().after.likely;
                assert!((0.8..1.5).contains(&store), "{found:?}");
            });
        }
    }
}

/// A logger's clock that is off by ten minutes from the timer of lights moves the
/// load by little, though the log has no light: half hours beside a switching
/// count for less. (With all of them counted alike it was 13 % at five minutes.)
#[test]
fn a_clock_that_is_off_moves_the_load_by_little() {
    let (room, set) = flowering();
    let outcome = outcome_of(&room, &set, &Draw::LIKELY, 4, as_surveyed);
    let truth = true_load_kg_per_day(&outcome, 4);
    for late_s in [-600, 600] {
        let logger = Logger { every: 5, ..LOGGER };
        let log = air_log_at(MIDNIGHT_S + late_s, &outcome, logger, Some(0.1));
        with_physics_of(&room, &set, &log, |physics| {
            let fit = fit::fit(physics).unwrap();
            let (_, load) = fit::loads(physics, &fit, |step| step / 60 % 24);
            let load = load.unwrap();
            let off = load.likely / truth - 1.0;
            assert!(off.abs() < 0.08, "{late_s} s: {load:?} {truth}");
        });
    }
}

/// A vessel emptied once a day tells no half hour from another.
#[test]
fn a_daily_count_lays_out_no_running() {
    let room = sheet().room();
    let outcome = outcome(&room, &Draw::LIKELY, 3, as_surveyed);
    let daily = Some(f64::INFINITY);
    let proof = proof(&room, &air_log(&outcome, LOGGER, daily));
    assert!(proof.counted.is_some());
    assert_eq!(proof.runs_from, RunsFrom::Setpoint);
}
