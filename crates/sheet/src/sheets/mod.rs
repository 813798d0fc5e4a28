//! Sheets that crews build from, one per step. They lay out what the steps of
//! the job found and decide nothing.

pub mod control;
pub mod drain;
pub mod hanging;
pub mod kit;
pub mod labels;
pub mod placement;
pub mod power;
pub mod survey;
