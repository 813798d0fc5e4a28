//! How a file is laid out, told from its first part.

use csv::{ByteRecord, ReaderBuilder};
use rayon::prelude::*;

use crate::elapsed::{Elapsed, counting};
use crate::heads::head;
use crate::measure::{Role, Scale};
use crate::number::Marks;
use crate::options::Options;
use crate::order::DateOrder;
use crate::refusal::Refusal;
use crate::sheet::Sheet;
use crate::times::times;
use crate::water::{self, Shows};

/// How much of a file is looked at to tell its layout \[bytes\].
pub(crate) const HEAD_BYTES: usize = 256 * 1024;

/// Rows of it that are looked at.
const ROWS_SEEN: usize = 2000;

/// Bytes that stand between cells in logs, the likelier first.
const DELIMITERS: [u8; 5] = [b',', b';', b'\t', b'|', b' '];

/// Where the times stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TimeAt {
    /// Date and time of day in one column.
    One(usize),
    /// Date and time of day in two.
    Two {
        /// Column of the date.
        date: usize,
        /// Column of the time of day.
        clock: usize,
    },
    /// A count since a moment.
    Count {
        /// Its column.
        column: usize,
        /// What is counted.
        count: Count,
    },
}

/// A count of time since a moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Count {
    /// Seconds since 1970-01-01 UTC.
    Seconds,
    /// Thousandths of a second since then.
    Milliseconds,
    /// Days since 1899-12-30 on the wall, as spreadsheets count.
    Days,
    /// From the start of the log, which a person named.
    Since {
        /// What is counted.
        unit: Elapsed,
        /// The start on the wall \[s since 1970\].
        begin_s: i64,
        /// What the wall is ahead of UTC then \[s\], if it is known.
        offset_s: Option<i32>,
    },
}

/// What was made of one column.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// What stands above it.
    pub head: String,
    /// What it is.
    pub role: Role,
    /// Its unit, where it has readings of a kind known.
    pub scale: Option<Scale>,
    /// Why it was taken so.
    pub why: String,
}

/// How a file is laid out.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// Byte between cells.
    pub delimiter: u8,
    /// Marks in numbers.
    pub marks: Marks,
    /// Line of the first row of readings, from 1.
    pub first_line: u64,
    /// Where the times stand.
    pub time: TimeAt,
    /// Order of the dates; `None`: only the whole file may decide.
    pub order: Option<DateOrder>,
    /// Why that order.
    pub order_why: &'static str,
    /// All columns in the order of the file.
    pub columns: Vec<Column>,
    /// Rows run from the newest to the oldest.
    pub backward: bool,
    /// Usual time between rows \[s\].
    pub interval_s: i64,
    /// Columns of water of which only the whole file may say whether they count
    /// on.
    pub(crate) waters: Vec<usize>,
}

impl Layout {
    /// Columns of one role.
    pub(crate) fn columns_of(&self, role: Role) -> impl Iterator<Item = usize> {
        let all = self.columns.iter().enumerate();
        all.filter(move |(_, c)| c.role == role).map(|(i, _)| i)
    }

    /// Says of a column of water whether it counts on.
    ///
    /// # Errors
    /// Its head and its numbers leave it open or contradict each other.
    pub(crate) fn settle_water(&mut self, column: usize, shows: Shows) -> Result<(), Refusal> {
        let column = &mut self.columns[column];
        let said = head(&column.head).water;
        let Some((measure, how)) = water::settled(said, shows) else {
            return Err(Refusal::CountOpen {
                column: column.head.clone(),
                unit: column.scale.map_or("", |s| s.unit),
                contradicts: said.is_some(),
            });
        };
        column.role = Role::Reading(measure);
        if !how.is_empty() {
            column.why = format!("{}; {how}", column.why);
        }
        Ok(())
    }
}

/// Tells the layout from the first part of a file, in UTF-8.
///
/// # Errors
/// The text is no log, or leaves open what only a person can say.
pub(crate) fn examine(text: &[u8], options: &Options) -> Result<Layout, Refusal> {
    if text.trim_ascii().is_empty() {
        return Err(Refusal::Empty);
    }
    if text.contains(&0) {
        return Err(Refusal::Binary);
    }
    let first = text.split(|b| *b == b'\n').next().unwrap_or_default();
    let no_times = || Refusal::NoTimes {
        lines: text.iter().filter(|b| **b == b'\n').count() + 1,
        first: String::from_utf8_lossy(first)
            .trim()
            .chars()
            .take(60)
            .collect(),
    };
    let mut candidates: Vec<u8> = options.delimiter.map_or(DELIMITERS.to_vec(), |d| vec![d]);
    // All that stand nowhere cut alike: the first of them is looked at.
    let mut is_cut = false;
    candidates.retain(|d| text.contains(d) || !std::mem::replace(&mut is_cut, true));
    let found: Vec<_> = candidates
        .par_iter()
        .filter_map(|&delimiter| {
            let rows = rows(text, delimiter);
            let (time, score) = times(&rows, options)?;
            Some((delimiter, rows, time, score))
        })
        .collect();
    let (delimiter, rows, time) = found
        .into_iter()
        // Of equals the first wins.
        .rev()
        .max_by_key(|(_, _, _, score)| *score)
        .map(|(delimiter, rows, time, _)| (delimiter, rows, time))
        .map_or_else(
            || counting_from_start(text, &candidates, options, no_times),
            |found| match options.begin {
                Some(_) => Err(Refusal::BeginNotAsked),
                None => Ok(found),
            },
        )?;
    Sheet::new(delimiter, &rows, time, options)?.layout(options)
}

/// A table whose times count from its start.
fn counting_from_start(
    text: &[u8],
    candidates: &[u8],
    options: &Options,
    no_times: impl Fn() -> Refusal,
) -> Result<(u8, Vec<Row>, TimeAt), Refusal> {
    let (delimiter, rows, counting) = candidates
        .iter()
        .filter_map(|&delimiter| {
            let rows = rows(text, delimiter);
            let counting = counting(&rows, options)?;
            Some((delimiter, rows, counting))
        })
        .rev()
        .max_by_key(|(_, _, counting)| counting.score)
        .ok_or_else(no_times)?;
    let time = counting.since(options)?;
    Ok((delimiter, rows, time))
}

/// Counts lines for a reader of records, which tells bytes.
pub(crate) struct Lines<'a> {
    text: &'a [u8],
    byte: usize,
    line: u64,
}

impl<'a> Lines<'a> {
    /// At line 1 of a text.
    pub(crate) const fn new(text: &'a [u8]) -> Self {
        Self {
            text,
            byte: 0,
            line: 1,
        }
    }

    /// The line in which a record begins; records come in their order.
    pub(crate) fn of(&mut self, record: &ByteRecord) -> u64 {
        let mut begin = record.position().map_or(0, |p| p.byte() as usize);
        // The reader puts the ends of empty lines before a record to it.
        while self
            .text
            .get(begin)
            .is_some_and(|b| matches!(b, b'\r' | b'\n'))
        {
            begin += 1;
        }
        if self.byte < begin {
            self.line += memchr::memchr_iter(b'\n', &self.text[self.byte..begin]).count() as u64;
            self.byte = begin;
        }
        self.line
    }
}

/// One line of cells.
#[derive(Clone, Debug)]
pub(crate) struct Row {
    pub(crate) line: u64,
    pub(crate) cells: Vec<String>,
}

fn rows(text: &[u8], delimiter: u8) -> Vec<Row> {
    let mut reader = ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .from_reader(text);
    let mut record = ByteRecord::new();
    let mut rows = Vec::new();
    let mut lines = Lines::new(text);
    while rows.len() < ROWS_SEEN && matches!(reader.read_byte_record(&mut record), Ok(true)) {
        let mut cells: Vec<String> = record
            .iter()
            .map(|c| String::from_utf8_lossy(c).trim().to_owned())
            .collect();
        // A delimiter at the end of a line opens no column.
        while cells.last().is_some_and(String::is_empty) {
            cells.pop();
        }
        rows.push(Row {
            line: lines.of(&record),
            cells,
        });
    }
    rows
}
