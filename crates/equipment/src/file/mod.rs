//! Machine files: the tables of fields, reading and writing.

use fields::{Entry, Fault, Problem};

mod check;
mod controller_format;
mod cooler_format;
mod model_format;
mod read_controller;
mod read_cooler;
mod read_model;
mod write;
mod write_cooler;
mod write_model;

pub use controller_format::CONTROLLER_FORMAT;
pub use cooler_format::COOLER_FORMAT;
pub use model_format::MODEL_FORMAT;
pub use read_controller::read_controller;
pub use read_cooler::read_cooler;
pub use read_model::read_model;
pub use write_cooler::write_cooler;
pub use write_model::write_record;

/// A problem with what a key of this entry says.
fn wrong(entry: &Entry, fault: Fault, key: &str, what: &str, mend: &str) -> Box<Problem> {
    Box::new(entry.problem(fault, key, what, mend))
}
