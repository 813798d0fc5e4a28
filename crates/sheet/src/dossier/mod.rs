//! The dossier of one room: a page that a customer understands, then what
//! stands behind it, then the workings.
//!
//! It lays out what the steps of the job found and decides nothing.

mod appendix;
pub mod beside;
pub mod day;
pub mod figures;
mod first_page;
pub mod loads;
pub mod selection;

pub use appendix::honest;

use equipment::Catalog;
use job::Design;
use job::proof::{Proof, changed_since};
use quantity::{Severity, UnitSystem, Working};
use room::{Room, Site};

use crate::drawing::Drawing;
use crate::families::{Families, Family};
use crate::numbers;
use crate::report::{Block, Level, Report, TitleBlock};
use crate::sheets;
use crate::sheets::proof::LogRead;

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
    Dossier::new(room, catalog, design, units, workings).report
}

/// A dossier whose drawings have names, so that they are made once and serve
/// on its pages and as files of their own.
///
/// A drawing names its typeface and does not carry it: three font files would
/// make each of them half a megabyte larger, and a part of a font may not bear
/// its reserved name. Opened alone it falls back to the viewer's sans serif;
/// in the dossier it is set as drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Dossier {
    /// Its pages.
    pub report: Report,
    /// Names of drawings and the blocks that they stand in.
    names: Vec<(String, usize)>,
}

impl Dossier {
    /// The dossier of a designed room.
    ///
    /// - `units`: the reader's
    pub fn new(
        room: &Room,
        catalog: &Catalog,
        design: &Design,
        units: UnitSystem,
        workings: Workings,
    ) -> Self {
        Self::with_proof(room, catalog, design, None, (units, workings))
    }

    /// The same with the proof from logs that was kept for the room.
    ///
    /// - `units`: the reader's
    pub fn with_proof(
        room: &Room,
        catalog: &Catalog,
        design: &Design,
        proof: Option<Kept<'_>>,
        (units, workings): (UnitSystem, Workings),
    ) -> Self {
        let mut chapters = chapters(design).to_vec();
        if let Some(Kept::Made(kept)) = proof {
            chapters.push((PROOF, &kept.proof.workings[..]));
        }
        let families = match workings {
            Workings::Appended => Families::new(&chapters),
            Workings::LeftOut => Families::default(),
        };
        let mut all = Self {
            report: Report::new(title_block(room, design, units)),
            names: Vec::new(),
        };
        all.add(first_page::blocks(room, design, units), &["capacity"]);
        let loads = loads::blocks(room, design, None, units);
        all.add(worked(loads, &families, "Loads"), &["load", "ranges"]);
        let selection = selection::blocks(room, design);
        all.add(worked(selection, &families, "Selection"), NONE);
        let day = day::blocks(room, design, None, units);
        all.add(day, &["day", "psychrometric"]);
        for (step, sheet) in sheets::all(room, catalog, design, units) {
            if !sheet.is_empty() {
                let figures = sheet.iter().filter(|b| is_figure(b)).count();
                let names: Vec<String> = (1..=figures).map(|i| format!("{step}-{i}")).collect();
                all.report.push(Block::PageBreak);
                all.add(worked(sheet, &families, title(step)), &names);
            }
        }
        all.add(sheets::crew::blocks(room, design, units), NONE);
        let labels = sheets::labels::how_to_print(&design.placement);
        all.add(labels, NONE);
        all.add(
            sheets::survey::one_sheet(room, &room::ROOM_FORMAT, units),
            NONE,
        );
        if let Some(kept) = proof {
            let blocks = match kept {
                Kept::Made(kept) => worked(kept.blocks(room, design, units), &families, PROOF),
                Kept::NotMade(why) => vec![
                    Block::Heading(Level::One, PROOF.into()),
                    Block::Paragraph(
                        format!("A proof was kept for this room and cannot be made again: {why}.")
                            .into(),
                    ),
                ],
            };
            all.report.push(Block::PageBreak);
            all.add(blocks, NONE);
        }
        all.report.push(Block::PageBreak);
        let appendix = appendix::blocks(room, design, units, &all.report.blocks, &families);
        all.add(appendix, NONE);
        all
    }

    /// Its drawings, each with the name of its file, in reading order.
    pub fn drawings(&self) -> impl Iterator<Item = (&str, &Drawing)> {
        self.names
            .iter()
            .filter_map(|(name, at)| match self.report.blocks.get(*at) {
                Some(Block::Figure { drawing, .. }) => Some((name.as_str(), drawing)),
                _ => None,
            })
    }

    /// Plans that are handed on as DXF: name of the file, drawing, name of
    /// the view.
    pub fn plans(&self) -> impl Iterator<Item = (&'static str, &Drawing, &'static str)> {
        sheets::PLANS
            .into_iter()
            .filter_map(|(name, figure, view)| {
                self.drawings()
                    .find(|(n, _)| *n == figure)
                    .map(|(_, drawing)| (name, drawing, view))
            })
    }

    /// Adds blocks; their first figures get these names.
    fn add(&mut self, blocks: Vec<Block>, names: &[impl AsRef<str>]) {
        let begin = self.report.blocks.len();
        let figures = blocks.iter().enumerate().filter(|(_, b)| is_figure(b));
        self.names.extend(
            figures
                .zip(names)
                .map(|((i, _), name)| (name.as_ref().to_owned(), begin + i)),
        );
        self.report.blocks.extend(blocks);
    }
}

/// Title of the chapter of the proof.
const PROOF: &str = "Proof from logs";

/// What became of a proof that was kept for the dossier.
#[derive(Clone, Copy, Debug)]
pub enum Kept<'a> {
    /// It was made again.
    Made(KeptChapter<'a>),
    /// It could not be made again, and why.
    NotMade(&'a str),
}

/// A proof that was kept for the dossier, made again.
#[derive(Clone, Copy, Debug)]
pub struct KeptChapter<'a> {
    /// The proof, of the room as it is now.
    pub proof: &'a Proof,
    /// The logs as they were read.
    pub logs: &'a [LogRead<'a>],
    /// Id of the design that it was kept for.
    pub design_id: &'a str,
    /// Logs whose readings are other than when it was kept.
    pub changed_logs: &'a [String],
}

impl KeptChapter<'_> {
    fn blocks(&self, room: &Room, design: &Design, units: UnitSystem) -> Vec<Block> {
        let mut blocks = sheets::proof::blocks(room, self.proof, self.logs, units);
        let kept = format!("Kept for design {:.8}.", self.design_id);
        // After the heading.
        blocks.insert(1, Block::Remark(kept.into()));
        let since = changed_since(self.design_id, &design.id, self.changed_logs);
        if let Some(Block::Findings(all)) =
            blocks.iter_mut().find(|b| matches!(b, Block::Findings(_)))
        {
            all.extend(since);
        }
        blocks
    }
}

/// Drawings that stand in the dossier only.
const NONE: &[&str] = &[];

fn is_figure(block: &Block) -> bool {
    matches!(block, Block::Figure { .. })
}

/// Workings of the design, chapter by chapter.
fn chapters(design: &Design) -> [(&'static str, &[Working]); 7] {
    [
        ("Loads", &design.load.workings),
        ("Selection", &design.selection.workings),
        ("Placement", &design.placement.workings),
        ("Hanging", &design.hanging.workings),
        ("Drain", &design.drain.workings),
        ("Power", &design.power.workings),
        ("Control", &design.control.workings),
    ]
}

/// Title of a step's chapter.
fn title(step: &str) -> &'static str {
    match step {
        "placement" => "Placement",
        "hanging" => "Hanging",
        "drain" => "Drain",
        "power" => "Power",
        _ => "Control",
    }
}

/// The blocks of a chapter with a line that says which workings of the
/// appendix made their numbers; it stands before the findings.
fn worked(mut blocks: Vec<Block>, families: &Families, title: &str) -> Vec<Block> {
    let of: Vec<&Family> = families.of(title).collect();
    if of.is_empty() {
        return blocks;
    }
    let findings = blocks
        .iter()
        .position(|b| matches!(b, Block::Findings(_)))
        .unwrap_or(blocks.len());
    let at = match findings.checked_sub(1).and_then(|i| blocks.get(i)) {
        Some(Block::Heading(..)) => findings - 1,
        _ => findings,
    };
    let list = if MOST_NAMED < of.len() {
        let numbers: Vec<usize> = of.iter().map(|f| f.number).collect();
        format!("numbers {}", runs(&numbers))
    } else {
        let named = of.iter().map(|f| format!("{}\u{a0}{}", f.number, f.name));
        named.collect::<Vec<_>>().join("; ")
    };
    let stop = if list.ends_with('…') { "" } else { "." };
    let line = format!("Workings at the end: {list}{stop}");
    blocks.insert(at, Block::Remark(line.into()));
    blocks
}

/// Workings that a chapter names one by one; more are told by their numbers, or
/// nobody reads on.
const MOST_NAMED: usize = 24;

/// Numbers with those that follow each other drawn together: "3 to 7, 9".
fn runs(numbers: &[usize]) -> String {
    let mut sorted = numbers.to_vec();
    sorted.sort_unstable();
    let mut all: Vec<(usize, usize)> = Vec::new();
    for n in sorted {
        match all.last_mut() {
            Some((_, to)) if *to + 1 == n || *to == n => *to = n,
            _ => all.push((n, n)),
        }
    }
    let words = all.iter().map(|(from, to)| match to - from {
        0 => from.to_string(),
        _ => format!("{from} to {to}"),
    });
    words.collect::<Vec<_>>().join(", ")
}

/// What a site file gives the title block of every sheet of the job.
///
/// - `units`: the reader's
pub fn title_of_site(site: &Site, units: UnitSystem) -> TitleBlock {
    let given = |text: &Option<quantity::Given<String>>| {
        text.as_ref().map_or_else(String::new, |t| t.value.clone())
    };
    TitleBlock {
        job: given(&site.job),
        revision: given(&site.revision),
        date: given(&site.date),
        units,
        ..TitleBlock::default()
    }
}

/// Title block from the files.
pub fn title_block(room: &Room, design: &Design, units: UnitSystem) -> TitleBlock {
    TitleBlock {
        room: room.name.value.clone(),
        sheet_prefix: numbers::DOSSIER.into(),
        design_id: design.id.clone(),
        ..title_of_site(&room.site, units)
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

#[cfg(test)]
mod tests {
    use super::runs;

    #[test]
    fn numbers_that_follow_each_other_are_drawn_together() {
        assert_eq!(runs(&[7, 3, 4, 5, 9, 4]), "3 to 5, 7, 9");
        assert_eq!(runs(&[2]), "2");
    }
}
