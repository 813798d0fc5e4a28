//! Why a file was not read, and what to tell the reader so that it is.

use crate::elapsed;
use crate::measure::Measure;
use crate::order::DateOrder;

/// Something that a person tells the reader of a file, beside the file itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// The sign between cells.
    Delimiter,
    /// The mark before decimals.
    Decimal,
    /// The order of day, month and year.
    Dates,
    /// The zone of the clock.
    Zone,
    /// What a column is.
    Column,
    /// When it began, of a log that counts from its start.
    Start,
}

impl Told {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Delimiter,
        Self::Decimal,
        Self::Dates,
        Self::Zone,
        Self::Column,
        Self::Start,
    ];
}

/// What is asked for: where it is told is for those to say who took the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// What is to be told.
    pub told: Told,
    /// Answers that would do, or the look of one; none where it says itself.
    pub such_as: Vec<String>,
}

impl Ask {
    /// With answers that would do.
    pub fn new<T: ToString>(told: Told, such_as: impl IntoIterator<Item = T>) -> Self {
        Self {
            told,
            such_as: such_as.into_iter().map(|a| a.to_string()).collect(),
        }
    }
}

/// Why a file was not read as a log. The words say what is open;
/// [`Refusal::asks`] what to tell.
#[derive(Debug, thiserror::Error)]
pub enum Refusal {
    /// The file cannot be read at all.
    #[error("cannot be read")]
    Io(#[from] std::io::Error),
    /// Nothing in it.
    #[error("is empty")]
    Empty,
    /// Bytes that are no text.
    #[error(
        "is no text: it holds bytes that no logger's table has; export it from the logger's program as CSV"
    )]
    Binary,
    /// No column of times.
    #[error(
        "is no log that can be read: no column holds a date and a time in {lines} lines read; first line: {first:?}"
    )]
    NoTimes {
        /// Lines looked at.
        lines: usize,
        /// The first of them.
        first: String,
    },
    /// Dates without a time of day.
    #[error(
        "has dates but no time of day (such as {example:?}): a log by the day says nothing about nights"
    )]
    NoClock {
        /// One of them.
        example: String,
    },
    /// Nothing that can be used beside the times.
    #[error("has times but no column that can be used; columns: {columns}")]
    NoReadings {
        /// Their heads.
        columns: String,
    },
    /// More cells in rows than in the head.
    #[error(
        "names {head} columns in line {line} and has {cells} cells in the rows below: a comma may stand both between cells and before decimals; export it with semicolons, tabs or quotes"
    )]
    CellsDoNotFit {
        /// Columns named.
        head: usize,
        /// Cells in rows.
        cells: usize,
        /// Line of the head.
        line: u64,
    },
    /// Day or month first: nothing decides.
    #[error(
        "has dates such as {example:?} that may be read as {}: nothing in the whole file decides",
        words(.open).join(" or ")
    )]
    DatesOpen {
        /// One of them.
        example: String,
        /// Orders that fit.
        open: Vec<DateOrder>,
    },
    /// "1,234" may be either.
    #[error("has numbers such as {example:?} that may be decimals or thousands")]
    DecimalOpen {
        /// One of them.
        example: String,
    },
    /// Points and commas before decimals.
    #[error("has numbers with a decimal point and numbers with a decimal comma")]
    DecimalBoth,
    /// A temperature or humidity without a unit.
    #[error("has no unit for {column:?} and its numbers leave it open; units: {units}")]
    UnitOpen {
        /// Head of the column.
        column: String,
        /// What it measures.
        measure: &'static str,
        /// Units that would do.
        units: String,
    },
    /// A column of a unit that may be its state or its power.
    #[error(
        "has nothing but the tag of a unit over {column:?}, and its numbers leave open whether they are its state or its power"
    )]
    TagOpen {
        /// Head of the column.
        column: String,
    },
    /// Water that counts on, or amounts of it: nothing decides.
    #[error(
        "has water in {column:?} that may be a counter, or amounts since the row before: {} in the whole file",
        if *.contradicts { "its head and its numbers contradict each other" } else { "neither its head nor its numbers decide" }
    )]
    CountOpen {
        /// Head of the column.
        column: String,
        /// Its unit.
        unit: &'static str,
        /// Head and numbers each decide, but not alike.
        contradicts: bool,
    },
    /// A column was named that is not there.
    #[error("has no column {asked:?}; columns: {columns}")]
    NoSuchColumn {
        /// What was asked for.
        asked: String,
        /// Heads of those that are there.
        columns: String,
    },
    /// A count from a start that nobody named.
    #[error(
        "counts {counts} from its start in {column:?} and names no date: when it began is to be told, by the clock on the wall"
    )]
    BeginOpen {
        /// Head of the column.
        column: String,
        /// What is counted.
        counts: &'static str,
    },
    /// A count from a start in no unit.
    #[error(
        "counts time from its start in {column:?} without a unit and names no date; units: s, min, h"
    )]
    ElapsedUnitOpen {
        /// Head of the column.
        column: String,
    },
    /// A start was named for a log with times of its own.
    #[error(
        "has dates of its own: a start is told only of logs that count from theirs. Leave it out, or name the log that it is of"
    )]
    BeginNotAsked,
    /// What a person told cannot be used.
    #[error("{why}")]
    Choice {
        /// What is wrong with it.
        why: String,
        /// What would do.
        ask: Ask,
    },
    /// Every row was rejected.
    #[error("has no row that can be read; the first, line {line}: {reason}")]
    NoRows {
        /// Its line.
        line: u64,
        /// Why it was rejected.
        reason: String,
    },
    /// The one who watches said stop.
    #[error("was not read to its end: stopped")]
    Stopped,
}

impl Refusal {
    /// What to tell so that the file can be read; empty where only another file
    /// helps.
    pub fn asks(&self) -> Vec<Ask> {
        const NONE: [&str; 0] = [];
        let decimal = || Ask::new(Told::Decimal, ["comma", "point"]);
        let column = |what: String| Ask::new(Told::Column, [what]);
        match self {
            Self::NoTimes { .. } => {
                vec![column("NAME=time".into()), Ask::new(Told::Delimiter, NONE)]
            }
            Self::NoReadings { .. } => vec![column("NAME=dry bulb °C".into())],
            Self::DatesOpen { open, .. } => vec![Ask::new(Told::Dates, words(open))],
            Self::DecimalOpen { .. } | Self::DecimalBoth => vec![decimal()],
            Self::UnitOpen {
                column: name,
                measure,
                ..
            } => vec![column(format!("{name}={measure} UNIT"))],
            Self::TagOpen { column: name } => vec![Ask::new(
                Told::Column,
                [
                    format!("{name}=unit state"),
                    format!("{name}=unit state %"),
                    format!("{name}=unit power kW"),
                ],
            )],
            Self::CountOpen {
                column: name, unit, ..
            } => vec![Ask::new(
                Told::Column,
                [Measure::WaterCounter, Measure::Water]
                    .map(|m| format!("{name}={} {unit}", m.word())),
            )],
            Self::NoSuchColumn { .. } => vec![column("NAME=WHAT".into())],
            Self::BeginOpen { .. } => vec![Ask::new(Told::Start, [elapsed::SUCH_AS])],
            Self::ElapsedUnitOpen { column: name } => vec![
                column(format!("{name}=time min")),
                Ask::new(Told::Start, [elapsed::SUCH_AS]),
            ],
            Self::BeginNotAsked => vec![Ask::new(
                Told::Start,
                [format!("FILE={}", elapsed::SUCH_AS)],
            )],
            Self::Choice { ask, .. } => vec![ask.clone()],
            Self::Io(_)
            | Self::Empty
            | Self::Binary
            | Self::NoClock { .. }
            | Self::CellsDoNotFit { .. }
            | Self::NoRows { .. }
            | Self::Stopped => Vec::new(),
        }
    }
}

fn words(open: &[DateOrder]) -> Vec<&'static str> {
    open.iter().map(|o| o.word()).collect()
}
