//! Checks of the drain: one file per fault, one ordered list.

mod crosses_door;
mod crosses_thing;
mod double_trap;
mod drain_above_pan;
mod fall_below_code;
mod long_indirect_waste;
mod no_air_gap;
mod no_drain_point;
mod no_room_to_rise;
mod not_enough_fall;
mod outside_not_routed;
mod overflow_not_guarded;
mod pipe_reduced;
mod pipe_sweats;
mod pipe_too_small;
mod trap_too_deep;
mod vent_missing;

use quantity::{Dim, Finding, Value};
use room::Room;

use super::Drain;

/// What is judged.
#[derive(Clone, Copy)]
pub(super) struct Judged<'a> {
    pub(super) room: &'a Room,
    pub(super) drain: &'a Drain,
    /// Highest dew point that the targets allow \[°C\].
    pub(super) dew_point_c: f64,
}

type Check = fn(&Judged<'_>) -> Vec<Finding>;

/// All checks of this step, in the order of the report.
const CHECKS: &[Check] = &[
    no_drain_point::check,
    outside_not_routed::check,
    drain_above_pan::check,
    not_enough_fall::check,
    no_room_to_rise::check,
    fall_below_code::check,
    trap_too_deep::check,
    pipe_too_small::check,
    pipe_reduced::check,
    no_air_gap::check,
    vent_missing::check,
    double_trap::check,
    overflow_not_guarded::check,
    crosses_door::check,
    crosses_thing::check,
    long_indirect_waste::check,
    pipe_sweats::check,
];

pub(super) fn findings(judged: &Judged<'_>) -> Vec<Finding> {
    CHECKS.iter().flat_map(|check| check(judged)).collect()
}

fn length(m: f64) -> Value {
    Value::new(m, Dim::Length)
}

#[cfg(test)]
pub(super) mod bench {
    //! One or two units in the small room, to be edited around limits.

    use quantity::Finding;
    use room::Room;

    use super::{Check, Judged};
    use crate::common::{Sheet, catalog};
    use crate::drain::{Drain, route, water};
    use crate::placement;
    use crate::units::UnitSet;

    pub(crate) struct Bench {
        pub(crate) room: Room,
        pub(crate) drain: Drain,
    }

    /// A unit over the middle of the room, and a floor drain near the far wall.
    pub(crate) const UNIT: &str = "[[unit]]\ntag = \"D1\"\nmodel = \"generic-150\"\nat = [\"3 m\", \"4 m\", \"3 m\"]\nfacing = \"+x\"\n";
    pub(crate) const DRAIN: &str =
        "[[drain]]\nname = \"FD-1\"\nat = [\"9.5 m\", \"4 m\", \"0 m\"]\n";

    pub(crate) fn bench(more: &[&str]) -> Bench {
        let mut sheet = Sheet::leafy();
        for text in more {
            sheet = sheet.and(text);
        }
        let room = sheet.room();
        let placement = placement::place(&room, catalog(), &UnitSet::EMPTY).unwrap();
        let drain = route(&room, catalog(), &placement).unwrap();
        Bench { room, drain }
    }

    impl Bench {
        pub(crate) fn found(&self, check: Check) -> Vec<Finding> {
            check(&Judged {
                room: &self.room,
                drain: &self.drain,
                dew_point_c: water::wettest_dew_point_c(&self.room).unwrap(),
            })
        }
    }
}
