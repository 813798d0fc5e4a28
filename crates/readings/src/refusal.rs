//! Why a file was not read.

use crate::order::DateOrder;

/// Why a file was not read as a log. The words name the option that helps.
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
        "is no log that can be read: no column holds a date and a time in {lines} lines read; first line: {first:?}. Name the column with --column \"NAME=time\", the delimiter with --delimiter"
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
    #[error(
        "has times but no column that can be used; columns: {columns}. Say what one is with --column \"NAME=dry bulb °C\""
    )]
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
    #[error("has dates such as {example:?} that may be read as {}: nothing in the whole file decides. Say which with --dates {}", either(.open, " or "), either(.open, "|"))]
    DatesOpen {
        /// One of them.
        example: String,
        /// Orders that fit.
        open: Vec<DateOrder>,
    },
    /// "1,234" may be either.
    #[error(
        "has numbers such as {example:?} that may be decimals or thousands: say which with --decimal comma|point"
    )]
    DecimalOpen {
        /// One of them.
        example: String,
    },
    /// Points and commas before decimals.
    #[error(
        "has numbers with a decimal point and numbers with a decimal comma: say which counts with --decimal comma|point"
    )]
    DecimalBoth,
    /// A temperature or humidity without a unit.
    #[error(
        "has no unit for {column:?} and its numbers leave it open: say it with --column \"{column}={measure} UNIT\" (units: {units})"
    )]
    UnitOpen {
        /// Head of the column.
        column: String,
        /// What it measures.
        measure: &'static str,
        /// Units that would do.
        units: String,
    },
    /// An option names a column that is not there.
    #[error("has no column {asked:?}; columns: {columns}")]
    NoSuchColumn {
        /// What was asked for.
        asked: String,
        /// Heads of those that are there.
        columns: String,
    },
    /// A count from a start that nobody named.
    #[error(
        "counts {counts} from its start in {column:?} and names no date: say when it began with --start \"2026-03-01 06:00\", by the clock on the wall"
    )]
    BeginOpen {
        /// Head of the column.
        column: String,
        /// What is counted.
        counts: &'static str,
    },
    /// A count from a start in no unit.
    #[error(
        "counts time from its start in {column:?} without a unit: say it with --column \"{column}=time min\" (units: s, min, h), and when it began with --start \"2026-03-01 06:00\""
    )]
    ElapsedUnitOpen {
        /// Head of the column.
        column: String,
    },
    /// A start was named for a log with times of its own.
    #[error(
        "has dates of its own: --start is for logs that count from their start. Leave it out, or name the log that it is of with --start \"FILE=2026-03-01 06:00\""
    )]
    BeginNotAsked,
    /// An option cannot be read.
    #[error("{0}")]
    Choice(String),
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

fn either(open: &[DateOrder], between: &str) -> String {
    let words: Vec<&str> = open.iter().map(|o| o.word()).collect();
    words.join(between)
}
