//! The deadband is narrower than a sensor can tell.

use equipment::Catalog;
use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::control::Control;
use crate::finding::{Said, when};

/// Least whole width, relative humidity 0 to 1.
const LEAST_RH: f64 = 0.03;
/// The same near 24 °C as a vapour pressure deficit \[Pa\].
const LEAST_VPD_PA: f64 = 90.0;
/// The same as a dew point \[K\].
const LEAST_K: f64 = 0.8;

pub(super) fn check(room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for s in &control.settings {
        let least = match s.deadband.dim {
            Dim::RelHumidityDifference => LEAST_RH,
            Dim::VapourPressure => LEAST_VPD_PA,
            _ => LEAST_K,
        };
        if least <= s.deadband.si + 1e-9 {
            continue;
        }
        let limit = Value::new(least, s.deadband.dim).digits(2);
        findings.push(
            Said {
                check: "deadband_too_narrow",
                severity: Severity::Fix,
                step: Step::Control,
                place: Place::new("control"),
                what: Text::from(format!("the deadband {} is ", when(room, s.period)))
                    .value(s.deadband),
                why: "the sensor's own noise switches the units: compressors start too often",
                remedy: Text::from("widen it to ").value(limit).words(" or more"),
                source: Source::memory(
                    "electronic humidity sensors read within 2 to 3 %RH; the width is set at 3 %RH and its like",
                    "",
                ),
            }
            .compared(s.deadband, limit),
        );
    }
    findings
}
