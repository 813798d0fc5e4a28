//! Only a rating is known, and the two ways to carry it to room air differ.

use quantity::Finding;

use super::Seen;
use crate::airs::{self, Edge};

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let p_pa = airs::pressure_pa(&seen.room.site);
    let set = seen.selection.design_set();
    let airs = [&seen.room.targets.lights_on, &seen.room.targets.lights_off]
        .map(|t| airs::air_of(t, Edge::Wet, p_pa));
    set.groups()
        .iter()
        .filter_map(|(code, _)| seen.catalog.dehumidifiers.get(code))
        .flat_map(|model| {
            airs.iter()
                .flatten()
                .filter_map(|air| equipment::rating_models_disagree(model, air))
                .take(1)
                .collect::<Vec<_>>()
        })
        .collect()
}
