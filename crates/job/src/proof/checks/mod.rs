//! Checks of the proof: one file per fault, one ordered list.

mod balance_open;
mod counted_impossible;
mod found_beyond_fed;
mod found_beyond_file;
mod irrigated_in_the_dark;
mod leaves_at_risk;
mod lights_differ;
mod load_differs;
mod log_has_gaps;
mod runs_not_logged;
mod sensor_faulty;
mod short_cycling;
mod surface_sweats;
mod too_humid;
mod unit_answer;
mod unit_beyond_record;
mod unit_not_in_room;
mod unit_weak;
mod units_not_enough;
mod units_not_listed;

use quantity::{Dim, Finding, Value};
use room::Room;

use super::Proof;

type Check = fn(&Room, &Proof) -> Vec<Finding>;

/// All checks of this step, in the order of the report.
const CHECKS: &[Check] = &[
    too_humid::check,
    balance_open::check,
    units_not_enough::check,
    unit_weak::check,
    unit_beyond_record::check,
    short_cycling::check,
    leaves_at_risk::check,
    surface_sweats::check,
    load_differs::check,
    found_beyond_fed::check,
    found_beyond_file::check,
    counted_impossible::check,
    sensor_faulty::check,
    lights_differ::check,
    irrigated_in_the_dark::check,
    units_not_listed::check,
    unit_not_in_room::check,
    runs_not_logged::check,
    log_has_gaps::check,
];

pub(super) fn findings(room: &Room, proof: &Proof) -> Vec<Finding> {
    CHECKS.iter().flat_map(|check| check(room, proof)).collect()
}

/// A share as a value of two digits.
fn share(x: f64) -> Value {
    Value::new(x, Dim::Fraction).digits(2)
}

/// A time as a value of two digits.
fn time(s: f64) -> Value {
    Value::new(s, Dim::Duration).digits(2)
}
