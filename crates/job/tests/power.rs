//! Circuits against published tables and worked examples, against computed
//! numbers, and whole rooms.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::{Sheet, catalog};
use exmex::Express;
use job::geometry::Frame;
use job::power::conductor::{self, Conditions};
use job::power::feed;
use job::{PlacedBy, PlacedUnit, Placement, Power};
use quantity::{Equation, Working};
use room::{Facing, Mount, Room, WiringRules};

fn rows(text: &str) -> Vec<csv::StringRecord> {
    csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes())
        .into_records()
        .map(Result::unwrap)
        .collect()
}

fn number(row: &csv::StringRecord, column: usize) -> Option<f64> {
    row[column].parse().ok()
}

#[track_caller]
fn close(found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{found} is not {expected} ± {tolerance}"
    );
}

const fn nec(ambient_c: f64, terminals_c: f64, together: u32) -> Conditions {
    Conditions {
        rules: WiringRules::Nec2023,
        insulation_c: 90.0,
        terminals_c,
        ambient_c,
        together,
    }
}

fn size(name: &str) -> conductor::Size {
    let all = conductor::sizes(WiringRules::Nec2023);
    *all.iter().find(|s| s.name == name).unwrap()
}

mod published {
    use super::*;
    use job::power::device::{at_least_a, at_most_a};
    use job::power::motor::{DeviceRule, MotorCurrents, max_protection_a, min_circuit_a};
    use job::power::supply::unbalance;

    /// CHK-4.1, NEC 440.22 and 440.33 as explained in public code notes.
    #[test]
    fn compressor_and_fan_give_circuit_and_devices() {
        let motors = MotorCurrents {
            compressor_a: 12.8,
            others_a: 1.6,
        };
        close(min_circuit_a(motors), 17.6, 0.05);
        let usual = max_protection_a(motors, DeviceRule::Usual);
        let hard = max_protection_a(motors, DeviceRule::WillNotStart);
        close(usual, 24.0, 0.05);
        close(hard, 30.4, 0.05);
        assert_eq!(at_most_a(WiringRules::Nec2023, usual), Some(20.0));
        assert_eq!(at_most_a(WiringRules::Nec2023, hard), Some(30.0));
        assert_eq!(at_least_a(WiringRules::Nec2023, 17.6), Some(20.0));
    }

    /// NEC Table 310.16, chapter 9 Table 8 and 240.4(D), to the last digit.
    #[test]
    fn tables_of_wire_are_those_of_the_code() {
        let mut seen = 0;
        for row in rows(include_str!("published/power_wire.csv")) {
            let name = format!("{} AWG", &row[0]);
            let sizes = conductor::sizes(WiringRules::Nec2023);
            let Some(ours) = sizes.iter().find(|s| s.name == name) else {
                continue;
            };
            close(ours.ohm_per_m * 304.8, number(&row, 2).unwrap(), 1e-9);
            for (i, ampacity_a) in ours.ampacity_a.iter().enumerate() {
                assert_eq!(Some(*ampacity_a), number(&row, 3 + i), "{name}");
            }
            assert_eq!(ours.small_device_a, number(&row, 6), "{name}");
            seen += 1;
        }
        assert_eq!(seen, conductor::sizes(WiringRules::Nec2023).len());
    }

    /// Printed to 0.01, at the top of each band.
    #[test]
    fn hot_air_takes_what_the_code_takes() {
        for row in rows(include_str!("published/power_ambient.csv")) {
            for (i, insulation_c) in [60.0, 75.0, 90.0].into_iter().enumerate() {
                let found = conductor::ambient_factor(insulation_c, number(&row, 0).unwrap());
                close(found, number(&row, 1 + i).unwrap(), 0.01);
            }
        }
    }

    /// CHK-4.2: 30 A × 0.91 (printed to 0.01), capped by a 75 °C terminal.
    #[test]
    fn twelve_gauge_in_hot_air_is_capped_by_its_terminal() {
        let found = conductor::ampacity(&size("12 AWG"), nec(40.0, 75.0, 3));
        close(found.table_a * found.ambient, 27.3, 0.3);
        assert_eq!(found.allowed_a, 25.0);
        let six = conductor::ampacity(&size("12 AWG"), nec(30.0, 75.0, 6));
        close(six.allowed_a, 24.0, 1e-9);
    }

    /// Public extract of IEC 60364-5-52 and IEC 60228.
    #[test]
    fn tables_of_cable_are_those_of_the_extract() {
        let sizes = conductor::sizes(WiringRules::Iec60364);
        for (row, ours) in rows(include_str!("published/power_iec.csv"))
            .iter()
            .zip(sizes)
        {
            close(ours.area_mm2, number(row, 0).unwrap(), 1e-9);
            assert_eq!(Some(ours.ampacity_a[0]), number(row, 1));
            if let Some(r20) = number(row, 2) {
                close(ours.ohm_per_m * 1000.0 / (1.0 + 0.003_93 * 50.0), r20, 1e-9);
            }
        }
        // PVC, printed to 0.01: 35, 40, 45, 50 °C.
        for (ambient_c, factor) in [(35.0, 0.94), (40.0, 0.87), (45.0, 0.79), (50.0, 0.71)] {
            close(conductor::ambient_factor(70.0, ambient_c), factor, 0.005);
        }
    }

    /// CHK-4.5, worked example of NEMA MG 1: mean 460 V, 1.09 %.
    #[test]
    fn unlike_phases_are_unbalanced() {
        close(100.0 * unbalance([462.0, 463.0, 455.0]), 1.09, 0.005);
        assert_eq!(unbalance([400.0; 3]), 0.0);
    }
}

/// Worked out from the equations in another program; not published.
mod cross {
    use super::*;
    use conductor::{Phases, awg_diameter_m, copper_ohm_per_m, voltage_drop_v};
    use job::power::restart::{generator_dip_divider, generator_dip_linear};

    /// CHK-4.3, Python 3.11, 0.3 %.
    #[test]
    fn wire_has_its_diameter_and_resistance() {
        for row in rows(include_str!("cross/power_wire.csv")) {
            let awg: i32 = row[0].parse().unwrap();
            let d_m = awg_diameter_m(awg);
            let area_m2 = std::f64::consts::PI / 4.0 * d_m * d_m;
            for (found, column) in [
                (1000.0 * d_m, 1),
                (1e6 * area_m2, 2),
                (1000.0 * copper_ohm_per_m(area_m2, 20.0), 3),
                (1000.0 * copper_ohm_per_m(area_m2, 75.0), 4),
            ] {
                let expected = number(&row, column).unwrap();
                close(found, expected, 0.003 * expected);
            }
        }
    }

    /// CHK-4.4, 0.5 %: 12 AWG solid at 75 °C, 30 m one way, 14.4 A.
    #[test]
    fn thirty_metres_of_twelve_gauge_drop_two_per_cent() {
        let ohm_per_m = 6.337e-3;
        let one = voltage_drop_v(Phases::Single, 30.0, 14.4, ohm_per_m);
        close(one, 5.47, 0.005 * 5.47);
        close(100.0 * one / 240.0, 2.28, 0.005 * 2.28);
        let three = voltage_drop_v(Phases::Three, 30.0, 14.4, ohm_per_m);
        close(three, 4.74, 0.005 * 4.74);
    }

    /// CHK-4.6, to the last printed digit.
    #[test]
    fn a_small_generator_dips() {
        let start_va = 75.0 * 240.0;
        close(
            100.0 * generator_dip_linear(start_va, 30e3, 0.20),
            12.0,
            0.05,
        );
        close(
            100.0 * generator_dip_divider(start_va, 30e3, 0.20),
            10.7,
            0.05,
        );
    }
}

fn hung(models: &[&str]) -> Placement {
    let units = models.iter().enumerate().map(|(i, model)| PlacedUnit {
        tag: format!("D{}", i + 1),
        model: (*model).to_owned(),
        frame: Frame {
            at_m: [2.0 + 2.0 * i as f64, 2.0, 3.2],
            facing: Facing::PlusX,
        },
        mount: Mount::Hung,
        by: PlacedBy::Survey,
        short_circuit: 0.1,
        ducted: job::placement::Ducted::default(),
    });
    Placement {
        units: units.collect(),
        ..Placement::default()
    }
}

fn fed(more: &str, models: &[&str]) -> (Room, Power) {
    let room = Sheet::leafy().and(more).room();
    let power = feed(&room, catalog(), &hung(models)).unwrap();
    (room, power)
}

const STAR: &str = "[[panel]]\nname = \"P\"\nat = [\"0 m\", \"2 m\", \"1.5 m\"]\n\
    voltage = \"208 V\"\nphases = 3\nmain = \"100 A\"\nfree_spaces = 24\n";
const EUROPEAN: &str = "[[panel]]\nname = \"P\"\nat = [\"0 m\", \"2 m\", \"1.5 m\"]\n\
    voltage = \"400 V\"\nphases = 3\nmain = \"63 A\"\nfree_spaces = 24\n\
    [wiring]\nrules = \"iec 60364\"\n";

fn evaluate(working: &Working) -> usize {
    let inner: usize = working
        .inputs
        .iter()
        .filter_map(|i| i.from.as_deref())
        .map(evaluate)
        .sum();
    let Equation::Algebra(rhs) = &working.equation else {
        return inner;
    };
    let expression = exmex::parse::<f64>(rhs).unwrap_or_else(|e| panic!("{rhs}: {e}"));
    let values: Vec<f64> = expression
        .var_names()
        .iter()
        .map(|name| {
            let found = working.inputs.iter().find(|i| i.symbol == name.as_str());
            found.unwrap_or_else(|| panic!("no {name}")).value.si
        })
        .collect();
    let found = expression.eval(&values).unwrap();
    close(found, working.result.si, 1e-6 * working.result.si.abs());
    inner + 1
}

#[test]
fn every_working_gives_its_result() {
    let set = "[generator]\nrating = \"45 kVA\"\n";
    let us = fed(
        &format!("{STAR}{set}"),
        &["generic-200", "generic-150", "generic-30"],
    );
    let measured = "fault_current = \"6000 A\"\nvoltage_ab = \"462 V\"\n\
        voltage_bc = \"463 V\"\nvoltage_ca = \"455 V\"\n";
    let iec = fed(
        &EUROPEAN.replace("[wiring]", &format!("{measured}[wiring]")),
        &["generic-250"],
    );
    // Of a panel: unbalance with its mean, and the dip.
    for ((_, power), of_panel) in [(us, 0), (iec, 3)] {
        let evaluated: usize = power.workings.iter().map(evaluate).sum();
        let plates = power.branches.iter().map(|b| &b.plate);
        let of_plates: usize = plates
            .map(|p| {
                2 * usize::from(p.compressor_a.is_some()) + usize::from(p.locked_rotor_a.is_none())
            })
            .sum();
        assert_eq!(
            evaluated,
            4 * power.branches.len()
                + of_plates
                + usize::from(power.generator.is_some())
                + of_panel
        );
    }
}

#[test]
fn two_pole_units_are_shared_out_over_three_legs() {
    let (_, power) = fed(STAR, &["generic-150"; 3]);
    let panel = &power.panels[0];
    close(panel.unbalance(), 0.0, 1e-9);
    assert_eq!(panel.poles, 6);
    assert_eq!(panel.leg_a, [23.2; 3]);
    let (_, again) = fed(STAR, &["generic-150"; 3]);
    assert_eq!(power, again);
}

#[test]
fn a_unit_for_one_voltage_finds_the_panel_that_fits() {
    let far = "[[panel]]\nname = \"far\"\nat = [\"10 m\", \"8 m\", \"1.5 m\"]\nvoltage = \"240 V\"\nphases = 1\n";
    let near = "[[panel]]\nname = \"near\"\nat = [\"0 m\", \"2 m\", \"1.5 m\"]\nvoltage = \"480 V\"\nphases = 3\n";
    let (_, power) = fed(&format!("{near}{far}"), &["generic-150"]);
    assert_eq!(power.branches[0].panel.as_deref(), Some("far"));
    assert!(power.branches[0].run.as_ref().unwrap().length_m > 10.0);
}

#[test]
fn a_long_way_takes_a_larger_conductor_and_ground() {
    let near = fed(STAR, &["generic-200"]).1;
    let tight = format!("{STAR}[wiring]\nmax_drop = \"0.5 %\"\n");
    let far = fed(&tight, &["generic-200"]).1;
    let (near, far) = (&near.branches[0], &far.branches[0]);
    // 250.122 asks 10 AWG for 25 A, but never more than the phases have.
    assert_eq!((near.size.name, near.ground), ("12 AWG", Some("12 AWG")));
    assert!(near.size.area_mm2 < far.size.area_mm2);
    assert!(far.run.as_ref().unwrap().drop <= 0.005);
    assert_ne!(near.ground, far.ground);
}

#[test]
fn a_room_without_panels_still_says_what_each_unit_needs() {
    let (_, power) = fed("", &["generic-150", "generic-200"]);
    assert!(power.panels.is_empty());
    assert_eq!(power.branches.len(), 2);
    assert!(power.branches.iter().all(|b| b.run.is_none()));
    assert!(power.findings.iter().any(|f| f.check == "no_panel"));
}

#[test]
fn findings_say_what_and_what_to_do_in_both_systems() {
    let worst = "[[panel]]\nname = \"P\"\nat = [\"0 m\", \"2 m\", \"1.5 m\"]\nvoltage = \"120 V\"\n\
        phases = 1\nmain = \"15 A\"\nfree_spaces = 1\n[wiring]\nconnection = \"cord\"\n\
        ambient = \"55 °C\"\n[generator]\nrating = \"5 kVA\"\n";
    let (_, power) = fed(worst, &["generic-250", "generic-150", "generic-150"]);
    let names: std::collections::BTreeSet<&str> =
        power.findings.iter().map(|f| f.check.as_ref()).collect();
    assert!(9 < names.len(), "{names:?}");
    for finding in &power.findings {
        common::says(finding);
    }
}
