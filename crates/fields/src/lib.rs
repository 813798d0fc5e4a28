//! One table of fields per kind of text file.
//!
//! A [`Format`] lists the sections of a file and the fields of each section:
//! key, kind of quantity, range, default with its source, help. That one table
//! drives the reader ([`Format::read`]), the JSON Schema
//! ([`Format::json_schema`]) and the manual ([`Format::manual`]). There is no
//! second copy of it anywhere.
//!
//! The text is TOML. A quantity is a string with its unit (`"40 ft"`); a bare
//! number is refused where a unit is needed. All problems of a file are found
//! in one pass, each with its place and how to mend it.

mod assumption;
mod datum;
mod decode;
pub mod edit;
mod manual;
mod map;
mod problem;
mod read;
mod reading;
mod schema;
mod syntax;
mod table;

pub use assumption::Assumption;
pub use decode::{MAX_BYTES, decode};
pub use map::Map;
pub use problem::{Fault, Problem, Problems};
pub use reading::{Entry, Reading};
pub use table::{Column, Field, Format, Kind, Need, Repeat, Section, Word, limits};
