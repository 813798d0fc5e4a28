//! Sheets that crews build from, one per step. They lay out what the steps of
//! the job found and decide nothing.

pub mod control;
pub mod crew;
pub mod drain;
pub mod fault;
pub mod handover;
pub mod hanging;
mod iso;
pub mod kit;
pub mod labels;
pub mod machine;
pub mod placement;
pub mod power;
pub mod proof;
pub mod shared;
mod structure;
pub mod survey;

use equipment::Catalog;
use job::Design;
use quantity::UnitSystem;
use room::Room;

use crate::report::Block;

/// Every step's sheet with the name of the step, in the order of the job.
pub fn all(
    room: &Room,
    catalog: &Catalog,
    design: &Design,
    units: UnitSystem,
) -> Vec<(&'static str, Vec<Block>)> {
    let placed = &design.placement;
    vec![
        ("placement", placement::blocks(room, catalog, placed, units)),
        (
            "hanging",
            hanging::blocks(room, catalog, placed, &design.hanging, units),
        ),
        (
            "drain",
            drain::blocks(room, catalog, placed, &design.drain, units),
        ),
        (
            "power",
            power::blocks(
                room,
                catalog,
                placed,
                (&design.power, &design.control),
                units,
            ),
        ),
        ("control", control::blocks(&design.control)),
    ]
}

/// Plans that are handed on as DXF: name of the file, name of the drawing
/// that holds the plan, name of the view.
pub const PLANS: [(&str, &str, &str); 2] = [
    ("plan", "placement-1", placement::VIEW),
    ("hanging", "hanging-1", hanging::VIEW),
];
