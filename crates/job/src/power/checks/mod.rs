//! Checks of the circuits: one file per fault, one ordered list.

mod conductor_too_small;
mod cord_not_allowed;
mod device_above_conductor;
mod device_above_plate;
mod device_below_circuit;
mod disconnect_out_of_sight;
mod drop_too_large;
mod frequency_does_not_fit;
mod generator_dips;
mod generator_overloaded;
mod ground_fault_protection_needed;
mod no_panel;
mod panel_capacity_unknown;
mod panel_full;
mod panel_overloaded;
mod phase_does_not_fit;
mod phases_unbalanced;
mod plate_does_not_add_up;
mod starts_together;
mod supply_dips;
mod supply_unknown;
mod voltage_does_not_fit;
mod voltage_low_at_unit;
mod voltage_unbalanced;
mod working_space_blocked;

use quantity::{Finding, Place, Source};
use room::{Room, WiringRules};

use super::{Branch, Power};

type Check = fn(&Room, &Power) -> Vec<Finding>;

/// All checks of this step, in the order of the report.
const CHECKS: &[Check] = &[
    no_panel::check,
    supply_unknown::check,
    voltage_does_not_fit::check,
    phase_does_not_fit::check,
    frequency_does_not_fit::check,
    voltage_low_at_unit::check,
    voltage_unbalanced::check,
    plate_does_not_add_up::check,
    device_above_plate::check,
    device_below_circuit::check,
    device_above_conductor::check,
    conductor_too_small::check,
    drop_too_large::check,
    disconnect_out_of_sight::check,
    cord_not_allowed::check,
    ground_fault_protection_needed::check,
    panel_full::check,
    panel_overloaded::check,
    panel_capacity_unknown::check,
    phases_unbalanced::check,
    working_space_blocked::check,
    starts_together::check,
    supply_dips::check,
    generator_dips::check,
    generator_overloaded::check,
];

/// Those that judge a panel, of whatever room its loads are.
const OF_PANELS: &[Check] = &[
    panel_full::check,
    panel_overloaded::check,
    panel_capacity_unknown::check,
    phases_unbalanced::check,
    starts_together::check,
    supply_dips::check,
];

/// Judgements of the panels alone.
pub(crate) fn panel_findings(room: &Room, power: &Power) -> Vec<Finding> {
    OF_PANELS
        .iter()
        .flat_map(|check| check(room, power))
        .collect()
}

/// Judgements of the generator alone, of whatever room its units are.
pub(crate) fn generator_findings(room: &Room, power: &Power) -> Vec<Finding> {
    [generator_dips::check, generator_overloaded::check]
        .iter()
        .flat_map(|check| check(room, power))
        .collect()
}

pub(super) fn findings(room: &Room, power: &Power) -> Vec<Finding> {
    CHECKS.iter().flat_map(|check| check(room, power)).collect()
}

/// The place of a unit.
fn unit(b: &Branch) -> Place {
    Place::new(b.tag.clone())
}

/// A rule that NEC and IEC have each in its place.
fn by_rules(room: &Room, nec: Source, iec: Source) -> Source {
    match room.wiring.rules.value {
        WiringRules::Nec2023 => nec,
        WiringRules::Iec60364 => iec,
    }
}

#[cfg(test)]
mod scene {
    //! A small room with a panel and hung units, to be edited around limits.

    use room::{Facing, Mount, Room};

    use crate::common::{Sheet, catalog};
    use crate::geometry::Frame;
    use crate::placement::{PlacedBy, PlacedUnit, Placement};
    use crate::power::{Power, feed};

    /// A panel with 240 V, one phase.
    pub(in crate::power) const PANEL: &str = "[[panel]]\nname = \"P\"\n\
        at = [\"0 m\", \"2 m\", \"1.5 m\"]\nvoltage = \"240 V\"\nphases = 1\n\
        main = \"100 A\"\nfree_spaces = 20\n";

    /// Units of these models hung along the room, D1 first.
    pub(in crate::power) fn hung(models: &[&str]) -> Placement {
        let units = models
            .iter()
            .enumerate()
            .map(|(i, model)| PlacedUnit {
                tag: format!("D{}", i + 1),
                model: (*model).to_owned(),
                frame: Frame {
                    at_m: [2.0, 1.0 + 2.0 * i as f64, 3.2],
                    facing: Facing::PlusX,
                },
                mount: Mount::Hung,
                by: PlacedBy::Survey,
                short_circuit: 0.1,
                ducted: crate::placement::Ducted::default(),
            })
            .collect();
        Placement {
            units,
            ..Placement::default()
        }
    }

    /// The small room with more text, and its circuits.
    pub(in crate::power) fn scene(more: &str, models: &[&str]) -> (Room, Power) {
        let room = Sheet::leafy().and(more).room();
        let power = feed(&room, catalog(), &hung(models)).unwrap();
        (room, power)
    }
}
