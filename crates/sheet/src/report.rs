//! A report: title block and blocks in reading order.
//!
//! It holds quantities, not text: units are chosen when it is shown. What it
//! looks like on paper or in a page is the writers' affair; both take it from
//! one place, so that they say the same.

use std::sync::Arc;

use quantity::{Dim, Finding, Source, Text, UnitSystem, Value, Working};

use crate::drawing::Drawing;
use crate::families::Family;

/// What stands on every sheet.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TitleBlock {
    /// Name of the job.
    pub job: String,
    /// Name of the room; empty for the whole job.
    pub room: String,
    /// Sheet code without the page number ("H" gives H-1, H-2 …).
    pub sheet_prefix: String,
    /// Revision from the file.
    pub revision: String,
    /// Date from the file, as it is to be shown.
    pub date: String,
    /// Id of the design; its first digits are shown.
    pub design_id: String,
    /// Units that the reader uses.
    pub units: UnitSystem,
}

/// Title block and blocks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Report {
    /// What stands on every sheet.
    pub meta: TitleBlock,
    /// Content in reading order.
    pub blocks: Vec<Block>,
}

/// One piece of a report.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// Title of the report; once, first.
    Title {
        /// The title.
        title: Text,
        /// What it is about, in a line; may be empty.
        subtitle: Text,
    },
    /// Heading.
    Heading(Level, Text),
    /// Paragraph.
    Paragraph(Text),
    /// Remark of second rank.
    Remark(Text),
    /// Table.
    Table(Table),
    /// Drawing with a caption.
    Figure {
        /// The drawing; its `alt` is the text for readers who cannot see it.
        drawing: Drawing,
        /// What the reader shall see in it.
        caption: Text,
    },
    /// Photo with a caption.
    Photo(Photo),
    /// Findings, worst first; an empty list says that there are none.
    Findings(Vec<Finding>),
    /// The same in short, for a first page: what is so and what to do.
    FindingsInShort {
        /// The findings, worst first when shown.
        findings: Vec<Finding>,
        /// A sentence after them, or in their place; may be empty.
        note: Text,
    },
    /// How numbers came about. Workings inside inputs are shown too, once.
    Workings(Vec<Working>),
    /// The same in short: what several units or periods share stands once.
    Families(Vec<Family>),
    /// What was assumed.
    Assumptions(Vec<Assumption>),
    /// What the reader must not forget.
    Cautions(Vec<Text>),
    /// What is to be measured or asked, with a box to tick.
    Errands(Vec<Errand>),
    /// A few large numbers.
    KeyFigures(Vec<KeyFigure>),
    /// Start of a new page.
    PageBreak,
}

/// A photo.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Photo {
    /// As JPEG.
    pub jpeg: Arc<[u8]>,
    /// Width in dots, from 1.
    pub width: u32,
    /// Height in dots, from 1.
    pub height: u32,
    /// What it is of; for readers who cannot see it too.
    pub caption: String,
}

/// Rank of a heading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Chapter.
    One,
    /// Section.
    Two,
    /// Part of a section.
    Three,
}

/// A table. Its rows have as many cells as it has columns; missing ones are
/// shown blank, further ones are dropped.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// What the table says; may be empty.
    pub caption: Text,
    /// Columns from the left.
    pub columns: Vec<Column>,
    /// Rows from the top.
    pub rows: Vec<Vec<Cell>>,
    /// Row under a rule, for sums.
    pub total: Option<Vec<Cell>>,
}

/// A column of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Head, without the unit.
    pub head: Text,
    /// Kind of quantity, if all its values are of one: its unit then stands in
    /// the head and the cells hold plain numbers.
    pub dim: Option<Dim>,
    /// Units of this column where they are not the reader's, so that one table
    /// can show pints beside litres.
    pub units: Option<UnitSystem>,
    /// How its cells line up.
    pub align: Align,
}

/// How cells line up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// At the left, for words.
    Left,
    /// At the right, for numbers.
    Right,
}

/// A cell of a table. Blank, not applicable, unknown and zero are four
/// different things.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Cell {
    /// Words.
    Text(Text),
    /// Quantity.
    Value(Value),
    /// Nothing to say.
    #[default]
    Blank,
    /// Does not apply: "–".
    NotApplicable,
    /// Not known: "?".
    Unknown,
}

/// Something that was assumed.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumption {
    /// What.
    pub what: Text,
    /// Under which keys of the file it can be said instead; may be empty.
    pub keys: String,
    /// What was taken; empty where `what` says it.
    pub taken: Text,
    /// On what grounds.
    pub source: Source,
}

/// Something to do on site that makes the answer better.
#[derive(Clone, Debug, PartialEq)]
pub struct Errand {
    /// What to do.
    pub what: Text,
    /// What it decides.
    pub why: Text,
}

/// A large number for the reader in a hurry.
#[derive(Clone, Debug, PartialEq)]
pub struct KeyFigure {
    /// What it is.
    pub label: Text,
    /// The number.
    pub value: Value,
    /// Whether the other system of units stands beside it.
    pub units: KeyUnits,
    /// What to know about it; may be empty.
    pub note: Text,
}

/// In which units a key figure stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KeyUnits {
    /// The reader's.
    Reader,
    /// The reader's, and the other system in square brackets.
    Both,
}

impl Table {
    /// The same table with rows that read alike but for their first cell put
    /// into one, whose first cell names them all.
    #[must_use]
    pub fn alike_once(mut self) -> Self {
        let mut kept: Vec<Vec<Cell>> = Vec::new();
        for row in std::mem::take(&mut self.rows) {
            let alike = kept.iter_mut().find(|k| {
                k.len() == row.len() && k.iter().zip(&row).skip(1).all(|(a, b)| a.reads_as(b))
            });
            match (alike, row.first()) {
                (Some(known), Some(name)) => known[0] = known[0].and(name),
                _ => kept.push(row),
            }
        }
        self.rows = kept;
        self
    }
}

impl Cell {
    /// Whether a reader sees the same, in either system of units.
    fn reads_as(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Value(a), Self::Value(b)) => {
                a.dim == b.dim
                    && [UnitSystem::Metric, UnitSystem::Us]
                        .into_iter()
                        .all(|units| a.show(units) == b.show(units))
            }
            (a, b) => a == b,
        }
    }

    /// This cell and another, as a list of words.
    fn and(&self, other: &Self) -> Self {
        match (self, other) {
            (Self::Text(a), Self::Text(b)) => Self::Text(a.clone().words(", ").and(b)),
            (one, _) => one.clone(),
        }
    }
}

impl Column {
    /// A column of words.
    pub fn words(head: impl Into<Text>) -> Self {
        Self {
            head: head.into(),
            dim: None,
            units: None,
            align: Align::Left,
        }
    }

    /// A column of quantities of one kind; the unit goes into the head.
    pub fn of(head: impl Into<Text>, dim: Dim) -> Self {
        Self {
            head: head.into(),
            dim: Some(dim),
            units: None,
            align: Align::Right,
        }
    }

    /// A column of quantities of several kinds, each with its unit.
    pub fn mixed(head: impl Into<Text>) -> Self {
        Self {
            head: head.into(),
            dim: None,
            units: None,
            align: Align::Right,
        }
    }

    /// The same column in these units, whatever the reader uses.
    #[must_use]
    pub fn in_units(self, units: UnitSystem) -> Self {
        Self {
            units: Some(units),
            ..self
        }
    }
}

impl From<Value> for Cell {
    fn from(value: Value) -> Self {
        Self::Value(value)
    }
}

impl From<Text> for Cell {
    fn from(text: Text) -> Self {
        Self::Text(text)
    }
}

impl From<&'static str> for Cell {
    fn from(words: &'static str) -> Self {
        Self::Text(words.into())
    }
}

impl From<String> for Cell {
    fn from(words: String) -> Self {
        Self::Text(words.into())
    }
}

impl Report {
    /// An empty report.
    pub fn new(meta: TitleBlock) -> Self {
        Self {
            meta,
            blocks: Vec::new(),
        }
    }

    /// Adds a block.
    pub fn push(&mut self, block: Block) {
        self.blocks.push(block);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_that_read_alike_are_one() {
        let row = |name: &'static str, si: f64| {
            vec![
                Cell::from(name),
                Cell::from(Value::new(si, Dim::Force)),
                Cell::Unknown,
            ]
        };
        let table = Table {
            rows: vec![row("D1", 100.0), row("D2", 200.0), row("D3", 100.000_01)],
            ..Table::default()
        };
        let rows = table.alike_once().rows;
        assert_eq!(rows.len(), 2);
        assert_eq!(rows[0][0], Cell::from("D1").and(&Cell::from("D3")));
        assert_eq!(rows[1][0], Cell::from("D2"));
    }
}
