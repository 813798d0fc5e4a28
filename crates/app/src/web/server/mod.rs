//! Takes connections; keeps out what does not belong before any page is asked.

mod guard;
mod headers;
mod listen;
mod panic;
mod routes;

pub(super) use guard::Visitor;
pub(super) use listen::run;
pub(super) use panic::{log_panics, take_number};
