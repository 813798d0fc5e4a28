//! How long somebody waits for a first look after an edit of a room.
//!
//! Beside it in the same run: `plain_room_days`, days of a plain room simulated
//! over all threads, as many as an edit may cost at most, so that the ratio of
//! the two means the same on any machine. The aim is 100 ms on two threads.

use std::path::Path;

use divan::counter::ItemsCount;
use equipment::Catalog;
use job::{Effort, Inputs, Silent, day, design, load, selection};
use quantity::Given;
use rayon::prelude::*;
use room::Room;
use roomsim::Record;

#[path = "../../roomsim/tests/common/mod.rs"]
mod common;

fn main() {
    divan::main();
}

/// Rooms whose units are not known, and one where they stand.
const ROOMS: [&str; 7] = [
    "demo/flower-2",
    "demo/drying-1",
    "leafy-farm/leafy-farm",
    "vine-room/vine-room",
    "propagation/propagation",
    "drying-room/drying-room",
    "flower-altitude/flower-altitude",
];

/// Room-days that a first look may cost at most.
const LIMIT_DAYS: usize = 400;

fn root() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
}

fn catalog() -> Catalog {
    let folder = std::fs::read_dir(root().join("catalog")).expect("the catalogue");
    let mut files: Vec<(String, String)> = folder
        .map(|entry| entry.expect("a file").path())
        .map(|path| {
            let text = std::fs::read_to_string(&path).expect("a text");
            (path.display().to_string(), text)
        })
        .collect();
    files.sort();
    Catalog::read(&files).expect("a catalogue")
}

fn room(name: &str) -> Room {
    let path = root().join("cases").join(format!("{name}.room.toml"));
    let text = |path: &Path| std::fs::read_to_string(path).expect("a text");
    let site = text(&path.with_file_name("site.toml"));
    Room::read(Some(("site.toml", &site)), ("room.toml", &text(&path))).expect("a room")
}

/// The room at air of a pressure that it did not have before: all tables of its
/// machines are made anew.
fn moved(room: &mut Room) {
    let now_pa = job::airs::pressure_pa(&room.site);
    let origin = room.site.altitude_m.origin.clone();
    room.site.pressure_pa = Some(Given {
        value: now_pa - 1.0,
        origin,
    });
}

/// The room with a longer lag of its sensor: no table changes.
fn edited(room: &mut Room) {
    room.control.sensor_lag_s.value += 0.01;
}

fn first_look(room: &Room, catalog: &Catalog) -> usize {
    let load = load::hourly(room, Effort::Preview).expect("a load");
    let found = selection::choose(room, &load, catalog, Effort::Preview, &Silent);
    let found = found.expect("a selection");
    let day = day::prove(room, &load, catalog, &found.design_set()).expect("a day");
    found.room_days + day.judged.held_days
}

/// The limit.
#[divan::bench]
fn plain_room_days(bencher: divan::Bencher<'_, '_>) {
    let mut setup = common::flowering_room();
    setup.run.warm_up_days = 0;
    setup.run.days = 1;
    roomsim::run(&setup, Record::Summary);
    bencher
        .counter(ItemsCount::new(LIMIT_DAYS))
        .bench_local(|| {
            (0..LIMIT_DAYS)
                .into_par_iter()
                .map(|_| roomsim::run(divan::black_box(&setup), Record::Summary))
                .map(|outcome| outcome.summary.energy.dehumidifiers_j)
                .sum::<f64>()
        });
}

/// Load, selection and day after an edit that leaves the machines alone.
#[divan::bench(args = ROOMS)]
fn after_an_edit(bencher: divan::Bencher<'_, '_>, name: &str) {
    let (mut room, catalog) = (room(name), catalog());
    bencher.bench_local(|| {
        edited(&mut room);
        first_look(divan::black_box(&room), &catalog)
    });
}

/// The same after one that changes every table of a machine.
#[divan::bench(args = ROOMS)]
fn all_machines_anew(bencher: divan::Bencher<'_, '_>, name: &str) {
    let (mut room, catalog) = (room(name), catalog());
    bencher.bench_local(|| {
        moved(&mut room);
        first_look(divan::black_box(&room), &catalog)
    });
}

/// All steps, places searched too, after an edit that leaves the machines alone.
#[divan::bench(args = ROOMS)]
fn whole_design(bencher: divan::Bencher<'_, '_>, name: &str) {
    let (mut room, catalog) = (room(name), catalog());
    let inputs = Inputs::default();
    bencher.bench_local(|| {
        edited(&mut room);
        design(&room, &catalog, &inputs, Effort::Preview, &Silent).expect("a design")
    });
}
