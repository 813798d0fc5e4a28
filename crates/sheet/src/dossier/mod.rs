//! The dossier of one room: a page that a customer understands, then what
//! stands behind it, then the workings.
//!
//! It lays out what the steps of the job found and decides nothing.

mod appendix;
pub mod day;
pub mod figures;
mod first_page;
pub mod loads;
pub mod selection;

pub use appendix::honest;

use equipment::Catalog;
use job::Design;
use quantity::{Severity, UnitSystem};
use room::Room;

use crate::report::{Block, Report, TitleBlock};
use crate::sheets;

/// How much of the workings the dossier prints.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Workings {
    /// All of them, as an appendix.
    Appended,
    /// None; they are in the numbers file.
    LeftOut,
}

/// The dossier of a designed room.
///
/// - `units`: the reader's
pub fn dossier(
    room: &Room,
    catalog: &Catalog,
    design: &Design,
    units: UnitSystem,
    workings: Workings,
) -> Report {
    let mut report = Report::new(title_block(room, design, units));
    report
        .blocks
        .extend(first_page::blocks(room, design, units));
    report.blocks.extend(loads::blocks(room, design, units));
    report.blocks.extend(selection::blocks(room, design));
    report.blocks.extend(day::blocks(room, design, units));
    for (_, sheet) in sheets::all(room, catalog, design, units) {
        if !sheet.is_empty() {
            report.push(Block::PageBreak);
            report.blocks.extend(sheet);
        }
    }
    report
        .blocks
        .extend(sheets::crew::blocks(room, design, units));
    let labels = sheets::labels::blocks(&report.meta, catalog, &design.placement, units);
    report.blocks.extend(labels);
    report.push(Block::PageBreak);
    report
        .blocks
        .extend(appendix::blocks(room, design, units, workings));
    report
}

/// Title block from the files.
pub fn title_block(room: &Room, design: &Design, units: UnitSystem) -> TitleBlock {
    let given = |text: &Option<quantity::Given<String>>| {
        text.as_ref().map_or_else(String::new, |t| t.value.clone())
    };
    TitleBlock {
        job: given(&room.site.job),
        room: room.name.value.clone(),
        sheet_prefix: "D".into(),
        revision: given(&room.site.revision),
        date: given(&room.site.date),
        design_id: design.id.clone(),
        units,
    }
}

/// The finding of a design in a line, for titles.
fn verdict(design: &Design) -> String {
    let stops = design
        .findings()
        .iter()
        .filter(|f| f.severity == Severity::Stop)
        .count();
    let judged = &design.day.judged;
    let held = format!("{} of {} drawn days hold", judged.held_days, judged.days);
    match stops {
        0 => format!("{}: {held}", judged.units.words()),
        1 => format!("{}: {held}; one finding says Stop", judged.units.words()),
        n => format!("{}: {held}; {n} findings say Stop", judged.units.words()),
    }
}
