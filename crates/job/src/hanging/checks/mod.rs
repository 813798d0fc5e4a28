//! Checks of the hanging: one file per fault, one ordered list.

mod centre_of_gravity_beside_rods;
mod hanging_points_unknown;
mod heavy_lift;
mod isolator_overloaded;
mod panel_carries_nothing;
mod rod_below_minimum;
mod rod_meets_obstacle;
mod rod_overloaded;
mod rod_too_short;
mod rods_miss_structure;
mod stand_tips;
mod structure_unknown;
mod strut_overstressed;
mod strut_sags;
mod strut_unbraced;
mod sway_unbraced;

use quantity::Finding;
use room::Room;

use super::Hanging;

type Check = fn(&Room, &Hanging) -> Vec<Finding>;

/// All checks of this step, in the order of the report.
const CHECKS: &[Check] = &[
    structure_unknown::check,
    panel_carries_nothing::check,
    rods_miss_structure::check,
    hanging_points_unknown::check,
    centre_of_gravity_beside_rods::check,
    rod_too_short::check,
    rod_meets_obstacle::check,
    rod_below_minimum::check,
    rod_overloaded::check,
    isolator_overloaded::check,
    strut_overstressed::check,
    strut_sags::check,
    strut_unbraced::check,
    stand_tips::check,
    sway_unbraced::check,
    heavy_lift::check,
];

pub(super) fn findings(room: &Room, hanging: &Hanging) -> Vec<Finding> {
    CHECKS
        .iter()
        .flat_map(|check| check(room, hanging))
        .collect()
}

#[cfg(test)]
pub(super) mod bench {
    //! A hung unit to be edited around the limits of checks.

    use room::{Facing, Mount, Room};

    use crate::common::{Sheet, catalog};
    use crate::geometry::Frame;
    use crate::hanging::{Hanging, hang};
    use crate::placement::{PlacedBy, PlacedUnit, Placement};

    /// Steel joists along x, 1.2 m apart, 4.2 m high; first not surveyed.
    pub(crate) const JOISTS: &str = "[structure]\nkind = \"steel joist\"\nunderside = \"4.2 m\"\nspacing = \"1.2 m\"\nruns = \"x\"";
    /// A slab at the ceiling.
    pub(crate) const SLAB: &str = "[structure]\nkind = \"concrete\"";

    pub(crate) fn room(more: &str) -> Room {
        Sheet::leafy().and(more).room()
    }

    /// Units of the largest model, each with its mount, 2.5 m high, 3 m apart.
    pub(crate) fn placement(mounts: &[Mount]) -> Placement {
        let units = mounts
            .iter()
            .enumerate()
            .map(|(i, mount)| PlacedUnit {
                tag: format!("D{}", i + 1),
                model: "generic-150".into(),
                frame: Frame {
                    at_m: [2.0 + 3.0 * i as f64, 3.0, 2.5],
                    facing: Facing::PlusX,
                },
                mount: *mount,
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

    pub(crate) fn of(room: &Room, mount: Mount) -> Hanging {
        hang(room, catalog(), &placement(&[mount])).unwrap()
    }

    /// One hung unit under a slab.
    pub(crate) fn hung() -> (Room, Hanging) {
        let room = room(SLAB);
        let hanging = of(&room, Mount::Hung);
        (room, hanging)
    }
}
