//! Checks of the day: one file per fault, one ordered list.

mod comes_back_late;
mod days_not_held;
mod fails_in_place;
mod leaves_wet;
mod starts_too_often;
mod surface_wet;
mod too_dry;

use quantity::Finding;
use room::Room;

use super::Day;

type Check = fn(&Room, &Day) -> Vec<Finding>;

/// All checks of this step, in the order of the report.
const CHECKS: &[Check] = &[
    days_not_held::check,
    fails_in_place::check,
    leaves_wet::check,
    surface_wet::check,
    comes_back_late::check,
    starts_too_often::check,
    too_dry::check,
];

pub(super) fn findings(room: &Room, day: &Day) -> Vec<Finding> {
    CHECKS.iter().flat_map(|check| check(room, day)).collect()
}
