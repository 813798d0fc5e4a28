//! Step 0: what the survey itself gives to think about, before any sum.
//! One file per fault, one ordered list.

mod night_warmer_than_day;
mod no_cooling_with_lights;
mod runoff_not_measured;
mod target_outside_vpd_band;
mod target_too_humid;

use quantity::Finding;
use room::Room;

type Check = fn(&Room) -> Vec<Finding>;

const CHECKS: &[Check] = &[
    no_cooling_with_lights::check,
    target_too_humid::check,
    target_outside_vpd_band::check,
    night_warmer_than_day::check,
    runoff_not_measured::check,
];

/// Findings of the survey.
pub fn findings(room: &Room) -> Vec<Finding> {
    CHECKS.iter().flat_map(|check| check(room)).collect()
}
