//! Numbers that others published, each with its source.

#[path = "published/coil_split.rs"]
mod coil_split;
#[path = "published/ratings.rs"]
mod ratings;
