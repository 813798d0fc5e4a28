//! The steps of the job, each a module that reads only earlier steps.
//!
//! [`design`] is the trunk. Pure functions throughout: the same files give the
//! same result, on any number of threads. Nothing here opens a file or draws a
//! picture.

pub mod airs;
mod cooling;
pub mod day;
mod design;
mod error;
mod finding;
pub mod load;
mod machines;
mod progress;
pub mod selection;
mod simulate;
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

pub use day::Day;
pub use design::{Design, Inputs, design};
pub use error::JobError;
pub use load::Load;
pub use progress::{Cancelled, Effort, Progress, Silent};
pub use selection::Selection;
pub use simulate::{HoldRule, Judged};
pub use uncertain::{Draw, Uncertain};
pub use units::UnitSet;
pub use zone::{DRY_BULB_TOLERANCE_K, HUMIDITY_TOLERANCE};
