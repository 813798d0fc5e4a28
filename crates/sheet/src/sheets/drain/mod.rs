//! Sheet of the step "drain": plan of the lines, profile, trap, tables.

mod isometric;
mod plan;
mod profile;
mod section;
mod tables;

use equipment::Catalog;
use job::drain::UnitDrain;
use job::{Drain, Placement};
use quantity::{Text, UnitSystem};
use room::Room;

use crate::report::{Block, Level};

pub use isometric::isometric;
pub use plan::route_plan;
pub use profile::profile;
pub use section::trap_section;

/// Drawings, tables and findings of this step, in reading order.
pub fn blocks(
    room: &Room,
    _catalog: &Catalog,
    _placement: &Placement,
    drain: &Drain,
    units: UnitSystem,
) -> Vec<Block> {
    let mut blocks = vec![Block::Heading(Level::One, "Drain".into())];
    if drain.units.is_empty() {
        blocks.push(Block::Paragraph("No unit is placed in this room.".into()));
        return blocks;
    }
    blocks.push(Block::Paragraph(tables::in_short(room, drain)));
    blocks.push(Block::Figure {
        drawing: route_plan(room, drain, units),
        caption: "Lines in plan. Numbers are points of the line, as in profile and tables; arrows point downhill.".into(),
    });
    if !drain.runs.is_empty() {
        blocks.push(Block::Figure {
            drawing: isometric(room, drain, units),
            caption: "Lines in the room, to scale along x, y and z. Numbers are the points of plan, profile and tables.".into(),
        });
        blocks.extend(tables::segments(room, drain));
    }
    for unit in farthest(drain) {
        if let Some(drawing) = profile(drain, unit, units) {
            blocks.push(Block::Figure {
                drawing,
                caption: Text::from(format!(
                    "Profile of the line from {}. IL is the invert, the lowest inside of the bore; the floor is 0.",
                    unit.tag
                )),
            });
        }
    }
    blocks.push(Block::Heading(Level::Two, "Traps".into()));
    for unit in one_of_each(drain) {
        if let Some(drawing) = trap_section(drain, unit, units) {
            let alike: Vec<&str> = drain
                .units
                .iter()
                .filter(|u| alike(u, unit))
                .map(|u| u.tag.as_str())
                .collect();
            blocks.push(Block::Figure {
                drawing,
                caption: Text::from(format!(
                    "Trap of {}, in section, with the fan running. Build H and J no smaller than drawn.",
                    alike.join(", ")
                )),
            });
        }
    }
    blocks.extend(tables::units(drain));
    blocks.extend(tables::steps(drain));
    blocks.push(Block::Heading(Level::Two, "Findings of the drain".into()));
    blocks.push(Block::Findings(drain.findings.clone()));
    blocks.push(Block::Cautions(tables::cautions()));
    blocks
}

/// Whether two units' traps are built alike.
fn alike(a: &UnitDrain, b: &UnitDrain) -> bool {
    a.trap == b.trap && a.vent.is_some() == b.vent.is_some()
}

/// The first unit of each kind of trap.
fn one_of_each(drain: &Drain) -> Vec<&UnitDrain> {
    let mut firsts: Vec<&UnitDrain> = Vec::new();
    for unit in &drain.units {
        if !firsts.iter().any(|f| alike(f, unit)) {
            firsts.push(unit);
        }
    }
    firsts
}

/// Units whose ways show every segment of the common lines: the farthest of
/// each line, and then those that bring a stretch of main not shown yet.
fn farthest(drain: &Drain) -> Vec<&UnitDrain> {
    let mut shown: Vec<&UnitDrain> = Vec::new();
    let mut by_length: Vec<&UnitDrain> = drain.units.iter().filter(|u| u.way.is_some()).collect();
    let length = |u: &UnitDrain| u.way.as_ref().map_or(0.0, |w| w.length_m);
    by_length.sort_by(|a, b| length(b).total_cmp(&length(a)));
    let mains = |u: &UnitDrain| -> Vec<(usize, usize)> {
        let run = u.way.as_ref().map_or(0, |w| w.run);
        drain.path_of(u).map_or_else(Vec::new, |(r, path)| {
            path.into_iter()
                .filter(|i| r.segments[*i].part == job::drain::LinePart::Main)
                .map(|i| (run, i))
                .collect()
        })
    };
    let mut seen: Vec<(usize, usize)> = Vec::new();
    for unit in by_length {
        let ways = mains(unit);
        let run = unit.way.as_ref().map_or(0, |w| w.run);
        let first_of_run = !shown
            .iter()
            .any(|u| u.way.as_ref().is_some_and(|w| w.run == run));
        if first_of_run || ways.iter().any(|w| !seen.contains(w)) {
            shown.push(unit);
            seen.extend(ways);
        }
    }
    shown
}
