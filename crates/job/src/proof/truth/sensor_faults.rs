//! Each fault of a sensor is told of when it is there and not when it is not.

use readings::Measure;
use roomsim::Outcome;

use super::super::{FaultySensor, Log, SensorFault};
use super::{EXACT, Logger, as_surveyed, log_with, outcome, proof, sheet};
use crate::uncertain::Draw;

const DAYS: usize = 7;
const MINUTES: usize = DAYS * 1440;

/// Two more pairs of sensors in the simulated room, with a noise of their own,
/// as a fault makes them show: `fault` has minute and true reading of dry bulb
/// and relative humidity and gives those of the third pair.
fn faults(fault: impl Fn(usize, f64, f64) -> (f64, f64)) -> Vec<FaultySensor> {
    let room = sheet().room();
    let outcome = simulated();
    let truth = |i: usize| {
        let s = outcome.series.as_ref().unwrap();
        let at = i.saturating_sub(1);
        (s.dry_bulb_c[at], s.rel_humidity[at])
    };
    // Readings to 0.1 K and 0.1 %RH, as such sensors give them.
    let round = |x: f64, to: f64| (x / to).round() * to;
    let noise = |i: usize, which: f64| (i as f64 * (1.7 + which)).sin();
    let (t2, rh2) = (
        |i: usize| round(truth(i).0 + 0.2 + 0.05 * noise(i, 0.3), 0.1),
        |i: usize| round(truth(i).1 - 0.01 + 0.003 * noise(i, 0.7), 0.001),
    );
    let third = |i: usize| {
        let (t, rh) = truth(i);
        fault(
            i,
            round(t - 0.1 + 0.05 * noise(i, 1.1), 0.1),
            round(rh + 0.008 + 0.003 * noise(i, 1.9), 0.001),
        )
    };
    let (t3, rh3) = (|i: usize| third(i).0, |i: usize| third(i).1);
    let log: Log = log_with(
        &outcome,
        Logger {
            seed: 7,
            noise: (0.05, 0.003),
            ..EXACT
        },
        &[
            (Measure::DryBulb, "second temp", &t2),
            (Measure::RelHumidity, "second rh", &rh2),
            (Measure::DryBulb, "third temp", &t3),
            (Measure::RelHumidity, "third rh", &rh3),
        ],
    );
    proof(&room, &log).faults
}

fn simulated() -> Outcome {
    outcome(&sheet().room(), &Draw::LIKELY, DAYS as u32, as_surveyed)
}

/// The only fault, of this sensor.
#[track_caller]
fn only(faults: &[FaultySensor], name: &str) -> FaultySensor {
    match faults {
        [one] if one.name == name => one.clone(),
        other => panic!("{name}: {other:?}"),
    }
}

#[test]
fn sound_sensors_have_none() {
    let found = faults(|_, t, rh| (t, rh));
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn one_that_stands_still_is_told_of_and_left_out() {
    // From 20:00 of the third day for eleven hours, over a switching.
    let from = 2 * 1440 + 20 * 60;
    let found = faults(|i, t, rh| {
        if (from..from + 660).contains(&i) {
            (t, 0.702)
        } else {
            (t, rh)
        }
    });
    let one = only(&found, "third rh");
    let SensorFault::Stuck { for_s, from: step } = one.fault else {
        panic!("{one:?}")
    };
    assert!((for_s - 660.0 * 60.0).abs() <= 300.0, "{for_s}");
    assert!(step.abs_diff(from) <= 2, "{step}");
    assert!(one.left_out);
    // Four hours are no fault: a room that is held stands still for so long.
    let found = faults(|i, t, rh| {
        if (from..from + 240).contains(&i) {
            (t, 0.702)
        } else {
            (t, rh)
        }
    });
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn one_that_jumps_is_told_of() {
    // Four spikes of 12 K, a minute each: up and down again.
    let found = faults(|i, t, rh| (if i % 2000 == 1000 { t + 12.0 } else { t }, rh));
    let one = only(&found, "third temp");
    let SensorFault::Jumps { count, largest, .. } = one.fault else {
        panic!("{one:?}")
    };
    let spikes = (0..MINUTES).filter(|i| i % 2000 == 1000).count();
    assert!(
        (spikes..=2 * spikes).contains(&count),
        "{count} of {spikes}"
    );
    assert!((largest.abs() - 12.0).abs() < 0.5, "{largest}");
    // Two kelvin within a minute is what lamps do.
    let found = faults(|i, t, rh| (if i % 2000 == 1000 { t + 2.0 } else { t }, rh));
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn one_that_drifts_is_told_of() {
    // 14 %RH over the log.
    let found = faults(|i, t, rh| (t, rh - 0.14 * i as f64 / MINUTES as f64));
    let one = only(&found, "third rh");
    let SensorFault::Drifts { over_log } = one.fault else {
        panic!("{one:?}")
    };
    // Last fifth less first fifth: four fifths of it.
    assert!((over_log + 0.112).abs() < 0.01, "{over_log}");
    let found = faults(|i, t, rh| (t, rh - 0.03 * i as f64 / MINUTES as f64));
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn one_that_differs_all_along_is_told_of() {
    let found = faults(|_, t, rh| (t + 2.5, rh));
    let one = only(&found, "third temp");
    let SensorFault::Differs { by } = one.fault else {
        panic!("{one:?}")
    };
    // From the middle of three, which is the next below it: 0.2 K above true.
    assert!((by - 2.2).abs() < 0.25, "{by}");
    let found = faults(|_, t, rh| (t + 0.8, rh));
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn one_at_its_end_is_told_of() {
    // Wet for two hours of the fourth day: shows 100 %.
    let from = 3 * 1440 + 600;
    let found = faults(|i, t, rh| {
        (
            t,
            if (from..from + 120).contains(&i) {
                1.0
            } else {
                rh
            },
        )
    });
    let saturated = found
        .iter()
        .find(|f| matches!(f.fault, SensorFault::Saturated { .. }))
        .unwrap_or_else(|| panic!("{found:?}"));
    assert_eq!(saturated.name, "third rh");
    let SensorFault::Saturated { for_s, at } = saturated.fault else {
        unreachable!()
    };
    assert!((for_s - 7200.0).abs() < 200.0 && at == 1.0, "{for_s} {at}");
    // Ten minutes are steam from a hose.
    let found = faults(|i, t, rh| {
        (
            t,
            if (from..from + 10).contains(&i) {
                1.0
            } else {
                rh
            },
        )
    });
    let ends = |f: &&FaultySensor| matches!(f.fault, SensorFault::Saturated { .. });
    assert!(!found.iter().any(|f| ends(&f)), "{found:?}");
}
