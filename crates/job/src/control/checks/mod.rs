//! Checks of the control: one file per fault, one ordered list.

mod alarm_not_watched;
mod cable_too_long;
mod contact_current_low;
mod contact_overloaded;
mod controller_chosen;
mod controller_does_not_fit;
mod current_unknown;
mod deadband_leaves_band;
mod deadband_too_narrow;
mod float_switch_without_terminals;
mod humidistats_fight;
mod no_controller_fits;
mod no_setpoint;
mod reference_shifts;
mod serves_more_than_it_can;
mod serves_unknown_unit;
mod setpoint_between_steps;
mod setpoint_beyond_band;
mod supply_not_class_2;
mod supply_overloaded;
mod terminal_missing;
mod terminal_without_role;
mod unit_served_twice;

use equipment::Catalog;
use quantity::Finding;
use room::Room;

use super::Control;

type Check = fn(&Room, &Catalog, &Control) -> Vec<Finding>;

/// All checks of this step, in the order of the report.
const CHECKS: &[Check] = &[
    no_controller_fits::check,
    controller_does_not_fit::check,
    serves_unknown_unit::check,
    unit_served_twice::check,
    serves_more_than_it_can::check,
    terminal_without_role::check,
    terminal_missing::check,
    contact_overloaded::check,
    contact_current_low::check,
    supply_overloaded::check,
    supply_not_class_2::check,
    cable_too_long::check,
    reference_shifts::check,
    current_unknown::check,
    no_setpoint::check,
    setpoint_between_steps::check,
    setpoint_beyond_band::check,
    deadband_too_narrow::check,
    deadband_leaves_band::check,
    humidistats_fight::check,
    float_switch_without_terminals::check,
    alarm_not_watched::check,
    controller_chosen::check,
];

pub(super) fn findings(room: &Room, catalog: &Catalog, control: &Control) -> Vec<Finding> {
    CHECKS
        .iter()
        .flat_map(|check| check(room, catalog, control))
        .collect()
}
