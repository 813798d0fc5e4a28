//! What units did, as the log of a simulated room shows it.

use quantity::{Band, Part};
use readings::Measure;
use roomsim::setup::{Setup, Staging};
use roomsim::{Outcome, WaterPath};

use super::super::{Proof, PullDown, Unknown, set_of};
use super::{
    EXACT, Logger, UNITS, as_surveyed, checks, log, log_with, outcome, proof, sheet, written,
};
use crate::common::{Sheet, catalog};
use crate::service::log::from_log;
use crate::uncertain::Draw;

/// Starts of a unit by minute, from the simulation.
fn starts(outcome: &Outcome, unit: u32) -> Vec<usize> {
    let on = |x: u64| x & (1 << unit) != 0;
    let all = &outcome.series.as_ref().unwrap().dehumidifiers_on;
    (1..all.len())
        .filter(|&i| !on(all[i - 1]) && on(all[i]))
        .collect()
}

/// Units that may start and stop at once, on a deadband of a half %RH.
fn hasty(setup: &mut Setup) {
    setup.humidity_control.deadband.rel_humidity = 0.005;
    setup.humidity_control.sensor_lag_s = 0.0;
    for unit in &mut setup.dehumidifiers {
        (unit.min_on_s, unit.min_off_s, unit.restart_delay_s) = (0.0, 0.0, 0.0);
        unit.coil = None;
    }
}

#[test]
fn starts_are_counted_as_they_were_simulated() {
    let room = sheet().room();
    for (change, cycles) in [(as_surveyed as fn(&mut Setup), false), (hasty, true)] {
        let outcome = outcome(&room, &Draw::LIKELY, 2, change);
        let proof = proof(&room, &log(&outcome, EXACT));
        let mut most = 0;
        for (n, unit) in (0..UNITS).zip(&proof.units) {
            let at = starts(&outcome, n);
            assert_eq!(unit.starts, at.len(), "{}", unit.tag);
            let in_an_hour = at
                .iter()
                .map(|i| at.iter().filter(|j| (*i..i + 60).contains(*j)).count())
                .max()
                .unwrap_or(0);
            assert_eq!(unit.most_starts_per_hour, in_an_hour, "{}", unit.tag);
            most = most.max(in_an_hour);
        }
        assert_eq!(6 < most, cycles, "{most} starts in an hour");
        assert_eq!(checks(&proof).contains(&"short_cycling"), cycles);
    }
}

/// Four minutes on and four off make 7.5 starts an hour; ten and ten make three.
#[test]
fn a_log_by_hand_is_counted_as_by_hand() {
    let room = sheet().room();
    let channels = [
        (Measure::DryBulb, "temp"),
        (Measure::RelHumidity, "rh"),
        (Measure::UnitPower, "D1 power"),
        (Measure::UnitPower, "D2 power"),
    ];
    let log = written(&channels, 1440, |i| {
        let of = |half: usize| if i / half % 2 == 1 { 620.0 } else { 4.0 };
        vec![22.0, 0.7 + 0.01 * (i as f64 / 9.0).sin(), of(4), of(10)]
    });
    let proof = proof(&room, &log);
    let [d1, d2] = &proof.units[..2] else {
        panic!()
    };
    assert_eq!((d1.most_starts_per_hour, d1.usual_run_s), (8, Some(240.0)));
    assert_eq!((d2.most_starts_per_hour, d2.usual_run_s), (3, Some(600.0)));
    for unit in [d1, d2] {
        assert!((unit.run_share.unwrap() - 0.5).abs() < 0.01);
    }
    let cycling: Vec<&str> = proof
        .findings
        .iter()
        .filter(|f| f.check == "short_cycling")
        .map(|f| f.place.0.as_ref())
        .collect();
    assert_eq!(cycling, ["unit D1"]);
}

/// A channel of a unit that the room does not have is told: what it takes is not
/// counted. The state of a unit beside its power is no other unit.
#[test]
fn a_unit_that_the_room_lacks_is_told() {
    let room = sheet().room();
    let told = |more: &[(Measure, &str)]| {
        let mut channels = vec![
            (Measure::DryBulb, "temp"),
            (Measure::RelHumidity, "rh"),
            (Measure::UnitPower, "D1 power"),
            (Measure::UnitPower, "D2 power"),
            (Measure::UnitPower, "D3 power"),
        ];
        channels.extend(more);
        let log = written(&channels, 1440, |i| {
            let mut row = vec![22.0, 0.7 + 0.01 * (i as f64 / 9.0).sin()];
            row.resize(channels.len(), if i % 40 < 20 { 620.0 } else { 4.0 });
            row
        });
        let proof = proof(&room, &log);
        let mut found = proof.findings.iter();
        let found = found.find(|f| f.check == "unit_not_in_room");
        found.map(|f| format!("{:?}", f.what))
    };
    assert_eq!(told(&[]), None);
    assert_eq!(told(&[(Measure::UnitState, "D1 state")]), None);
    let said = told(&[(Measure::UnitPower, "D4 power")]).unwrap();
    assert!(
        said.contains("D4 power") && said.contains("D1, D2, D3"),
        "{said}"
    );
}

/// A room file without units is told, and of which units the log was taken to be.
#[test]
fn a_room_without_units_is_told() {
    let (named, unnamed) = (sheet().room(), Sheet::leafy().room());
    let log = log(&outcome(&named, &Draw::LIKELY, 1, as_surveyed), EXACT);
    assert!(!checks(&proof(&named, &log)).contains(&"units_not_listed"));
    let proof = proof(&unnamed, &log);
    let told = proof
        .findings
        .iter()
        .find(|f| f.check == "units_not_listed");
    let said = format!("{:?}", told.unwrap().what);
    assert!(said.contains(&set_of(&proof).words()), "{said}");
}

/// Units that start at different readings, so that their switchings stand alone.
fn stepped(setup: &mut Setup) {
    let mut step = setup.humidity_control.deadband;
    step.rel_humidity = 0.01;
    setup.humidity_control.staging = Staging::Stepped(step);
}

fn with_factors(canopy_m2: f64, factors: [f64; UNITS as usize], store: f64) -> Proof {
    let canopy = format!("\"{canopy_m2} m2\"");
    let room = sheet().set("crop", "canopy", &canopy).room();
    let outcome = outcome(&room, &Draw::LIKELY, 4, |setup| {
        stepped(setup);
        setup.zone.air_moisture_multiplier = store;
        for (unit, factor) in setup.dehumidifiers.iter_mut().zip(factors) {
            unit.removal_factor = factor;
        }
    });
    let logger = Logger {
        seed: 3,
        noise: (0.03, 0.002),
        ..EXACT
    };
    proof(&room, &log(&outcome, logger))
}

fn weak(proof: &Proof) -> Vec<&str> {
    places(proof, "unit_weak")
}

fn places<'p>(proof: &'p Proof, check: &str) -> Vec<&'p str> {
    let found = proof.findings.iter().filter(|f| f.check == check);
    found.map(|f| f.place.0.as_ref()).collect()
}

/// One unit of three takes a quarter of what its record says, and still reaches
/// its reading now and then. One that never does runs through and switches
/// nothing: the balance and counted water tell of it.
#[test]
fn a_unit_that_does_not_pull_down_is_found() {
    // Seven square metres of leaves ask for a seventh of a second unit: the weak one
    // can give that, and cycles.
    let proof = with_factors(7.0, [1.0, 0.25, 1.0], 1.0);
    let all: Vec<_> = proof.units.iter().map(|u| (&u.tag, u.pull_down)).collect();
    assert_eq!(weak(&proof), ["unit D2"], "{all:?}");
    assert!(places(&proof, "unit_beyond_record").is_empty(), "{all:?}");
    let down = proof.units[1].pull_down.unwrap();
    assert!(
        (down.factor - 0.25).abs() < 3.0 * down.deviation + 0.1,
        "{down:?}"
    );
}

/// An answer of three times the record is of no such unit; one a little above is.
#[test]
fn an_answer_beyond_what_a_unit_can_take_is_found() {
    let mut proof = with_factors(7.0, [1.0, 0.25, 1.0], 1.0);
    let down = proof.units[1].pull_down.unwrap();
    for (factor, deviation, want) in [
        (3.0, 0.28, &["unit D2"][..]),
        (1.9, 0.28, &[]),
        (1.2, 0.05, &[]),
    ] {
        proof.units[1].pull_down = Some(PullDown {
            factor,
            deviation,
            ..down
        });
        proof.findings = super::super::checks::findings(&sheet().room(), &proof);
        assert_eq!(places(&proof, "unit_beyond_record"), want, "{factor}");
    }
}

/// What a call is told of a unit's pull-down is what the proof has of it, with and
/// without a surveyed layer that stores: the store was found with it, and is not
/// counted again.
#[test]
fn a_call_counts_the_store_of_a_room_once() {
    let buffer =
        "[moisture_buffer]\narea = \"40 m2\"\ncapacity = \"0.2 mm\"\nresistance = \"200 s/m\"\n";
    for (more, store) in [("", 3.0), (buffer, 1.0)] {
        let room = sheet().set("crop", "canopy", "\"20 m2\"").and(more).room();
        let outcome = outcome(&room, &Draw::LIKELY, 4, |setup| {
            stepped(setup);
            setup.zone.air_moisture_multiplier = store;
        });
        let proof = proof(&room, &log(&outcome, EXACT));
        let mut seen = 0;
        for unit in &proof.units {
            let Some(down) = unit.pull_down else { continue };
            let about = (Some(unit.tag.as_str()), None);
            let lines = from_log(&room, catalog(), &proof, about, None);
            let said = lines.iter().find_map(|line| {
                let values = line.shows().parts().iter().filter_map(|part| match part {
                    Part::Value(v) => Some(v.si),
                    _ => None,
                });
                let answers = format!("{:?}", line.shows()).contains("the air answers with");
                answers.then(|| values.collect::<Vec<f64>>())
            });
            let factor = said.expect("its switchings stand alone")[0];
            assert!(
                (factor - down.factor).abs() < 1e-12,
                "{more} {factor} {down:?}"
            );
            seen += 1;
        }
        assert!(0 < seen, "{more}: none answered");
    }
}

/// Healthy units are not called weak, however much water the room stores
/// beside its air: the room file does not know how much.
#[test]
fn sound_units_are_not_called_weak() {
    for store in [1.0, 2.0, 4.0] {
        let proof = with_factors(20.0, [1.0; UNITS as usize], store);
        let all: Vec<_> = proof.units.iter().map(|u| (&u.tag, u.pull_down)).collect();
        assert!(weak(&proof).is_empty(), "{store}: {all:?}");
        assert!(
            all.iter().any(|(_, p)| p.is_some()),
            "{store}: none answered"
        );
    }
}

/// Water drained by the units to the end of each minute \[kg\]; what dries from
/// their coils was not drained.
pub(super) fn drained(outcome: &Outcome) -> Vec<f64> {
    let s = outcome.series.as_ref().unwrap();
    let (mut sum, mut most) = (0.0_f64, 0.0_f64);
    s.water_kg_per_s
        .iter()
        .map(|w| {
            sum -= w[WaterPath::Dehumidifiers as usize] * s.step_s;
            most = most.max(sum);
            most
        })
        .collect()
}

#[test]
fn water_is_counted_from_amounts_and_from_counters() {
    let room = sheet().room();
    let outcome = outcome(&room, &Draw::LIKELY, 2, as_surveyed);
    let drained = drained(&outcome);
    let all_kg = drained[drained.len() - 1];
    assert!(5.0 < all_kg, "{all_kg}");
    // The reading of a minute is what stood there at its begin.
    let before = |i: usize| if i == 0 { 0.0 } else { drained[i - 1] };
    let amount = |i: usize| before(i) - before(i.saturating_sub(1));
    // Set back to zero at noon of the first day.
    let set_back = |i: usize| {
        if i < 720 {
            before(i)
        } else {
            before(i) - before(720)
        }
    };
    let of = |measure: Measure, f: &dyn Fn(usize) -> f64| {
        let log = log_with(&outcome, EXACT, &[(measure, "condensate", f)]);
        proof(&room, &log).counted.unwrap().all_kg
    };
    for (what, kg) in [
        ("amounts", of(Measure::Water, &amount)),
        ("a counter", of(Measure::WaterCounter, &before)),
        ("a counter set back", of(Measure::WaterCounter, &set_back)),
    ] {
        assert!((kg / all_kg - 1.0).abs() < 0.01, "{what}: {kg} of {all_kg}");
    }
    assert!(proof(&room, &log(&outcome, EXACT)).counted.is_none());
}

/// A counter that is added up as amounts: more than units and cooling could take.
/// That is told, and nothing is found otherwise than without a count.
#[test]
fn water_that_nothing_could_take_is_told_and_not_leaned_on() {
    let room = sheet().room();
    let outcome = outcome(&room, &Draw::LIKELY, 4, as_surveyed);
    let drained = drained(&outcome);
    let counter = |i: usize| drained[i.saturating_sub(1)];
    let of = |measure: Measure| {
        let column = (measure, "condensate", &counter as &dyn Fn(usize) -> f64);
        proof(&room, &log_with(&outcome, EXACT, &[column]))
    };
    let is_told = |p: &Proof| p.findings.iter().any(|f| f.check == "counted_impossible");
    let (wrong, right) = (of(Measure::Water), of(Measure::WaterCounter));
    assert!(is_told(&wrong) && !is_told(&right));
    let counted = right.counted.as_ref().unwrap();
    assert!(!counted.is_impossible() && counted.all_kg < counted.most_kg.unwrap());
    let without = proof(&room, &log(&outcome, EXACT));
    assert!(wrong.water.is_some());
    let loads = [&wrong, &without, &right].map(|p| p.water.as_ref().map(|w| w.kg_per_day));
    assert_eq!(loads[0], loads[1]);
    assert_ne!(loads[0], loads[2]);
}

/// Units that remove 0.7 of their records, their water counted: that is found,
/// and the design is judged again with them as they are.
#[test]
fn units_are_judged_as_they_were_found() {
    const FACTOR: f64 = 0.7;
    let room = sheet().room();
    let outcome = outcome(&room, &Draw::LIKELY, 4, |setup| {
        for unit in &mut setup.dehumidifiers {
            unit.removal_factor = FACTOR;
        }
    });
    let drained = drained(&outcome);
    let counter = |i: usize| drained[i.saturating_sub(1)];
    let logger = Logger {
        seed: 11,
        noise: (0.05, 0.003),
        ..EXACT
    };
    let counted = (
        Measure::WaterCounter,
        "condensate",
        &counter as &dyn Fn(usize) -> f64,
    );
    let proof = proof(&room, &log_with(&outcome, logger, &[counted]));
    let holds = |b: Band, x: f64| b.low <= x && x <= b.high;
    let again = proof.again.as_ref().unwrap();
    let capacity = again.capacity.unwrap();
    assert!(holds(capacity.found, FACTOR), "{capacity:?}");
    assert_eq!(capacity.surveyed.likely, 1.0);
    // What the units would hold if they did what their records say is no less.
    assert!(
        again.found.0 <= again.found_units_as_surveyed.0,
        "{again:?}"
    );
    let service = again.tried.iter().position(|(what, held)| {
        let words = what.show(quantity::UnitSystem::Metric);
        words.contains("service") && *held == again.found_units_as_surveyed.0
    });
    assert!(service.is_some(), "{again:?}");
    assert_eq!(again.tried.len(), again.tried_as_surveyed.len());
    // It is proposed for each unit of the room file.
    let proposed: Vec<_> = proof
        .proposals
        .iter()
        .filter(|p| p.key == "removal_factor")
        .collect();
    assert_eq!(
        proposed.iter().map(|p| p.nth).collect::<Vec<_>>(),
        (0..UNITS as usize).collect::<Vec<_>>()
    );
    assert!(holds(proposed[0].as_found, FACTOR), "{proposed:?}");
    let found = proof.water.as_ref().unwrap().found.iter();
    let of_units = found.clone().find(|f| f.unknown == Unknown::UnitCapacity);
    assert!(of_units.unwrap().left < 0.3);
}
