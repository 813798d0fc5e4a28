//! The parts that a report is shown in.

use std::sync::Arc;

use serde::Serialize;

use crate::drawing::Drawing;

/// A report as words.
#[derive(Clone, Debug, Serialize)]
pub struct Shown {
    /// Title block.
    pub meta: ShownMeta,
    /// Title of the document.
    pub title: String,
    /// Content in reading order.
    pub blocks: Vec<ShownBlock>,
}

/// The title block as words.
#[derive(Clone, Debug, Serialize)]
pub struct ShownMeta {
    /// Name of the job.
    pub job: String,
    /// Name of the room.
    pub room: String,
    /// Sheet code without the page number.
    pub sheet_prefix: String,
    /// Revision.
    pub revision: String,
    /// Date.
    pub date: String,
    /// First digits of the design id.
    pub design_id: String,
    /// What every sheet says about its use.
    pub defer: &'static str,
}

/// One piece of a shown report.
#[derive(Clone, Debug, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum ShownBlock {
    /// Title.
    Title {
        /// The title.
        title: String,
        /// A line under it.
        subtitle: String,
    },
    /// Heading.
    Heading {
        /// Rank from 1.
        level: u8,
        /// Words.
        text: String,
    },
    /// Paragraph.
    Paragraph {
        /// Words.
        text: String,
    },
    /// Remark of second rank.
    Remark {
        /// Words.
        text: String,
    },
    /// Table.
    Table(ShownTable),
    /// Figure.
    Figure {
        /// Name of its SVG file.
        file: String,
        /// Width \[mm\].
        width_mm: f64,
        /// Height \[mm\].
        height_mm: f64,
        /// Caption.
        caption: String,
        /// Content in words.
        alt: String,
        /// The drawing itself.
        #[serde(skip)]
        drawing: Drawing,
    },
    /// Photo.
    Photo {
        /// Name of its JPEG file.
        file: String,
        /// Width \[mm\].
        width_mm: f64,
        /// Height \[mm\].
        height_mm: f64,
        /// Caption.
        caption: String,
        /// What it is of.
        alt: String,
        /// The picture itself.
        #[serde(skip)]
        jpeg: Arc<[u8]>,
    },
    /// Findings, worst first.
    Findings {
        /// The findings.
        items: Vec<ShownFinding>,
    },
    /// Findings in short, worst first.
    FindingsInShort {
        /// The findings.
        items: Vec<ShownFinding>,
        /// A sentence after them.
        note: String,
    },
    /// Workings.
    Workings {
        /// In which units the equations hold.
        note: &'static str,
        /// The workings; those that others build on stand before them.
        items: Vec<ShownWorking>,
        /// Where given inputs come from; inputs refer to them by number.
        sources: Vec<ShownSource>,
    },
    /// Assumptions.
    Assumptions {
        /// The assumptions.
        items: Vec<ShownAssumption>,
    },
    /// Cautions.
    Cautions {
        /// The cautions.
        items: Vec<String>,
    },
    /// Errands.
    Errands {
        /// The errands.
        items: Vec<ShownErrand>,
    },
    /// Key figures.
    KeyFigures {
        /// The figures.
        items: Vec<ShownKeyFigure>,
    },
    /// New page.
    PageBreak,
}

/// A table as words.
#[derive(Clone, Debug, Default, Serialize)]
pub struct ShownTable {
    /// What it says.
    pub caption: String,
    /// Heads of its columns.
    pub columns: Vec<ShownColumn>,
    /// Rows, each as long as there are columns.
    pub rows: Vec<Vec<String>>,
    /// The row of sums.
    pub total: Option<Vec<String>>,
    /// Numbers of the workings that its cells come from, row by row and then
    /// of the sums; where the report has such workings.
    #[serde(skip)]
    pub workings: Vec<Vec<Option<usize>>>,
}

/// Head of a column.
#[derive(Clone, Debug, Serialize)]
pub struct ShownColumn {
    /// Words, with the unit after a comma.
    pub head: String,
    /// "left" or "right".
    pub align: &'static str,
    /// Width under which a word would break \[mm\].
    pub least_mm: f64,
    /// Width in which no cell breaks, and the head not more than once \[mm\].
    pub wished_mm: f64,
}

/// An assumption as words.
#[derive(Clone, Debug, Serialize)]
pub struct ShownAssumption {
    /// What.
    pub what: String,
    /// Keys of the file, or empty.
    pub keys: String,
    /// What was taken.
    pub taken: String,
    /// On what grounds.
    pub source: String,
}

/// A source that inputs of workings refer to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ShownSource {
    /// Its number, from 1.
    pub number: usize,
    /// The source in a line.
    pub text: String,
}

/// A finding as words.
#[derive(Clone, Debug, Serialize)]
pub struct ShownFinding {
    /// Name of the check that found it.
    #[serde(skip)]
    pub check: String,
    /// "stop", "fix" or "note": the shape that stands before it.
    pub severity: &'static str,
    /// The same as a word for the reader.
    pub word: &'static str,
    /// What it is about.
    pub place: String,
    /// What is so.
    pub what: String,
    /// Measured and limit, if both or one are known.
    pub numbers: String,
    /// Why it matters.
    pub why: String,
    /// What to do.
    pub remedy: String,
    /// What it rests on.
    pub source: String,
}

/// A working as words.
#[derive(Clone, Debug, Serialize)]
pub struct ShownWorking {
    /// Number, from 1.
    pub number: usize,
    /// Title that stands before it, or empty.
    pub chapter: String,
    /// What the result is.
    pub name: String,
    /// Symbol and equation, typeset.
    pub equation: Vec<Piece>,
    /// Name of the procedure, where there is no equation.
    pub procedure: Option<String>,
    /// Inputs.
    pub inputs: Vec<ShownInput>,
    /// Symbol of the result, typeset.
    pub symbol: Vec<Piece>,
    /// The result with its unit; empty where there are cases.
    pub result: String,
    /// Source of the equation.
    pub source: String,
    /// Symbols of the inputs that differ between cases.
    pub differ: Vec<Vec<Piece>>,
    /// The cases; none where one result is all.
    pub cases: Vec<ShownCase>,
}

/// A case of a working that is told once for several, as words.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct ShownCase {
    /// What it is about.
    pub label: String,
    /// Values of the inputs that differ, with their units.
    pub values: Vec<String>,
    /// The result with its unit.
    pub result: String,
}

/// An input of a working as words.
#[derive(Clone, Debug, Serialize)]
pub struct ShownInput {
    /// What it is.
    pub name: String,
    /// Symbol, typeset.
    pub symbol: Vec<Piece>,
    /// Value with its unit.
    pub value: String,
    /// The number of its source in brackets, or of the working that made it.
    pub from: String,
}

/// A piece of a typeset equation.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Piece {
    /// The signs.
    pub text: String,
    /// How they are set.
    pub set: Set,
}

/// How a piece of an equation is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Set {
    /// Upright.
    Plain,
    /// Italic: a symbol.
    Symbol,
    /// Lowered.
    Sub,
    /// Raised.
    Sup,
}

/// An errand as words.
#[derive(Clone, Debug, Serialize)]
pub struct ShownErrand {
    /// What to do.
    pub what: String,
    /// What it decides.
    pub why: String,
}

/// A key figure as words.
#[derive(Clone, Debug, Serialize)]
pub struct ShownKeyFigure {
    /// What it is.
    pub label: String,
    /// The number without its unit.
    pub number: String,
    /// Its unit.
    pub unit: String,
    /// The same in the other system, in square brackets; or empty.
    pub other: String,
    /// What to know about it.
    pub note: String,
}
