//! Checks of what rooms share: those of a panel, and these, one file per
//! fault.

mod generator_told_differently;
mod main_size_unknown;
mod main_too_small;
mod panel_told_differently;
mod told;

use quantity::Finding;

use super::{InRoom, SharedGenerator, SharedMain, SharedPanel, generators, panels};

/// All findings, panels first.
pub(super) fn findings(
    rooms: &[InRoom<'_>],
    shared: &[SharedPanel],
    sets: &[SharedGenerator],
    mains: &[SharedMain],
) -> Vec<Finding> {
    let mut all = panels::findings(rooms, shared);
    all.extend(panel_told_differently::check(rooms, shared));
    all.extend(generators::findings(rooms, sets));
    all.extend(generator_told_differently::check(rooms, sets));
    all.extend(main_too_small::check(mains));
    all.extend(main_size_unknown::check(mains));
    all
}
