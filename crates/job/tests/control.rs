//! Control wiring: sizes against what is published and computed elsewhere,
//! the landings of a bus, the as-wired list, and each check at its limit.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::{Sheet, catalog, says};
use equipment::{Catalog, ControlFamily, Role};
use job::control::{
    Control, DeviceKind, Setting, WiringFault, check_as_wired, ground_shift_v, longest_cable_m,
    read_as_wired, resistance_ohm_per_m, wire,
};
use job::placement::place;
use job::{JobError, Placement, UnitSet};
use quantity::{Finding, Severity};
use room::Room;

/// The small room with units of these models in a row, D1, D2 …
fn sheet(models: &[&str]) -> Sheet {
    let mut sheet = Sheet::leafy();
    for (i, model) in models.iter().enumerate() {
        let (tag, x_m) = (i + 1, 1.0 + 1.2 * i as f64);
        sheet = sheet.and(&format!(
            "[[unit]]\ntag = \"D{tag}\"\nmodel = \"{model}\"\nat = [\"{x_m} m\", \"2 m\", \"3 m\"]\nfacing = \"+y\""
        ));
    }
    sheet
}

fn placed(models: &[&str]) -> Placement {
    place(&sheet(models).room(), catalog(), &UnitSet::EMPTY).unwrap()
}

fn wired_in(room: &Room, catalog: &Catalog, models: &[&str]) -> Control {
    let control = wire(room, catalog, &placed(models)).unwrap();
    control.findings.iter().for_each(says);
    control
}

fn wired(models: &[&str]) -> Control {
    wired_in(&Sheet::leafy().room(), catalog(), models)
}

fn pairs(list: &[(&str, &str)]) -> Vec<(String, String)> {
    list.iter()
        .map(|(a, b)| ((*a).to_owned(), (*b).to_owned()))
        .collect()
}

fn names(findings: &[Finding]) -> Vec<&str> {
    findings.iter().map(|f| f.check.as_ref()).collect()
}

fn count(control: &Control, check: &str) -> usize {
    control.findings.iter().filter(|f| f.check == check).count()
}

mod published {
    use super::*;

    /// NFPA 70, chapter 9, table 8: solid uncoated copper at 75 °C, ohm per
    /// 1000 ft, read second hand. The table prints its areas to three digits,
    /// ±5 of 1620 circular mils: 0.3 %.
    #[test]
    fn resistance_of_copper_wire_is_that_of_table_8() {
        const PER_KFT: f64 = 304.8;
        for (gauge, printed) in [(18, 7.77), (16, 4.89), (14, 3.07), (12, 1.93)] {
            let r = PER_KFT * resistance_ohm_per_m(gauge, 75.0);
            assert!((r / printed - 1.0).abs() <= 0.003, "{gauge} AWG: {r}");
        }
    }
}

mod cross {
    use super::*;
    use job::control::{GAUGES, wire_diameter_m};

    /// Diameters to 0.1 µm and resistances to 0.01 %, computed apart from this
    /// program with the rounded resistivity 17.241.
    #[test]
    fn wire_of_each_gauge() {
        let mut reader = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .from_reader(include_str!("cross/power_wire.csv").as_bytes());
        let mut seen = Vec::new();
        for row in reader.records() {
            let row: Vec<f64> = row.unwrap().iter().map(|x| x.parse().unwrap()).collect();
            let gauge = row[0] as u32;
            let d_mm = 1000.0 * wire_diameter_m(gauge);
            assert!((d_mm - row[1]).abs() <= 0.000_051, "{gauge} AWG: {d_mm}");
            for (t_c, expected) in [(20.0, row[3]), (75.0, row[4])] {
                let r = 1000.0 * resistance_ohm_per_m(gauge, t_c);
                // The last digit printed, and the rounded resistivity.
                assert!(
                    (r - expected).abs() <= 0.000_51 + 1e-4 * expected,
                    "{gauge} AWG: {r}"
                );
            }
            seen.push(gauge);
        }
        assert!(GAUGES.iter().all(|g| seen.contains(g)), "{seen:?}");
    }
}

mod derived {
    use super::*;

    /// Reach for 2.4 V at 40 °C, computed apart from this program, 1 %.
    #[test]
    fn reach_of_control_cable() {
        for (current_a, reach_m) in [
            (0.25, [(22, 84.0), (20, 134.0), (18, 212.0)]),
            (0.1, [(22, 210.0), (20, 334.0), (18, 531.0)]),
        ] {
            for (gauge, expected_m) in reach_m {
                let l_m = longest_cable_m(2.4, resistance_ohm_per_m(gauge, 40.0), current_a);
                assert!((l_m / expected_m - 1.0).abs() < 0.01, "{gauge} AWG: {l_m}");
            }
        }
    }

    /// 0.15 A over 60 m of 20 AWG at 40 °C, 35.93 ohm/km: 0.323 V.
    #[test]
    fn shift_of_a_reference() {
        let r = resistance_ohm_per_m(20, 40.0);
        assert!((1000.0 * r - 35.93).abs() < 0.005, "{r}");
        assert!((ground_shift_v(r, 60.0, 0.15) - 0.323).abs() < 0.0005);
    }

    /// Of the 24 ways to land four conductors one is right, one has the data
    /// swapped, one the supply, one both, and twenty put supply on data: twelve
    /// the positive, eight the negative alone.
    #[test]
    fn every_landing_of_a_four_conductor_bus() {
        let control = wired(&["generic-90-cold"]);
        let from = ["D1:V+", "D1:V-", "D1:D+", "D1:D-"];
        let to = ["C1:PWR+", "C1:PWR-", "C1:TX+", "C1:TX-"];
        let others: Vec<(String, String)> = control
            .as_designed()
            .into_iter()
            .filter(|(a, b)| from.iter().all(|f| f != a && f != b))
            .collect();
        let mut split = [0_usize; 6];
        for landing in 0..24_usize {
            let mut left: Vec<usize> = vec![0, 1, 2, 3];
            let order = [
                left.remove(landing / 6),
                left.remove(landing / 2 % 3),
                left.remove(landing % 2),
                left[0],
            ];
            let mut wires: Vec<(String, String)> = from
                .iter()
                .zip(order)
                .map(|(f, i)| ((*f).to_owned(), to[i].to_owned()))
                .collect();
            wires.extend(others.clone());
            let found = check_as_wired(&control, &wires);
            found.iter().for_each(says);
            let has = |check: &str| found.iter().any(|f| f.check == check);
            let stop = found.iter().any(|f| f.severity == Severity::Stop);
            let plus = has("supply_plus_on_data_pin");
            let minus = has("supply_minus_on_data_pin");
            let reversed = has("supply_reversed");
            let swapped = has("data_swapped");
            let kind = match (plus, minus, reversed, swapped) {
                (true, ..) => 4,
                (false, true, ..) => 5,
                (false, false, true, true) => 3,
                (false, false, true, false) => 2,
                (false, false, false, true) => 1,
                (false, false, false, false) => 0,
            };
            split[kind] += 1;
            assert_eq!(stop, 2 <= kind, "{order:?} {found:?}");
            assert_eq!(found.is_empty(), kind == 0, "{order:?} {found:?}");
        }
        assert_eq!(split, [1, 1, 1, 1, 12, 8]);
    }
}

// --- the net list ---

#[test]
fn terminals_are_joined_by_name_at_both_ends() {
    let control = wired(&[
        "generic-90-cold",
        "generic-90-cold",
        "generic-150",
        "generic-70",
    ]);
    let of = |end: &job::control::End| {
        control
            .device(&end.device)
            .unwrap()
            .terminal(&end.terminal)
            .unwrap()
            .role
            .unwrap()
    };
    for net in &control.nets {
        assert!(2 <= net.ends.len(), "{net:?}");
        let numbers: Vec<u32> = control
            .wires
            .iter()
            .filter(|w| net.ends.contains(&w.from) || net.ends.contains(&w.to))
            .map(|w| w.net)
            .collect();
        assert!(numbers.iter().all(|n| *n == net.number), "{net:?}");
    }
    for wire in &control.wires {
        let (a, b) = (of(&wire.from), of(&wire.to));
        let polar = |r| {
            matches!(
                r,
                Role::SupplyPlus | Role::SupplyMinus | Role::DataPlus | Role::DataMinus
            )
        };
        if polar(a) || polar(b) {
            assert_eq!(a, b, "{wire:?}");
        }
    }
}

#[test]
fn one_unit_alone_feeds_a_bus() {
    let control = wired(&["generic-90-cold"; 3]);
    let plus: Vec<_> = control
        .nets
        .iter()
        .filter(|n| n.signal == "supply +")
        .collect();
    assert_eq!(plus.len(), 1);
    assert_eq!(plus[0].ends.len(), 2);
    let data = control.nets.iter().find(|n| n.signal == "data +").unwrap();
    assert_eq!(data.ends.len(), 4);
}

#[test]
fn families_have_each_their_controller() {
    let models = [
        "generic-90-cold",
        "generic-150",
        "generic-70",
        "generic-200",
        "generic-250",
        "generic-30",
    ];
    let control = wired(&models);
    assert_eq!(control.assignment.on_board, ["D6"]);
    assert!(control.assignment.unserved.is_empty());
    let served: usize = control
        .assignment
        .served
        .iter()
        .map(|s| s.units.len())
        .sum();
    assert_eq!(served, 5);
    assert!(count(&control, "controller_chosen") >= 3);
    assert!(
        control
            .findings
            .iter()
            .all(|f| f.severity != Severity::Stop),
        "{:?}",
        control.findings
    );
    assert!(check_as_wired(&control, &control.as_designed()).is_empty());
    assert!(!control.parts.is_empty());
    assert_eq!(control, wired(&models));
}

/// The demonstration shows three families of control. That a full run ends at
/// these sets, `app/tests/demo.rs` says.
#[test]
fn the_demonstration_shows_three_families() {
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../cases/demo");
    let text = |name: &str| std::fs::read_to_string(demo.join(name)).unwrap();
    let site = text("site.toml");
    let sets = [
        ("flower-2", "generic-70", 3, ControlFamily::DryContact),
        ("drying-1", "generic-30", 3, ControlFamily::OnBoard),
        ("veg-1", "generic-150", 1, ControlFamily::DataPair),
    ];
    for (name, model, count, family) in sets {
        let text = text(&format!("{name}.room.toml"));
        let room = Room::read(Some(("site.toml", &site)), (name, &text)).unwrap();
        let placed = place(&room, catalog(), &UnitSet::of(model, count)).unwrap();
        let control = wire(&room, catalog(), &placed).unwrap();
        let units = control
            .devices
            .iter()
            .filter(|d| d.kind == DeviceKind::Unit);
        for unit in units {
            assert_eq!(unit.family, Some(family), "{name}: {}", unit.tag);
        }
        let stops = control
            .findings
            .iter()
            .filter(|f| f.severity == Severity::Stop);
        assert_eq!(stops.count(), 0, "{name}");
    }
}

#[test]
fn more_units_than_relays_take_a_second_controller() {
    let control = wired(&["generic-70"; 5]);
    let units: Vec<usize> = control
        .assignment
        .served
        .iter()
        .map(|s| s.units.len())
        .collect();
    assert_eq!(units, [4, 1]);
    let floats = control
        .devices
        .iter()
        .filter(|d| d.tag.starts_with("FS-"))
        .count();
    assert_eq!(floats, 5);
    // Two alarm inputs on each controller.
    assert_eq!(control.alarms_unwatched.len(), 2);
}

// --- as wired ---

const MIXED: [&str; 7] = [
    "generic-90-cold",
    "generic-90-cold",
    "generic-150",
    "generic-150",
    "generic-70",
    "generic-250",
    "generic-250",
];

#[test]
fn the_right_wiring_gives_no_finding_in_any_order() {
    let control = wired(&MIXED);
    let mut wires = control.as_designed();
    assert!(check_as_wired(&control, &wires).is_empty());
    wires.reverse();
    for wire in &mut wires {
        std::mem::swap(&mut wire.0, &mut wire.1);
    }
    assert!(check_as_wired(&control, &wires).is_empty());
    // A pair without polarity may be turned at a device.
    let turned: Vec<(String, String)> = wires
        .iter()
        .map(|(a, b)| {
            let turn = |t: &String| match t.as_str() {
                "D4:D1" => "D4:D2".to_owned(),
                "D4:D2" => "D4:D1".to_owned(),
                _ => t.clone(),
            };
            (turn(a), turn(b))
        })
        .collect();
    assert_ne!(turned, wires);
    assert!(check_as_wired(&control, &turned).is_empty());
}

/// Which terminals are one, as sorted lists: another way to the same answer.
fn sets(wires: &[(String, String)]) -> Vec<Vec<String>> {
    let mut sets: Vec<Vec<String>> = Vec::new();
    for (a, b) in wires {
        let mut merged = vec![a.clone(), b.clone()];
        sets.retain(|s| {
            let meets = s.iter().any(|t| merged.contains(t));
            if meets {
                merged.extend(s.iter().cloned());
            }
            !meets
        });
        merged.sort();
        merged.dedup();
        sets.push(merged);
    }
    sets.sort();
    sets
}

#[test]
fn every_wrong_exchange_of_two_ends_is_found() {
    // A bus has polarity throughout: each exchange between nets is wrong.
    let control = wired(&["generic-90-cold"; 3]);
    let right = control.as_designed();
    let mut tried = 0;
    for i in 0..right.len() {
        for j in i + 1..right.len() {
            for both in [false, true] {
                let mut wires = right.clone();
                let other = if both {
                    wires[j].0.clone()
                } else {
                    wires[j].1.clone()
                };
                let mine = std::mem::replace(&mut wires[i].1, other);
                if both {
                    wires[j].0 = mine;
                } else {
                    wires[j].1 = mine;
                }
                let found = check_as_wired(&control, &wires);
                found.iter().for_each(says);
                // The third unit's switch is on no terminal that has two sides here.
                assert_eq!(
                    found.is_empty(),
                    sets(&wires) == sets(&right) && wires.iter().all(|(a, b)| a != b),
                    "{wires:?} {found:?}"
                );
                tried += 1;
            }
        }
    }
    assert!(100 < tried, "{tried}");
}

/// The two sides of each contact, switch and pair without polarity.
fn two_sided(control: &Control) -> Vec<[String; 2]> {
    let mut found = Vec::new();
    for d in &control.devices {
        for (i, a) in d.terminals.iter().enumerate() {
            for b in &d.terminals[i + 1..] {
                let turns = !matches!(
                    a.role,
                    None | Some(Role::SupplyPlus | Role::DataPlus | Role::Signal)
                );
                if turns && a.role == b.role && a.group == b.group {
                    found.push([a, b].map(|t| format!("{}:{}", d.tag, t.mark)));
                }
            }
        }
    }
    found
}

/// Whether wiring joins what the design joins once at most two of these are
/// turned round.
fn alike(wires: &[(String, String)], right: &[Vec<String>], turns: &[[String; 2]]) -> bool {
    let turned = |turn: &[&[String; 2]]| {
        let name = |t: &String| {
            turn.iter().fold(t.clone(), |t, [a, b]| match t {
                t if t == *a => b.clone(),
                t if t == *b => a.clone(),
                t => t,
            })
        };
        let wires: Vec<(String, String)> = wires.iter().map(|(a, b)| (name(a), name(b))).collect();
        sets(&wires) == right
    };
    turned(&[])
        || turns
            .iter()
            .enumerate()
            .any(|(i, a)| turned(&[a]) || turns[i + 1..].iter().any(|b| turned(&[a, b])))
}

#[test]
fn an_exchange_that_no_finding_tells_joins_the_same() {
    let control = wired(&MIXED);
    let right = control.as_designed();
    let joined = sets(&right);
    let turns = two_sided(&control);
    let (mut silent, mut told) = (0, 0);
    for i in 0..right.len() {
        for j in i + 1..right.len() {
            let mut wires = right.clone();
            let other = wires[j].1.clone();
            wires[j].1 = std::mem::replace(&mut wires[i].1, other);
            if check_as_wired(&control, &wires).is_empty() {
                assert!(
                    alike(&wires, &joined, &turns),
                    "{:?} {:?}",
                    right[i],
                    right[j]
                );
                silent += 1;
            } else {
                assert_ne!(sets(&wires), joined, "{:?} {:?}", right[i], right[j]);
                told += 1;
            }
        }
    }
    // Two sides of one contact may change over; hardly anything else may.
    assert!(0 < silent && 10 * silent < told, "{silent} {told}");
}

#[test]
fn every_conductor_left_out_doubled_or_sent_astray_is_found() {
    let control = wired(&MIXED);
    let right = control.as_designed();
    for i in 0..right.len() {
        let mut fewer = right.clone();
        fewer.remove(i);
        let found = check_as_wired(&control, &fewer);
        assert_eq!(found.len(), 1, "{:?}: {found:?}", right[i]);
        let mut more = right.clone();
        more.push(right[i].clone());
        assert_eq!(names(&check_as_wired(&control, &more)), ["doubled"]);
        let mut astray = right.clone();
        astray[i].1 = "D9:V+".into();
        let found = check_as_wired(&control, &astray);
        assert!(names(&found).contains(&"unknown_terminal"), "{found:?}");
    }
    let bare = check_as_wired(&control, &[]);
    let expected: usize = control.nets.iter().map(|n| n.ends.len() - 1).sum();
    assert_eq!(bare.len(), expected);
}

#[test]
fn harm_is_told_before_power_goes_on() {
    let control = wired(&MIXED);
    for (a, b, check) in [
        ("D1:V+", "C1:TX+", "supply_plus_on_data_pin"),
        ("D1:V-", "D2:D-", "supply_minus_on_data_pin"),
        ("D1:V+", "C1:PWR-", "supply_reversed"),
        ("D1:V+", "D1:V-", "supply_shorted"),
        ("D1:V+", "D2:V+", "two_supplies_joined"),
        ("D3:D1", "D5:1", "voltage_into_contact_input"),
        ("D1:V+", "D5:2", "voltage_into_contact_input"),
        ("D3:D1", "FS-D3:1", "voltage_on_float_switch"),
        ("D3:D1", "D3:D2", "supply_shorted"),
        ("D3:D2", "D6:Y", "supply_on_signal"),
    ] {
        let mut wires = control.as_designed();
        wires.push((a.into(), b.into()));
        let found = check_as_wired(&control, &wires);
        let stop = found
            .iter()
            .find(|f| f.check == check && f.severity == Severity::Stop);
        assert!(stop.is_some(), "{a} - {b}: {:?}", names(&found));
    }
}

#[test]
fn an_alarm_left_off_is_a_note() {
    let control = wired(&["generic-70"]);
    let wires: Vec<_> = control
        .as_designed()
        .into_iter()
        .filter(|(a, b)| a != "D1:3" && b != "D1:3")
        .collect();
    let found = check_as_wired(&control, &wires);
    assert_eq!(names(&found), ["alarm_not_wired"]);
    assert_eq!(found[0].severity, Severity::Note);
}

#[test]
fn any_wiring_is_judged_without_a_fall() {
    let control = wired(&MIXED);
    let all: Vec<String> = control
        .devices
        .iter()
        .flat_map(|d| d.terminals.iter().map(|t| format!("{}:{}", d.tag, t.mark)))
        .chain(["", ":", "D1", "D1:", "ü:ß", "D1:V+:"].map(String::from))
        .collect();
    // A plain congruential sequence: the same wirings each time.
    let mut seed = 7_u64;
    let mut next = |n: usize| {
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as usize % n
    };
    for _ in 0..300 {
        let wires: Vec<(String, String)> = (0..next(40))
            .map(|_| (all[next(all.len())].clone(), all[next(all.len())].clone()))
            .collect();
        let found = check_as_wired(&control, &wires);
        found.iter().for_each(says);
        assert!(!found.is_empty());
    }
    assert!(check_as_wired(&Control::default(), &[]).is_empty());
}

#[test]
fn an_as_wired_list_is_read_with_dashes_or_commas() {
    let text =
        "# F2, north end\nD1:V+ - C1:PWR+\n\n  D1:V-,C1:PWR-  # white\n\"D1:D+\", \"C1:TX+\"\r\n";
    assert_eq!(
        read_as_wired(text).unwrap(),
        pairs(&[
            ("D1:V+", "C1:PWR+"),
            ("D1:V-", "C1:PWR-"),
            ("D1:D+", "C1:TX+")
        ])
    );
    assert_eq!(
        read_as_wired("from,to\nA:1,B:2\n").unwrap(),
        pairs(&[("A:1", "B:2")])
    );
    let faults: Vec<WiringFault> =
        read_as_wired("D1:V+ - C1:PWR+\nD1:V-\nD1 - C1:1\na:1,b:2,c:3\n").unwrap_err();
    let lines: Vec<usize> = faults.iter().map(|f| f.line).collect();
    assert_eq!(lines, [2, 3, 4]);
    for fault in &faults {
        let said = fault.to_string();
        assert!(
            said.contains("allowed:") && said.contains(&fault.read),
            "{said}"
        );
    }
}

#[test]
fn the_list_that_is_printed_is_read_back() {
    let control = wired(&MIXED);
    let text: String = control
        .as_designed()
        .iter()
        .map(|(a, b)| format!("{a} - {b}\n"))
        .collect();
    assert_eq!(read_as_wired(&text).unwrap(), control.as_designed());
}

// --- checks, each to both sides of its limit ---

fn with_controllers(models: &[&str], controllers: &[(&str, &str)]) -> Control {
    let mut sheet = sheet(models);
    for (i, (model, more)) in controllers.iter().enumerate() {
        sheet = sheet.and(&format!(
            "[[controller]]\ntag = \"K{}\"\nmodel = \"{model}\"\n{more}",
            i + 1
        ));
    }
    wired_in(&sheet.room(), catalog(), models)
}

const BUS: &str = "generic-bus-remote";

#[test]
fn a_controller_of_the_room_file_is_kept() {
    let at = "at = [\"0 m\", \"1 m\", \"1.5 m\"]";
    let control = with_controllers(&["generic-90-cold"; 2], &[(BUS, at)]);
    assert_eq!(control.assignment.served.len(), 1);
    assert_eq!(control.assignment.served[0].controller, "K1");
    assert_eq!(control.assignment.served[0].units, ["D1", "D2"]);
    assert_eq!(count(&control, "controller_chosen"), 0);
    // What it does not fit is left to one of the catalogue.
    let control = with_controllers(&["generic-90-cold", "generic-150"], &[(BUS, at)]);
    assert_eq!(control.assignment.served[1].units, ["D2"]);
    assert_eq!(count(&control, "controller_chosen"), 1);
}

#[test]
fn tags_that_a_controller_serves_are_held_against_the_units() {
    let models = ["generic-90-cold", "generic-150", "generic-30"];
    let control = with_controllers(&models, &[(BUS, "serves = [\"D1\"]")]);
    assert_eq!(count(&control, "serves_unknown_unit"), 0);
    assert_eq!(count(&control, "controller_does_not_fit"), 0);
    // One of another family, one with a humidistat of its own.
    let control = with_controllers(&models, &[(BUS, "serves = [\"D1\", \"D2\", \"D3\"]")]);
    assert_eq!(count(&control, "controller_does_not_fit"), 1);
    assert_eq!(count(&control, "serves_unknown_unit"), 1);
    assert_eq!(
        control.assignment.unknown,
        [("K1".to_owned(), "D3".to_owned())]
    );
}

#[test]
fn a_unit_served_twice_is_told() {
    for (second, times) in [("serves = [\"D2\"]", 0), ("serves = [\"D1\", \"D2\"]", 1)] {
        let control = with_controllers(
            &["generic-90-cold"; 2],
            &[(BUS, "serves = [\"D1\"]"), (BUS, second)],
        );
        assert_eq!(count(&control, "unit_served_twice"), times);
        assert!(check_as_wired(&control, &control.as_designed()).is_empty());
        // It is wired to the first of the two, once.
        let on: Vec<&str> = control
            .wires
            .iter()
            .filter(|w| w.signal == "data +" && (w.to.device == "D1" || w.from.device == "D1"))
            .map(|w| w.from.device.as_str())
            .collect();
        assert_eq!(on, ["K1"]);
    }
}

#[test]
fn six_units_on_a_bus_pass_and_seven_do_not() {
    for (n, times) in [(6, 0), (7, 1)] {
        let tags: Vec<String> = (1..=n).map(|i| format!("\"D{i}\"")).collect();
        let serves = format!("serves = [{}]", tags.join(", "));
        let control = with_controllers(&vec!["generic-90-cold"; n], &[(BUS, &serves)]);
        assert_eq!(count(&control, "serves_more_than_it_can"), times, "{n}");
    }
}

#[test]
fn a_family_without_a_controller_is_told() {
    let mut bare = catalog().clone();
    bare.controllers.clear();
    let control = wired_in(
        &Sheet::leafy().room(),
        &bare,
        &["generic-150", "generic-30"],
    );
    assert_eq!(control.assignment.unserved, ["D1"]);
    assert_eq!(count(&control, "no_controller_fits"), 1);
    assert_eq!(count(&wired(&["generic-150"]), "no_controller_fits"), 0);
    let room = Sheet::leafy()
        .and("[[controller]]\ntag = \"K1\"\nmodel = \"none-such\"")
        .room();
    let unknown = wire(&room, catalog(), &placed(&[]));
    assert!(matches!(unknown, Err(JobError::UnknownModel { .. })));
}

/// The catalogue with a change to one unit's and one controller's record.
fn changed(
    model: &str,
    unit: impl Fn(&mut equipment::Control),
    controller: &str,
    of: impl Fn(&mut equipment::Controller),
) -> Catalog {
    let mut c = catalog().clone();
    unit(&mut c.dehumidifiers.get_mut(model).unwrap().control);
    of(c.controllers.get_mut(controller).unwrap());
    c
}

#[test]
fn records_without_roles_or_terminals_are_told() {
    let room = Sheet::leafy().room();
    let bus = "generic-90-cold";
    assert_eq!(count(&wired(&[bus]), "terminal_without_role"), 0);
    assert_eq!(count(&wired(&[bus]), "terminal_missing"), 0);
    let c = changed(
        bus,
        |u| u.terminals[2].role = None,
        "generic-bus-remote",
        |_| {},
    );
    let control = wired_in(&room, &c, &[bus]);
    assert_eq!(count(&control, "terminal_without_role"), 1);
    assert_eq!(count(&control, "terminal_missing"), 1);
}

#[test]
fn contacts_carry_what_they_are_rated_for_and_no_more() {
    let room = Sheet::leafy().room();
    for (current_a, volts, times) in [(1.0, 30.0, 0), (1.01, 30.0, 1), (1.0, 30.1, 1)] {
        let c = changed(
            "generic-70",
            |u| (u.current_a, u.volts) = (Some(current_a), Some(volts)),
            "generic-relay-4",
            |_| {},
        );
        let control = wired_in(&room, &c, &["generic-70"]);
        assert_eq!(
            count(&control, "contact_overloaded"),
            times,
            "{current_a} {volts}"
        );
    }
    for (current_a, times) in [(0.010, 0), (0.0099, 1)] {
        let c = changed(
            "generic-70",
            |u| u.current_a = Some(current_a),
            "generic-relay-4",
            |_| {},
        );
        assert_eq!(
            count(&wired_in(&room, &c, &["generic-70"]), "contact_current_low"),
            times
        );
    }
}

#[test]
fn a_supply_gives_what_its_record_says_and_no_more() {
    let room = Sheet::leafy().room();
    let with = |volts: f64, va: f64| {
        let c = changed(
            "generic-90-cold",
            |_| {},
            "generic-bus-remote",
            |k| {
                (k.supply_v, k.supply_va) = (Some(volts), Some(va));
            },
        );
        wired_in(&room, &c, &["generic-90-cold"; 2])
    };
    // Two units of 0.09 A at 15 V: 2.7 VA.
    assert_eq!(count(&with(15.0, 2.71), "supply_overloaded"), 0);
    assert_eq!(count(&with(15.0, 2.69), "supply_overloaded"), 1);
    assert_eq!(count(&with(30.0, 100.0), "supply_not_class_2"), 0);
    assert_eq!(count(&with(30.1, 100.1), "supply_not_class_2"), 2);
    // A controller that feeds the bus feeds all units.
    let control = with(15.0, 50.0);
    let plus = control
        .nets
        .iter()
        .find(|n| n.signal == "supply +")
        .unwrap();
    assert_eq!(plus.ends.len(), 3);
    assert!(check_as_wired(&control, &control.as_designed()).is_empty());
}

#[test]
fn a_cable_reaches_as_far_as_its_drop_allows() {
    let room = Sheet::leafy().room();
    // The current at which 16 AWG loses just what is allowed, on the length found.
    let line = |current_a: f64| {
        let c = changed(
            "generic-70",
            |u| u.current_a = Some(current_a),
            "generic-relay-4",
            |_| {},
        );
        let control = wired_in(&room, &c, &["generic-70"]);
        (control.lines[0].clone(), count(&control, "cable_too_long"))
    };
    let length_m = line(0.02).0.length_m;
    let most_a = 2.4 / (2.0 * length_m * resistance_ohm_per_m(16, 40.0));
    let (below, passes) = line(0.999 * most_a);
    assert_eq!((below.gauge, passes), (16, 0));
    assert_eq!(line(1.001 * most_a).1, 1);
    assert!(below.longest_m.unwrap() >= below.length_m);
    // Little current does with 22 AWG, and never with less.
    assert_eq!(line(0.02).0.gauge, 22);
}

#[test]
fn the_reference_of_a_bus_shifts_less_than_a_volt() {
    let room = Sheet::leafy().room();
    let with = |volts: f64, current_a: f64| {
        let c = changed(
            "generic-90-cold",
            |u| (u.current_a, u.volts) = (Some(current_a), Some(volts)),
            "generic-bus-remote",
            |_| {},
        );
        wired_in(&room, &c, &["generic-90-cold"])
    };
    // So high a voltage that the drop of 10 % does not ask for more than 22 AWG.
    let length_m = with(60.0, 0.1).lines[0].length_m;
    let most_a = 1.0 / (length_m * resistance_ohm_per_m(22, 40.0));
    assert_eq!(count(&with(60.0, 0.999 * most_a), "reference_shifts"), 0);
    assert_eq!(count(&with(60.0, 1.001 * most_a), "reference_shifts"), 1);
}

#[test]
fn currents_that_no_record_says_are_told() {
    let c = changed(
        "generic-70",
        |u| u.current_a = None,
        "generic-relay-4",
        |_| {},
    );
    let control = wired_in(&Sheet::leafy().room(), &c, &["generic-70"]);
    assert_eq!(count(&control, "current_unknown"), 1);
    assert_eq!(count(&wired(&["generic-70"]), "current_unknown"), 0);
}

#[test]
fn setpoints_are_the_middle_of_the_target_and_stay_in_it() {
    let control = wired(&[]);
    // 65..75 %, deadband 4 %: on at 72, off at 68, by day and by night.
    assert_eq!(control.settings.len(), 2);
    for s in &control.settings {
        assert!((s.setpoint.si - 0.70).abs() < 1e-12);
        assert!((s.on_at.si - 0.72).abs() < 1e-12 && (s.off_at.si - 0.68).abs() < 1e-12);
    }
    let with = |key: &str, value: &str| {
        let room = Sheet::leafy().set("control", key, value).room();
        wired_in(&room, catalog(), &[])
    };
    for (width, narrow, leaves) in [
        ("\"2.9 %RH\"", 2, 0),
        ("\"3 %RH\"", 0, 0),
        ("\"10 %RH\"", 0, 0),
        ("\"10.2 %RH\"", 0, 4),
    ] {
        let control = with("deadband", width);
        assert_eq!(count(&control, "deadband_too_narrow"), narrow, "{width}");
        assert_eq!(count(&control, "deadband_leaves_band"), leaves, "{width}");
    }
    for (rh, beyond) in [("\"75 %\"", 0), ("\"75.1 %\"", 1)] {
        let room = Sheet::leafy().set("control.lights_on", "rh", rh).room();
        let control = wired_in(&room, catalog(), &[]);
        assert_eq!(count(&control, "setpoint_beyond_band"), beyond, "{rh}");
    }
}

#[test]
fn a_deficit_switches_the_other_way_round() {
    let room = Sheet::leafy()
        .without("target.lights_on", "rh")
        .set("target.lights_on", "vpd", "\"0.7..1.0 kPa\"")
        .room();
    let control = wired_in(&room, catalog(), &[]);
    let s = &control.settings[0];
    // Too humid is a small deficit: units start below the setpoint.
    assert!((s.on_at.si - 800.0).abs() < 1e-9 && (s.off_at.si - 900.0).abs() < 1e-9);
}

/// A room whose lit target and setpoint are these, with these units; its lit
/// setting, and all that is told of setpoints with lights on.
fn set_by_day(
    target: &str,
    said: Option<&str>,
    deadband: &str,
    models: &[&str],
) -> (Setting, Vec<Finding>) {
    let mut sheet = sheet(models)
        .set("target.lights_on", "rh", target)
        .set("control", "deadband", deadband);
    if let Some(said) = said {
        sheet = sheet.and(&format!("[control.lights_on]\nrh = {said}\n"));
    }
    let control = wire(&sheet.room(), catalog(), &placed(models)).unwrap();
    let told = control.findings.iter().filter(|f| {
        [
            "setpoint_between_steps",
            "setpoint_beyond_band",
            "deadband_leaves_band",
        ]
        .contains(&&*f.check)
            && format!("{:?}", f.what).contains("with lights on")
    });
    (control.settings[0].clone(), told.cloned().collect())
}

fn percent(value: quantity::Value) -> f64 {
    (1000.0 * value.si).round() / 10.0
}

/// Its humidistat goes in steps of 5 %: what is to be set is a step at which
/// units start and stop inside the target, and it is said why. What the room
/// file says stands as it says.
#[test]
fn what_is_to_be_set_can_be_set() {
    let wired = |target: &str, said: Option<&str>, models: &[&str]| {
        let (setting, told) = set_by_day(target, said, "\"4 %RH\"", models);
        (percent(setting.setpoint), told)
    };
    let (set, told) = wired("\"55..62 %\"", None, &["generic-30"]);
    assert_eq!(set, 60.0);
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!(told[0].severity, Severity::Note);
    assert_eq!(told[0].measured.map(|v| v.si), Some(0.585));
    // A step already, and a control of which no step is known.
    assert_eq!(wired("\"55..65 %\"", None, &["generic-30"]), (60.0, vec![]));
    assert_eq!(
        wired("\"55..62 %\"", None, &["generic-150"]),
        (58.5, vec![])
    );
    let (set, told) = wired("\"55..62 %\"", Some("\"58 %\""), &["generic-30"]);
    assert_eq!(set, 58.0);
    assert_eq!(told[0].severity, Severity::Fix);
}

/// Over targets, deadbands and what the file asks for: whoever sets what is told
/// is told nothing else of that period, unless nothing that can be set keeps the
/// air inside, and then that is told once.
#[test]
fn what_is_told_of_a_setpoint_never_contradicts_itself() {
    let (mut notes, mut none, mut asked) = (0, 0, 0);
    for low in [54.0, 55.0, 56.0, 57.0, 59.5] {
        for wide in [2.0, 3.0, 5.0, 7.0, 10.0] {
            for deadband in [3.0, 4.0, 8.0] {
                let target = format!("\"{low}..{} %\"", low + wide);
                let deadband = format!("\"{deadband} %RH\"");
                let of = |said: Option<f64>| {
                    let said = said.map(|x| format!("\"{x} %\""));
                    set_by_day(&target, said.as_deref(), &deadband, &["generic-30"])
                };
                let case = format!("{target} {deadband}");
                for said in [None, Some(low + 0.5), Some(low + wide + 7.7)] {
                    let (setting, told) = of(said);
                    let Some(moved) = setting.moved else { continue };
                    let steps = |f: &&Finding| f.check == "setpoint_between_steps";
                    let told_steps: Vec<&Finding> = told.iter().filter(steps).collect();
                    assert_eq!(told_steps.len(), 1, "{case} {told:?}");
                    let words = format!("{:?}", told_steps[0].what);
                    let leaves = words.contains("No step");
                    assert_eq!(leaves, setting.inside.is_none(), "{case} {words}");
                    if said.is_none() {
                        assert_eq!(told.len(), 1, "{case} {told:?}");
                        assert_eq!(setting.setpoint, moved.to);
                        let severity = if leaves {
                            Severity::Fix
                        } else {
                            Severity::Note
                        };
                        assert_eq!(told[0].severity, severity);
                        *(if leaves { &mut none } else { &mut notes }) += 1;
                    }
                    // Who does as told is told no more.
                    if !leaves {
                        let (_, then) = of(Some(percent(moved.to)));
                        assert!(then.is_empty(), "{case} {then:?}");
                        asked += usize::from(said.is_some());
                    }
                    // Outside, "set it inside" stands only beside a way to.
                    let beyond = told.iter().any(|f| f.check == "setpoint_beyond_band");
                    assert!(!(beyond && leaves), "{case} {told:?}");
                }
            }
        }
    }
    assert!(0 < notes && 0 < none && 0 < asked, "{notes} {none} {asked}");
}

/// A setpoint on a step at the edge: the way out that is told is one that can be
/// set, and takes the finding away.
#[test]
fn the_way_out_of_a_deadband_can_be_set() {
    let of = |said: &str| set_by_day("\"55..62 %\"", Some(said), "\"4 %RH\"", &["generic-30"]);
    let (setting, told) = of("\"55 %\"");
    assert_eq!(setting.moved, None);
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!(told[0].check, "deadband_leaves_band");
    assert_eq!(setting.inside.map(percent), Some(60.0));
    assert!(
        told[0]
            .remedy
            .parts()
            .iter()
            .any(|part| matches!(part, quantity::Part::Value(v) if percent(*v) == 60.0))
    );
    assert!(of("\"60 %\"").1.is_empty());
}

#[test]
fn humidistats_of_their_own_are_told_from_two_on() {
    assert_eq!(count(&wired(&["generic-30"]), "humidistats_fight"), 0);
    assert_eq!(count(&wired(&["generic-30"; 2]), "humidistats_fight"), 1);
    // So are two controllers, each with its sensor; one for two units is not.
    assert_eq!(count(&wired(&["generic-70"; 2]), "humidistats_fight"), 0);
    assert_eq!(
        count(&wired(&["generic-70", "generic-150"]), "humidistats_fight"),
        1
    );
}

#[test]
fn float_switches_and_alarms_without_a_place_are_told() {
    assert_eq!(
        count(&wired(&["generic-150"]), "float_switch_without_terminals"),
        0
    );
    assert_eq!(
        count(
            &wired(&["generic-90-cold"]),
            "float_switch_without_terminals"
        ),
        1
    );
    assert_eq!(count(&wired(&["generic-70"; 2]), "alarm_not_watched"), 0);
    assert_eq!(count(&wired(&["generic-70"; 3]), "alarm_not_watched"), 1);
}

#[test]
fn a_period_without_a_target_has_no_setpoint() {
    let mut room = Sheet::leafy().room();
    assert_eq!(count(&wired_in(&room, catalog(), &[]), "no_setpoint"), 0);
    room.targets.lights_off.humidity = None;
    assert_eq!(count(&wired_in(&room, catalog(), &[]), "no_setpoint"), 1);
}

#[test]
fn every_working_gives_its_result() {
    use exmex::Express;
    let control = wired(&MIXED);
    let mut evaluated = 0;
    fn evaluate(w: &quantity::Working, evaluated: &mut usize) {
        for inner in w.inputs.iter().filter_map(|i| i.from.as_deref()) {
            evaluate(inner, evaluated);
        }
        let quantity::Equation::Algebra(text) = &w.equation else {
            return;
        };
        let expression = exmex::parse::<f64>(text).unwrap();
        let values: Vec<f64> = expression
            .var_names()
            .iter()
            .map(|n| {
                w.inputs
                    .iter()
                    .find(|i| i.symbol == n.as_str())
                    .unwrap()
                    .value
                    .si
            })
            .collect();
        let got = expression.eval(&values).unwrap();
        assert!((got / w.result.si - 1.0).abs() < 1e-9, "{}: {got}", w.name);
        *evaluated += 1;
    }
    control
        .workings
        .iter()
        .for_each(|w| evaluate(w, &mut evaluated));
    assert!(8 < evaluated, "{evaluated}");
    assert_eq!(ControlFamily::OnBoard.word(), "on-board humidistat");
}
