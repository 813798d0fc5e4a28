//! Numbers that others published, each with its source.

mod common;

#[path = "published/cooling_cases.rs"]
mod cooling_cases;
#[path = "published/zone_moisture.rs"]
mod zone_moisture;
