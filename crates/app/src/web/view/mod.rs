//! HTML of what all pages share.

pub(super) mod blocks;
pub(super) mod code;
pub(super) mod diff;
pub(super) mod form;
pub(super) mod layout;
pub(super) mod run;
pub(super) mod tally;
pub(super) mod zoom;
