//! Sheet of the placement: plan, elevation, isometric view, tables, findings.

mod elevation;
mod isometric;
mod marks;
mod plan;
mod tables;

use equipment::Catalog;
use job::Placement;
use quantity::{Severity, Text, UnitSystem};
use room::Room;

pub use elevation::elevation;
pub use isometric::isometric;
pub use plan::{VIEW, plan};

use crate::report::{Block, Level};

/// Drawings, tables and findings of this step, in reading order.
pub fn blocks(
    room: &Room,
    catalog: &Catalog,
    placement: &Placement,
    units: UnitSystem,
) -> Vec<Block> {
    let mut findings = placement.findings.clone();
    findings.sort_by_key(|f| std::cmp::Reverse(f.severity));
    let stops = findings.iter().any(|f| f.severity == Severity::Stop);
    let mut all = vec![
        Block::Heading(Level::One, "Placement of the units".into()),
        Block::Paragraph(
            if stops {
                "Do not build so: at least one finding below says stop. "
            } else {
                "Where each unit, the sensor and the openings are, in the room's own axes: x from the door wall, y from the near side wall, z from the floor. "
            }
            .into(),
        ),
    ];
    let figure = |drawing, caption: &'static str| Block::Figure {
        drawing,
        caption: caption.into(),
    };
    all.push(figure(
        plan(room, catalog, placement, units),
        "Plan. Dimensions run from two walls to the middle of each unit; check them on site before drilling.",
    ));
    all.push(Block::Table(tables::units(catalog, placement)));
    all.push(Block::Table(tables::clearances(catalog, placement)));
    all.push(figure(
        elevation(room, catalog, placement, units),
        "Elevation with heights above the finished floor.",
    ));
    all.push(figure(
        isometric(room, catalog, placement, units),
        "Isometric view, to scale along x, y and z; dimensions are in plan and elevation.",
    ));
    all.push(Block::Table(tables::jets(placement)));
    all.push(Block::Remark(
        "Jets are taken as free and of the room's own temperature: a wall or ceiling beside one carries it further, benches and crop stop it, warm air rises and cold air falls. The short-circuit shares are good to a factor of two either way.".into(),
    ));
    all.push(Block::Findings(findings));
    all.push(Block::Cautions(cautions()));
    all
}

fn cautions() -> Vec<Text> {
    [
        "Mark every place on site before drilling; what nobody surveyed may be in the way.",
        "Nobody stands beneath a unit that is being lifted; use a lift rated for its mass.",
        "Keep sprinklers, detectors, exits and the working space before panels free; the authority having jurisdiction decides.",
        "Rooms enriched with carbon dioxide: read the meter before entering and keep the alarm on while working.",
        "After spraying, wait for the re-entry time on the label; sulphur burners and foggers harm coils: keep them off while units run.",
        "Lamps are too bright to look into and hot: work with lights off or with eye protection.",
    ]
    .into_iter()
    .map(Text::from)
    .collect()
}
