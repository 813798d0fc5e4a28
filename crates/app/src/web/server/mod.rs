//! Takes connections; keeps out what does not belong before any page is asked.

mod certificate;
mod guard;
mod headers;
mod lan;
mod listen;
mod open;
mod pace;
mod panic;
mod refusals;
mod routes;
mod run;
mod sent;
mod sharing;

pub(super) use certificate::Firm;
pub(super) use guard::{FORM, Peer, Visitor, only};
pub(super) use panic::{log_panics, take_number};
pub(super) use run::run;
pub(super) use sharing::{How, Listening, Shared, Sharing};
