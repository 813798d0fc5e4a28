//! A first look at whole rooms, against the full run's recorded answers, and
//! what it says of itself.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::path::Path;

use common::{Sheet, catalog};
use job::{Effort, Selection, Silent, day, load, selection};
use room::{Room, Spare};

fn room(name: &str) -> Room {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../cases");
    let path = folder.join(format!("{name}.room.toml"));
    let text = |path: &Path| std::fs::read_to_string(path).unwrap();
    let site = text(&path.with_file_name("site.toml"));
    Room::read(Some(("site.toml", &site)), ("room.toml", &text(&path))).unwrap()
}

fn chosen(room: &Room, effort: Effort) -> Selection {
    let load = load::hourly(room, effort).unwrap();
    selection::choose(room, &load, catalog(), effort, &Silent).unwrap()
}

fn first_look(room: &Room) -> Selection {
    chosen(room, Effort::Preview)
}

/// A string of our own past output, `null` as `None`.
fn recorded(name: &str, result: &str) -> Option<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../cases");
    let text = std::fs::read_to_string(folder.join(name).join("expected.json")).unwrap();
    let (_, after) = text.split_once(&format!("\"result\": \"{result}\""))?;
    let (_, after) = after.split_once("\"was\": \"")?;
    Some(after.split_once('"')?.0.to_owned())
}

/// Units in words like "2 × generic-150 + 1 × generic-70".
fn count(words: &str) -> u32 {
    words
        .split(" + ")
        .map(|group| group.split_once(" × ").unwrap().0.parse::<u32>().unwrap())
        .sum()
}

#[test]
fn a_first_look_is_within_a_unit_of_the_full_run() {
    for name in [
        "leafy-farm",
        "flower-altitude",
        "vine-room",
        "propagation",
        "drying-room",
    ] {
        let room = room(&format!("{name}/{name}"));
        let selection = first_look(&room);
        let full = recorded(name, "chosen").unwrap();
        let found = selection.chosen.as_ref().unwrap();
        assert!(found.meets, "{name}");
        let words = found.judged.units.words();
        let apart = found.judged.units.count().abs_diff(count(&full));
        assert!(apart <= 1, "{name}: {words}, the full run {full}");
        // A day's answer for a second of waiting.
        assert!(selection.room_days < 150, "{}", selection.room_days);
    }
}

/// Rooms that the full run has no record of: those of the demonstration.
#[test]
fn a_first_look_is_within_a_unit_of_all_of_the_work() {
    for name in ["demo/flower-2", "demo/drying-1"] {
        let room = room(name);
        let (first, whole) = (first_look(&room), chosen(&room, Effort::Draft));
        let units = |s: &Selection| s.chosen.as_ref().unwrap().judged.units.count();
        assert!(units(&first).abs_diff(units(&whole)) <= 1, "{name}");
        assert!(4 * first.room_days < whole.room_days, "{name}");
    }
}

#[test]
fn a_first_look_says_that_it_is_one() {
    assert!(Effort::Full.left_out().is_none() && Effort::Draft.left_out().is_none());
    let said = Effort::Preview.left_out().unwrap();
    for left in [
        "first look",
        "runner-up",
        "one unit out",
        "measures",
        "full run",
    ] {
        assert!(said.contains(left), "{left}: {said}");
    }
    let selection = first_look(&Sheet::leafy().room());
    assert_eq!(selection.effort, Effort::Preview);
    // What was not done is not there, rather than there and empty of meaning.
    assert!(selection.runner_up.is_none() && selection.one_fewer.is_none());
    assert!(selection.measures.is_empty() && selection.errands.is_empty());
    let chosen = selection.chosen.unwrap();
    assert!(chosen.one_unit_out.is_none() && chosen.without_coil_water.is_none());
    assert!(selection.binding.is_some());
}

#[test]
fn a_spare_is_looked_for_at_a_first_look_too() {
    let spare = Sheet::leafy().set("selection", "spare", "\"one unit out\"");
    let (usual, spare) = (
        first_look(&Sheet::leafy().room()),
        first_look(&spare.room()),
    );
    assert_eq!(spare.spare, Spare::OneUnitOut);
    let (usual, spare) = (usual.chosen.unwrap(), spare.chosen.unwrap());
    assert!(usual.judged.units.count() < spare.judged.units.count());
    assert!(0.9 <= spare.one_unit_out.unwrap().held_share());
}

/// Units that hold leave nothing to look for; those that do not are answered
/// with a set to install.
#[test]
fn units_present_are_judged_first() {
    let with = |count: usize| {
        let units = (1..=count)
            .map(|i| format!("[[unit]]\ntag = \"D{i}\"\nmodel = \"generic-30\"\n"))
            .collect::<String>();
        first_look(&Sheet::leafy().and(&units).room())
    };
    let enough = with(4);
    assert!(enough.present.as_ref().unwrap().meets && !enough.searched());
    assert!(enough.chosen.is_none() && enough.candidates.is_empty());
    assert!(enough.findings.iter().all(|f| f.check != "no_set_holds"));
    let few = with(1);
    assert!(!few.present.as_ref().unwrap().meets && few.searched());
    assert!(few.chosen.is_some());
    assert!(enough.room_days < few.room_days);
}

#[test]
fn a_first_look_that_finds_none_shows_what_falls_short() {
    let one = Sheet::leafy().set("selection", "max_count", "1").set(
        "selection",
        "models",
        "[\"generic-30\"]",
    );
    let selection = first_look(&one.room());
    assert!(selection.chosen.is_none());
    assert_eq!(selection.candidates.len(), 1);
    assert!(selection.findings.iter().any(|f| f.check == "no_set_holds"));
}

#[test]
fn threads_do_not_change_a_first_look() {
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        pool.unwrap().install(|| {
            let room = room("vine-room/vine-room");
            let load = load::hourly(&room, Effort::Preview).unwrap();
            let selection =
                selection::choose(&room, &load, catalog(), Effort::Preview, &Silent).unwrap();
            let day = day::prove(&room, &load, catalog(), &selection.design_set()).unwrap();
            (selection, day)
        })
    };
    let ((one, one_day), (four, four_day)) = (with(1), with(4));
    assert_eq!(one.candidates, four.candidates);
    assert_eq!(one.room_days, four.room_days);
    assert_eq!(one.binding, four.binding);
    assert_eq!(one_day.judged, four_day.judged);
    assert_eq!(one_day.spread, four_day.spread);
}

/// The day of a first look is that of the full run to within what coarse tables
/// and a shared start do: the typical day's humidity and electricity.
#[test]
fn the_day_of_a_first_look_is_near_that_of_a_draft() {
    let room = room("leafy-farm/leafy-farm");
    let draft = load::hourly(&room, Effort::Draft).unwrap();
    let first = load::hourly(&room, Effort::Preview).unwrap();
    assert_eq!(first.draws, draft.draws);
    let set = job::UnitSet::of("generic-70", 4);
    let day = |load: &job::Load| day::prove(&room, load, catalog(), &set).unwrap();
    let (first, draft) = (day(&first), day(&draft));
    for period in roomsim::Period::ALL {
        let mean = |day: &job::Day| day.summary.period(period).mean_rel_humidity;
        let (a, b) = (mean(&first), mean(&draft));
        assert!((a - b).abs() < 0.02, "{period:?}: {a} {b}");
    }
    assert!(first.judged.held_days.abs_diff(draft.judged.held_days) <= 2);
}
