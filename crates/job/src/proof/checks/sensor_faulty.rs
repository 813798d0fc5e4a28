//! A sensor cannot be trusted.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value, counted};
use readings::Measure;
use room::Room;

use super::super::{FaultySensor, SensorFault};
use super::{Proof, time};
use crate::finding::Said;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    proof.faults.iter().map(finding).collect()
}

fn difference(measure: Measure, si: f64) -> Value {
    let dim = match measure {
        Measure::RelHumidity => Dim::RelHumidityDifference,
        Measure::Vpd => Dim::VapourPressure,
        _ => Dim::TemperatureDifference,
    };
    Value::new(si, dim).digits(2)
}

fn finding(sensor: &FaultySensor) -> Finding {
    let by = |si: f64| difference(sensor.measure, si);
    let (check, what, remedy): (_, Text, &'static str) = match sensor.fault {
        SensorFault::Stuck { for_s, .. } => (
            "sensor_stuck",
            Text::from("shows one number for ").value(time(for_s)),
            "Look at its cable, its battery and its wireless link; breathe on it and see whether it moves.",
        ),
        SensorFault::Jumps { count, largest, .. } => (
            "sensor_jumps",
            Text::from(format!(
                "jumps {} further than air can, by up to ",
                counted(count, "time")
            ))
            .value(by(largest.abs())),
            "Look for a loose plug, spray or drips on it, or a place in the blast of a unit.",
        ),
        SensorFault::Drifts { over_log } => (
            "sensor_drifts",
            Text::from("comes to read ")
                .value(by(over_log))
                .words(" away from the other sensors over the log"),
            "Check it over saturated salts and put a new one in its place if it is more than 3 %RH off.",
        ),
        SensorFault::Differs { by: apart } => (
            "sensor_differs",
            Text::from("reads ")
                .value(by(apart))
                .words(" away from the middle of the sensors all along"),
            "Hang the sensors side by side for an hour: if they agree there, it is the place, else the sensor.",
        ),
        SensorFault::Saturated { for_s, at } => (
            "sensor_saturated",
            Text::from("stands at its end, ")
                .value(Value::new(at, Dim::RelHumidity).digits(2))
                .words(", for ")
                .value(time(for_s)),
            "Dry it and check it over saturated salts: either it was wet, or the room was saturated.",
        ),
    };
    let what = if sensor.left_out {
        what.words("; it was left out of the room's air")
    } else {
        what
    };
    Said {
        check,
        severity: Severity::Fix,
        step: Step::Proof,
        place: Place::new(format!("sensor {}", sensor.name)),
        what,
        why: "All that is judged here, and all control, rests on sensors.",
        remedy: remedy.into(),
        source: Source::common_practice("a live sensor moves with the room, and sensors of one room agree within 1.5 K and 5 %RH"),
    }
    .finding()
}
