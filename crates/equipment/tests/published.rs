//! Numbers that others published, each with its source.
#![allow(clippy::print_stdout, reason = "the measured differences are shown")]

#[path = "published/coil_split.rs"]
mod coil_split;
#[path = "published/cooling_map.rs"]
mod cooling_map;
#[path = "published/ratings.rs"]
mod ratings;
