//! The steps of the job, each a module that reads only earlier steps.
//!
//! [`design`] is the trunk. Pure functions throughout: the same files give the
//! same result, on any number of threads. Nothing here opens a file or draws a
//! picture.

pub mod acceptance;
pub mod airs;
pub mod control;
mod cooling;
pub mod day;
mod design;
pub mod drain;
mod error;
mod finding;
mod friction;
pub mod geometry;
pub mod hanging;
pub mod load;
mod machines;
pub mod parts;
pub mod placement;
pub mod power;
mod progress;
pub mod proof;
pub mod record;
mod remembered;
pub mod selection;
pub mod service;
mod settable;
pub mod shared;
mod simulate;
pub mod startup;
mod stats;
pub mod survey;
mod uncertain;
mod units;
mod zone;

// Tests beside the code name the crate as those of the tests folder do.
#[cfg(test)]
extern crate self as job;
#[cfg(test)]
#[path = "../tests/common/mod.rs"]
mod common;

pub use control::Control;
pub use day::Day;
pub use design::{Design, Inputs, design, design_id};
pub use drain::Drain;
pub use error::JobError;
pub use hanging::Hanging;
pub use load::Load;
pub use parts::Part;
pub use placement::{PlacedBy, PlacedUnit, Placement};
pub use power::Power;
pub use progress::{Cancelled, Effort, Progress, Silent};
pub use proof::Proof;
pub use selection::Selection;
pub use simulate::{HoldRule, Judged};
pub use uncertain::{Draw, Uncertain};
pub use units::{UnitAir, UnitSet};
pub use zone::{DRY_BULB_TOLERANCE_K, HUMIDITY_TOLERANCE};
