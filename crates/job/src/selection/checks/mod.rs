//! Checks of the selection: one file per fault, one ordered list.

mod again;
mod altitude_gain_unproven;
mod cooling_short;
mod latent_credit_decides;
mod no_set_holds;
mod no_spare;
mod outside_data;
mod present_units_fail;
mod rating_models_disagree;

use equipment::Catalog;
use quantity::Finding;
use room::Room;

use super::Selection;
use crate::load::Load;

/// What a check may look at.
pub(super) struct Seen<'a> {
    pub(super) room: &'a Room,
    pub(super) catalog: &'a Catalog,
    pub(super) load: &'a Load,
    pub(super) selection: &'a Selection,
}

type Check = fn(&Seen<'_>) -> Vec<Finding>;

/// All checks of this step, in the order of the report.
const CHECKS: &[Check] = &[
    no_set_holds::check,
    present_units_fail::check,
    cooling_short::check,
    latent_credit_decides::check,
    no_spare::check,
    outside_data::check,
    altitude_gain_unproven::check,
    rating_models_disagree::check,
];

pub(super) fn findings(
    room: &Room,
    load: &Load,
    catalog: &Catalog,
    selection: &Selection,
) -> Vec<Finding> {
    let seen = Seen {
        room,
        catalog,
        load,
        selection,
    };
    CHECKS.iter().flat_map(|check| check(&seen)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{catalog, steps};

    /// What the checks see of the small room with an edited room or selection.
    pub(super) fn seen<'a>(room: &'a Room, selection: &'a Selection) -> Seen<'a> {
        Seen {
            room,
            catalog: catalog(),
            load: &steps().load,
            selection,
        }
    }
}
