//! Checks of the load: one file per fault, one ordered list.

mod canopy_does_not_fit;
mod crop_water_implausible;
mod light_power_and_flux_disagree;
mod light_too_weak;
mod measured_water_disagrees;
mod more_than_fed;
mod night_rate_guessed;
mod second_opinion_differs;

use quantity::Finding;
use room::Room;

use super::Load;

type Check = fn(&Room, &Load) -> Vec<Finding>;

/// All checks of this step, in the order of the report.
const CHECKS: &[Check] = &[
    measured_water_disagrees::check,
    more_than_fed::check,
    crop_water_implausible::check,
    canopy_does_not_fit::check,
    light_power_and_flux_disagree::check,
    light_too_weak::check,
    second_opinion_differs::check,
    night_rate_guessed::check,
];

pub(super) fn findings(room: &Room, load: &Load) -> Vec<Finding> {
    CHECKS.iter().flat_map(|check| check(room, load)).collect()
}
