//! What rooms share, added up.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::catalog;
use exmex::Express;
use job::placement::place;
use job::shared::{InRoom, Shared, shared};
use job::{Drain, Power, UnitSet, drain, power};
use quantity::Equation;
use room::Room;

/// A room with its circuits and drains.
struct Planned {
    room: Room,
    power: Power,
    drain: Drain,
}

fn planned(name: &str, more: &str) -> Planned {
    let text = format!(
        "[room]\nname = \"{name}\"\nlength = \"10 m\"\nwidth = \"7 m\"\nheight = \"4 m\"\n\
         [crop]\nkind = \"tall flowering\"\ncanopy = \"40 m2\"\n\
         [light]\npower = \"8 kW\"\non = \"06:00\"\nphotoperiod = \"12 h\"\n[target.lights_on]\ndry_bulb = \"24..27 °C\"\nrh = \"50..60 %\"\n{more}"
    );
    let room = Room::read(None, (name, &text)).unwrap_or_else(|p| panic!("{p}"));
    let placed = place(&room, catalog(), &UnitSet::of("generic-70", 2)).unwrap();
    Planned {
        power: power::feed(&room, catalog(), &placed).unwrap(),
        drain: drain::route(&room, catalog(), &placed).unwrap(),
        room,
    }
}

fn panel(name: &str, main: &str) -> String {
    format!(
        "[[panel]]\nname = \"{name}\"\nat = [\"0 m\", \"3 m\", \"1.5 m\"]\nvoltage = \"240 V\"\nphases = 1\n{main}"
    )
}

fn floor(main: &str) -> String {
    format!("[[drain]]\nat = [\"9 m\", \"3 m\", \"0 m\"]\n{main}")
}

fn of(rooms: &[Planned]) -> Shared {
    let rooms: Vec<InRoom> = rooms
        .iter()
        .map(|p| InRoom {
            room: &p.room,
            power: &p.power,
            drain: &p.drain,
        })
        .collect();
    shared(&rooms)
}

fn names(shared: &Shared) -> Vec<&str> {
    shared.findings.iter().map(|f| f.check.as_ref()).collect()
}

#[test]
fn rooms_that_share_nothing_add_up_to_nothing() {
    let rooms = [
        planned(
            "A",
            &(panel("LP-1", "main = \"60 A\"\n") + &floor("main = \"north\"\n")),
        ),
        planned(
            "B",
            &(panel("LP-2", "main = \"60 A\"\n") + &floor("main = \"south\"\n")),
        ),
        planned("C", &floor("")),
    ];
    assert_eq!(of(&rooms), Shared::default());
    assert_eq!(of(&[]), Shared::default());
    assert_eq!(of(&rooms[..1]), Shared::default());
}

/// Two rooms of two equal motors: four full loads and a quarter of the largest
/// on both legs of a single-phase panel (NEC 430.24, recalled).
#[test]
fn a_panel_carries_the_loads_of_all_its_rooms() {
    let other = "[[circuit]]\nname = \"fans\"\npanel = \"LP-1\"\ncurrent = \"8 A\"\n";
    let with = |main_a: f64| {
        let main = format!("main = \"{main_a} A\"\n");
        // The same load in both files is one load.
        of(&[
            planned("A", &(panel("LP-1", &main) + other)),
            planned("B", &(panel("LP-1", &main) + other)),
        ])
    };
    let found = with(400.0);
    let [shared] = &found.panels[..] else {
        panic!("{:?}", found.panels);
    };
    assert_eq!(shared.rooms, ["A", "B"]);
    let full_load_a = planned("A", &panel("LP-1", "")).power.branches[0]
        .plate
        .full_load_a;
    let expected_a = 1.25 * 8.0 + 4.25 * full_load_a;
    assert!((shared.schedule.fullest_a() - expected_a).abs() < 1e-9);
    assert!(shared.alone_a.iter().all(|a| *a < expected_a));
    assert_eq!(shared.schedule.rows.len(), 5);

    // Each room alone passes at a main that both together exceed.
    let just = expected_a.ceil();
    assert!(!names(&with(just)).contains(&"panel_overloaded"));
    let over = with(expected_a.floor());
    assert!(names(&over).contains(&"panel_overloaded"));
    assert!(shared.alone_a.iter().all(|a| *a < expected_a.floor()));

    // Four equal delays start together, whatever the rooms.
    assert_eq!(shared.restart.events[0].tags.len(), 4);
    assert!(names(&found).contains(&"starts_together"));
}

#[test]
fn a_panel_that_room_files_tell_differently_is_found() {
    let with = |volts: &str, main_a: &str| {
        let b = panel("LP-1", &format!("main = \"{main_a} A\"\n")).replace("240 V", volts);
        let rooms = [
            planned("A", &panel("LP-1", "main = \"400 A\"\n")),
            planned("B", &b),
        ];
        let found = of(&rooms);
        let differs = names(&found)
            .into_iter()
            .filter(|n| *n == "panel_told_differently");
        differs.count()
    };
    assert_eq!(with("240 V", "400"), 0);
    assert_eq!(with("240 V", "399"), 1);
    assert_eq!(with("208 V", "399"), 2);
}

/// Two rooms of two units each join a main: flows add up; the size follows the
/// table of the plumbing code (20 tons on 3/4 in).
#[test]
fn a_drain_main_takes_the_water_of_all_its_rooms() {
    let with = |size: &str| {
        let join = format!("main = \"north\"\n{size}");
        of(&[planned("A", &floor(&join)), planned("B", &floor(&join))])
    };
    let found = with("main_size = \"0.75 in\"\n");
    let [main] = &found.mains[..] else {
        panic!("{:?}", found.mains);
    };
    let alone = planned("A", &floor("")).drain;
    let sum = 2.0
        * alone
            .runs
            .iter()
            .map(|r| r.demand.flow_kg_per_s)
            .sum::<f64>();
    assert!(0.0 < sum && (main.demand.flow_kg_per_s - sum).abs() < 1e-12);
    assert!((main.day_kg - 2.0 * alone.runs[0].day_kg).abs() < 1e-9);
    assert_eq!(names(&found), [""; 0]);
    assert_eq!(names(&with("main_size = \"0.7 in\"\n")), ["main_too_small"]);
    assert_eq!(names(&with("")), ["main_size_unknown"]);
}

#[test]
fn workings_give_what_they_say() {
    let join =
        floor("main = \"north\"\nmain_size = \"2 in\"\n") + &panel("LP-1", "main = \"200 A\"\n");
    let found = of(&[planned("A", &join), planned("B", &join)]);
    assert_eq!(found.workings.len(), 2);
    let mut evaluated = 0;
    for working in &found.workings {
        let Equation::Algebra(text) = &working.equation else {
            continue;
        };
        let parsed = exmex::parse::<f64>(text).unwrap();
        let values: Vec<f64> = parsed
            .var_names()
            .iter()
            .map(|v| {
                let input = working.inputs.iter().find(|i| i.symbol == v.as_str());
                input.unwrap().value.si
            })
            .collect();
        let got = parsed.eval(&values).unwrap();
        assert!((got - working.result.si).abs() <= 1e-12 * got.abs());
        evaluated += 1;
    }
    assert_eq!(evaluated, 1);
}

/// Four equal units on one generator: what starts together is the sum of both
/// rooms' starts, and the dip grows with it.
#[test]
fn a_generator_carries_the_starts_of_all_its_rooms() {
    let set = |rating: &str, name: &str| {
        panel("LP-1", "main = \"400 A\"\n") + &format!("[generator]\nrating = \"{rating}\"\n{name}")
    };
    let found = of(&[
        planned("A", &set("60 kVA", "")),
        planned("B", &set("60 kVA", "")),
    ]);
    let [shared] = &found.generators[..] else {
        panic!("{:?}", found.generators);
    };
    assert_eq!(shared.rooms, ["A", "B"]);
    let alone = planned("A", &set("60 kVA", "")).power.generator.unwrap();
    assert!((shared.start.start_va - 2.0 * alone.start_va).abs() < 1e-6);
    assert!((shared.start.dip - 2.0 * alone.dip).abs() < 1e-9);
    assert!((shared.start.running_va - 2.0 * alone.running_va).abs() < 1e-6);
    assert_eq!(shared.start.one_start_va, alone.one_start_va);

    // Just large enough for one room's start, too small for both.
    let just_kva = alone.start_va * alone.reactance / 0.15 / 1000.0 + 0.1;
    let rating = format!("{just_kva:.1} kVA");
    let each = planned("A", &set(&rating, ""));
    let dips = |p: &Power| p.findings.iter().any(|f| f.check == "generator_dips");
    assert!(!dips(&each.power));
    let both = of(&[each, planned("B", &set(&rating, ""))]);
    assert!(names(&both).contains(&"generator_dips"));

    // Two names are two generators; two ratings of one name are told.
    let two = of(&[
        planned("A", &set("60 kVA", "name = \"north\"\n")),
        planned("B", &set("60 kVA", "name = \"south\"\n")),
    ]);
    assert!(two.generators.is_empty());
    let unlike = of(&[
        planned("A", &set("60 kVA", "")),
        planned("B", &set("80 kVA", "")),
    ]);
    assert!(names(&unlike).contains(&"generator_told_differently"));
}
