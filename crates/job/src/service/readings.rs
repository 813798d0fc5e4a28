//! Readings of a service call, weighed by the physics of the unit: with what
//! probability each outcome of a test holds, given the reading and its
//! uncertainty.
//!
//! Each function says which test of the list it answers; the causes then follow
//! from that test's figures as if it had been made.

use air::MoistAir;
use equipment::{FilterState, Model};
use quantity::{Dim, Text, Value};

use super::rank::Known;
use crate::acceptance::short_circuit::{self, Around};
use crate::acceptance::{Estimate, gum};
use crate::drain::trap::water_head_m;

/// Removal over what is expected, below which there is none, and below which it
/// is little. **Assumed**.
pub(super) const REMOVAL_BOUNDS: [f64; 2] = [0.10, 0.75];
/// Current over the plate's full load: fan only, below, about, above.
/// **Assumed**; plates round up.
const CURRENT_BOUNDS: [f64; 3] = [0.30, 0.70, 1.05];
/// Voltage over the plate's: none, low.
/// **Assumed** 10 % below, as utilities and plates allow.
const VOLTAGE_BOUNDS: [f64; 2] = [0.10, 0.90];
/// Removal at the inlet over that at the rating, below which little water is
/// expected. **Assumed**.
const DRY_BELOW: f64 = 0.35;

/// Probability that a number lies below a bound, its error normal.
pub(super) fn below(x: Estimate, bound: f64) -> f64 {
    if x.standard_uncertainty <= 0.0 {
        return if x.value < bound { 1.0 } else { 0.0 };
    }
    let z = (bound - x.value) / x.standard_uncertainty;
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

/// Probabilities of the classes between rising bounds.
pub(super) fn classes(x: Estimate, bounds: &[f64]) -> Vec<f64> {
    let mut weights = Vec::with_capacity(bounds.len() + 1);
    let mut last = 0.0;
    for bound in bounds {
        let p = below(x, *bound);
        weights.push((p - last).max(0.0));
        last = p;
    }
    weights.push((1.0 - last).max(0.0));
    weights
}

pub(super) fn reading(of: &str, weights: Vec<f64>, said: Text) -> Known {
    Known::Reading {
        of: of.into(),
        weights,
        said,
    }
}

/// A ratio with its uncertainty; the two are not correlated.
pub(super) fn ratio(a: Estimate, b: Estimate) -> Option<Estimate> {
    if b.value == 0.0 {
        return None;
    }
    gum::propagate(&[a, b], |x| (x[1] != 0.0).then(|| x[0] / x[1])).map(|budget| budget.result)
}

/// Water caught per time \[kg/s\] against what the map expects at the inlet air
/// \[kg/s\]; answers `condensate`. `None` where nothing is expected.
pub fn removal(measured: Estimate, expected: Estimate) -> Option<Known> {
    let r = ratio(measured, expected).filter(|_| 0.0 < expected.value)?;
    let water = |si: f64| Value::new(si, Dim::WaterRate);
    let said = Text::from("caught ")
        .value(water(measured.value))
        .words(" where ")
        .value(water(expected.value))
        .words(" is expected");
    Some(reading("condensate", classes(r, &REMOVAL_BOUNDS), said))
}

/// Current of a running unit \[A\] against its plate; answers `run-current`.
pub fn current(model: &Model, measured: Estimate) -> Option<Known> {
    let full_a = model.plate.full_load_a;
    let r = ratio(measured, Estimate::new(full_a, 0.0)).filter(|_| 0.0 < full_a)?;
    let amps = |si: f64| Value::new(si, Dim::Current);
    let said = Text::from("draws ")
        .value(amps(measured.value))
        .words(", full load by its plate ")
        .value(amps(full_a));
    Some(reading("run-current", classes(r, &CURRENT_BOUNDS), said))
}

/// Voltage at the unit's terminals \[V\] against its plate's lowest; answers
/// `volts-at-terminals`.
pub fn voltage(model: &Model, measured: Estimate) -> Option<Known> {
    let plate = &model.plate;
    let rated_v = plate.low_volts.unwrap_or(plate.volts);
    let r = ratio(measured, Estimate::new(rated_v, 0.0)).filter(|_| 0.0 < rated_v)?;
    let volts = |si: f64| Value::new(si, Dim::Voltage);
    let said = Text::from("at its terminals ")
        .value(volts(measured.value))
        .words(", the lowest of its plate ")
        .value(volts(rated_v));
    Some(reading(
        "volts-at-terminals",
        classes(r, &VOLTAGE_BOUNDS),
        said,
    ))
}

/// Suction in the cabinet at the pan \[Pa\] against the seal that the trap has
/// \[m\]; answers `trap-against-suction`. A trap holds while its seal is deeper
/// than the head of the suction.
pub fn trap(suction_pa: Estimate, seal_m: Estimate) -> Known {
    let per_pa = water_head_m(1.0);
    let margin = Estimate::new(
        seal_m.value - per_pa * suction_pa.value,
        seal_m
            .standard_uncertainty
            .hypot(per_pa * suction_pa.standard_uncertainty),
    );
    let length = |si: f64| Value::new(si, Dim::Length);
    let said = Text::from("suction of ")
        .value(Value::new(suction_pa.value, Dim::Pressure))
        .words(" lifts water ")
        .value(length(per_pa * suction_pa.value))
        .words(", the seal is ")
        .value(length(seal_m.value));
    reading("trap-against-suction", classes(margin, &[0.0]), said)
}

/// Dry bulbs around the unit; answers `share-breathed`. `None` where discharge
/// and room are too alike to tell.
pub fn breathed(around: Around) -> Option<Known> {
    let share = short_circuit::share(around)?.result;
    let said = Text::from("of its inlet air it blew out before ")
        .value(Value::new(share.value.max(0.0), Dim::Fraction).digits(2));
    let mut weights = classes(share, &[short_circuit::MOST]);
    // The test's first outcome is the greater share.
    weights.reverse();
    Some(reading("share-breathed", weights, said))
}

/// Air at the inlet against what the machine can do with it; answers
/// `inlet-air`.
///
/// - `dry_bulb_c`: \[°C\]
/// - `rel_humidity`: 0 to 1
/// - `pressure_pa`: barometric \[Pa\]
///
/// Uncertainties are followed at nine points of the two readings (the middle
/// and ±√3 u, Gauss–Hermite of third order).
///
/// `None` where the readings are no air.
pub fn inlet(
    model: &Model,
    dry_bulb_c: Estimate,
    rel_humidity: Estimate,
    pressure_pa: f64,
) -> Option<Known> {
    const POINTS: [(f64, f64); 3] = [(-1.0, 1.0 / 6.0), (0.0, 2.0 / 3.0), (1.0, 1.0 / 6.0)];
    let middle = MoistAir::from_rel_humidity(dry_bulb_c.value, rel_humidity.value, pressure_pa);
    let here = model.at(middle.ok()?, FilterState::Clean);
    let rated = model.ratings.first()?.removal_kg_per_s;
    let spread = 3.0_f64.sqrt();
    let mut weights = vec![0.0; 3];
    for (a, wa) in POINTS {
        for (b, wb) in POINTS {
            let t_c = dry_bulb_c.value + a * spread * dry_bulb_c.standard_uncertainty;
            let rh = rel_humidity.value + b * spread * rel_humidity.standard_uncertainty;
            let Ok(air) = MoistAir::from_rel_humidity(t_c, rh.clamp(0.01, 1.0), pressure_pa) else {
                continue;
            };
            let out = model.at(air, FilterState::Clean);
            let class = if t_c < model.min_inlet_c || !out.runs() {
                0
            } else if out.removal_kg_per_s < DRY_BELOW * rated {
                1
            } else {
                2
            };
            weights[class] += wa * wb;
        }
    }
    let water = |si: f64| Value::new(si, Dim::WaterRate);
    let said = Text::from("at ")
        .value(Value::new(dry_bulb_c.value, Dim::Temperature))
        .words(" and ")
        .value(Value::new(rel_humidity.value, Dim::RelHumidity))
        .words(" its map expects ")
        .value(water(here.removal_kg_per_s))
        .words(", at its rating ")
        .value(water(rated));
    Some(reading("inlet-air", weights, said))
}

/// Time since power came back or the unit stopped \[s\] against the restart
/// delay of the record; answers `since-power-up`.
pub fn since_power_up(model: &Model, elapsed_s: Estimate) -> Known {
    let delay_s = model.delays.restart_s;
    let time = |si: f64| Value::new(si, Dim::Duration).digits(2);
    let said = Text::from("powered for ")
        .value(time(elapsed_s.value))
        .words(", the restart delay of its record is ")
        .value(time(delay_s));
    let not_yet = below(elapsed_s, delay_s);
    reading("since-power-up", vec![not_yet, 1.0 - not_yet], said)
}
