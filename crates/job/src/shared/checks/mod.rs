//! Checks of what rooms share: those of a panel, and these, one file per
//! fault.

mod main_size_unknown;
mod main_too_small;
mod panel_told_differently;

use quantity::Finding;

use super::{InRoom, SharedMain, SharedPanel, panels};

/// All findings, panels first.
pub(super) fn findings(
    rooms: &[InRoom<'_>],
    shared: &[SharedPanel],
    mains: &[SharedMain],
) -> Vec<Finding> {
    let mut all = panels::findings(rooms, shared);
    all.extend(panel_told_differently::check(rooms, shared));
    all.extend(main_too_small::check(mains));
    all.extend(main_size_unknown::check(mains));
    all
}
