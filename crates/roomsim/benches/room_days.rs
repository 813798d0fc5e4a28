//! Room-days a second, with a floor beside them in the same run.
//!
//! `floor_same_tables` reads, once a step, the machine tables that a step of
//! the room reads and solves nothing: what is above it is physics, controls and
//! books. `air_states_exact` is a peer: 1440 air states (dew point and relative
//! humidity) by the `air` crate's own equations.

use std::sync::Arc;

use divan::counter::ItemsCount;
use roomsim::{Record, Setup, run};

#[path = "../tests/common/mod.rs"]
mod common;

fn main() {
    divan::main();
}

const DAYS: u32 = 20;

fn room() -> Setup {
    let mut setup = common::flowering_room();
    setup.run.warm_up_days = 0;
    setup.run.days = DAYS;
    // Rows and tables are shared by the runs of a job: made once, outside.
    run(&setup, Record::Summary);
    setup
}

#[divan::bench]
fn four_units_thermostat(bencher: divan::Bencher<'_, '_>) {
    let setup = room();
    bencher
        .counter(ItemsCount::new(DAYS))
        .bench_local(|| run(divan::black_box(&setup), Record::Summary));
}

#[divan::bench(threads = [1, 2])]
fn four_units_threads(bencher: divan::Bencher<'_, '_>) {
    let setup = room();
    bencher
        .counter(ItemsCount::new(DAYS))
        .bench(|| run(divan::black_box(&setup), Record::Summary));
}

/// As sizing does it: one warm-up day and one counted, timetable shared.
#[divan::bench]
fn four_units_two_days_a_run(bencher: divan::Bencher<'_, '_>) {
    let mut setup = room();
    setup.run.warm_up_days = 1;
    setup.run.days = 1;
    bencher
        .counter(ItemsCount::new(2_u32))
        .bench_local(|| run(divan::black_box(&setup), Record::Summary));
}

#[divan::bench]
fn four_units_minutes_kept(bencher: divan::Bencher<'_, '_>) {
    let setup = room();
    bencher
        .counter(ItemsCount::new(DAYS))
        .bench_local(|| run(divan::black_box(&setup), Record::Minutes));
}

#[divan::bench]
fn four_units_ideal_cooling(bencher: divan::Bencher<'_, '_>) {
    let mut setup = room();
    setup.cooling[0].control = roomsim::setup::CoolingControl::Ideal;
    bencher
        .counter(ItemsCount::new(DAYS))
        .bench_local(|| run(divan::black_box(&setup), Record::Summary));
}

/// Only the table reads of a day's steps.
#[divan::bench]
fn floor_same_tables(bencher: divan::Bencher<'_, '_>) {
    let setup = room();
    let (unit, cooler) = (
        Arc::clone(&setup.dehumidifiers[0].table),
        Arc::clone(&setup.cooling[0].table),
    );
    bencher.counter(ItemsCount::new(DAYS)).bench_local(|| {
        let mut sum = 0.0;
        for step in 0..1440 * DAYS {
            let x = f64::from(step % 97) * 0.01;
            let removal = unit.at(divan::black_box(24.0 + x), 0.55 + 0.1 * x);
            let cooling = cooler.at(divan::black_box(24.0 + x), 0.010 + 0.001 * x, 30.0);
            sum += removal.removal_kg_per_s + cooling.gross_sensible_w;
        }
        sum
    });
}

/// Air states by the exact equations: dew point and relative humidity.
#[divan::bench]
fn air_states_exact(bencher: divan::Bencher<'_, '_>) {
    const STATES: u32 = 1440;
    bencher.counter(ItemsCount::new(STATES)).bench_local(|| {
        let mut sum = 0.0;
        for step in 0..STATES {
            let x = f64::from(step % 97) * 0.01;
            let state =
                air::MoistAir::new(divan::black_box(24.0 + x), 0.010 + 0.001 * x, 101_325.0);
            if let Ok(state) = state {
                sum += state.dew_point_c() + state.rel_humidity();
            }
        }
        sum
    });
}
