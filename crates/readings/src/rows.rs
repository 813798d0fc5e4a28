//! Cells of a block as times and numbers. Runs on many threads.

use std::collections::HashMap;

use csv::{ByteRecord, ReaderBuilder};

use crate::layout::{Count, Layout, Lines, TimeAt};
use crate::measure::Role;
use crate::number::{Cell, cell};
use crate::order::DateOrder;
use crate::source::Block;
use crate::stamp::{Stamp, stamp};

/// Why a row was rejected.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reason {
    /// The cells of time hold no time.
    NoTime,
    /// The time of day or the date does not exist in this order of dates.
    NoSuchTime,
    /// More cells than columns.
    TooManyCells,
    /// No cell beside the time.
    TooFewCells,
    /// Nothing names the sensor of the row.
    NoSensor,
    /// More different sensors than a log can have.
    TooManySensors,
}

impl Reason {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::NoTime => "no date and time where they should stand",
            Self::NoSuchTime => "a date or time of day that does not exist",
            Self::TooManyCells => "more cells than the head names",
            Self::TooFewCells => "nothing beside the time",
            Self::NoSensor => "no name of a sensor",
            Self::TooManySensors => "one more sensor than the 500 that are kept apart",
        }
    }
}

/// A row that was rejected.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rejected {
    /// Its line, from 1.
    pub line: u64,
    /// Why.
    pub reason: Reason,
    /// Its first characters.
    pub text: String,
}

/// Rejected rows of which a block keeps the text.
const TOLD: usize = 20;

/// What stands in one column, of those that are used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Use {
    Name,
    Slot(usize),
}

/// What to do with each row.
#[derive(Clone, Debug)]
pub(crate) struct Plan {
    pub(crate) layout: Layout,
    order: DateOrder,
    uses: Vec<Option<Use>>,
    /// Columns with numbers, by slot.
    pub(crate) slots: Vec<usize>,
    pub(crate) has_names: bool,
}

impl Plan {
    pub(crate) fn new(layout: Layout, order: DateOrder) -> Self {
        let mut slots = Vec::new();
        let uses: Vec<Option<Use>> = layout
            .columns
            .iter()
            .enumerate()
            .map(|(i, column)| match column.role {
                Role::Reading(_) | Role::Value => {
                    slots.push(i);
                    Some(Use::Slot(slots.len() - 1))
                }
                Role::Sensor | Role::Unit => Some(Use::Name),
                _ => None,
            })
            .collect();
        let has_names = layout.columns_of(Role::Sensor).next().is_some();
        Self {
            layout,
            order,
            uses,
            slots,
            has_names,
        }
    }

    /// A key for a row without names.
    pub(crate) const UNNAMED: &'static str = "";

    /// Reads a block.
    pub(crate) fn rows(&self, block: &Block) -> Rows {
        let mut rows = Rows {
            line: block.line,
            missing: vec![Missing::default(); self.slots.len()],
            ..Rows::default()
        };
        // A row of a log is rarely shorter than this.
        const ROW_BYTES: usize = 24;
        let most = block.bytes.len() / ROW_BYTES;
        rows.wall_s.reserve(most);
        rows.lines.reserve(most);
        rows.numbers.reserve(most * self.slots.len());
        let mut day = DayBefore::default();
        let mut names = Names::default();
        let mut cells: Vec<&[u8]> = Vec::with_capacity(self.uses.len() + 4);
        if block.quoted {
            let mut reader = ReaderBuilder::new()
                .delimiter(self.layout.delimiter)
                .has_headers(false)
                .flexible(true)
                .from_reader(&block.bytes[..]);
            let mut record = ByteRecord::new();
            let mut lines = Lines::new(&block.bytes);
            while matches!(reader.read_byte_record(&mut record), Ok(true)) {
                let line = lines.of(&record) - 1;
                let mut cells: Vec<&[u8]> = Vec::with_capacity(record.len());
                cells.extend(&record);
                self.row(&cells, line as u32, &mut rows, &mut day, &mut names);
            }
        } else {
            // Cells are short: byte by byte is faster than a search for each.
            let bytes = &block.bytes[..];
            let delimiter = self.layout.delimiter;
            let (mut from, mut line) = (0, 0);
            for (at, &byte) in bytes.iter().enumerate() {
                if byte == delimiter {
                    cells.push(&bytes[from..at]);
                    from = at + 1;
                } else if byte == b'\n' {
                    cells.push(without_return(&bytes[from..at]));
                    self.row(&cells, line, &mut rows, &mut day, &mut names);
                    cells.clear();
                    from = at + 1;
                    line += 1;
                }
            }
            if from < bytes.len() || !cells.is_empty() {
                cells.push(without_return(&bytes[from..]));
                self.row(&cells, line, &mut rows, &mut day, &mut names);
            }
        }
        rows.names = names.list;
        rows
    }

    fn row(
        &self,
        cells: &[&[u8]],
        line: u32,
        rows: &mut Rows,
        day: &mut DayBefore,
        names: &mut Names,
    ) {
        if rows.line + u64::from(line) < self.layout.first_line
            || cells.iter().all(|c| c.trim_ascii().is_empty())
        {
            return;
        }
        let time = self.time(cells, day);
        let (wall_s, offset_s) = match time {
            Ok(time) => time,
            Err(reason) => return rows.reject(line, reason, cells),
        };
        let beyond = cells.get(self.uses.len()..).unwrap_or_default();
        if beyond.iter().any(|c| !c.trim_ascii().is_empty()) {
            return rows.reject(line, Reason::TooManyCells, cells);
        }
        if cells.len() < 2 {
            return rows.reject(line, Reason::TooFewCells, cells);
        }
        let name = if self.has_names {
            match names.of(cells, &self.uses) {
                Ok(name) => name,
                Err(reason) => return rows.reject(line, reason, cells),
            }
        } else {
            0
        };
        rows.wall_s.push(wall_s);
        rows.lines.push(line);
        if offset_s.is_some() || !rows.offset_s.is_empty() {
            rows.offset_s.resize(rows.wall_s.len() - 1, None);
            rows.offset_s.push(offset_s);
        }
        if self.has_names {
            rows.name.push(name);
        }
        for (slot, &column) in self.slots.iter().enumerate() {
            let said = cells
                .get(column)
                .map_or(Cell::Empty, |c| cell(c, self.layout.marks));
            let missing = &mut rows.missing[slot];
            rows.numbers.push(match said {
                Cell::Number(number) => number,
                Cell::Empty => {
                    missing.empty += 1;
                    f64::NAN
                }
                Cell::Fault => {
                    missing.fault += 1;
                    f64::NAN
                }
                Cell::Unreadable => {
                    missing.unreadable += 1;
                    f64::NAN
                }
            });
        }
    }

    /// Seconds since 1970 on the wall, and the offset from UTC if one is written.
    fn time(&self, cells: &[&[u8]], day: &mut DayBefore) -> Result<(i64, Option<i32>), Reason> {
        let read = |i: usize| cells.get(i).and_then(|c| stamp(c)).ok_or(Reason::NoTime);
        let stamp = match self.layout.time {
            TimeAt::One(i) => {
                let text = cells.get(i).copied().ok_or(Reason::NoTime)?;
                if let Some(wall_s) = day.plain(text) {
                    return Ok((wall_s, None));
                }
                let stamp = read(i)?;
                let wall_s = self.wall(&stamp)?;
                day.remember(text, &stamp, wall_s);
                return Ok((wall_s, stamp.offset_s));
            }
            TimeAt::Two { date, clock } => Stamp {
                date: read(date)?.date,
                ..read(clock)?
            },
            TimeAt::Count { column, count } => {
                let text = cells.get(column).ok_or(Reason::NoTime)?;
                let Cell::Number(number) = cell(text, self.layout.marks) else {
                    return Err(Reason::NoTime);
                };
                return match count {
                    Count::Seconds => Ok((number.floor() as i64, Some(0))),
                    Count::Milliseconds => Ok(((number / 1000.0).floor() as i64, Some(0))),
                    // Seconds are rounded: a day in decimals is not exact.
                    Count::Days => Ok((((number - 25_569.0) * 86_400.0).round() as i64, None)),
                };
            }
        };
        Ok((self.wall(&stamp)?, stamp.offset_s))
    }

    fn wall(&self, stamp: &Stamp) -> Result<i64, Reason> {
        let date = stamp.date.ok_or(Reason::NoTime)?;
        let day = date.day(self.order).ok_or(Reason::NoSuchTime)?;
        let second = stamp.second.ok_or(Reason::NoTime)?;
        Ok(i64::from(day) * 86_400 + i64::from(second))
    }
}

fn without_return(cell: &[u8]) -> &[u8] {
    cell.strip_suffix(b"\r").unwrap_or(cell)
}

/// The date of the row before: most rows share it, written the same.
#[derive(Default)]
struct DayBefore {
    /// The text up to the time of day.
    head: Vec<u8>,
    midnight_s: i64,
}

impl DayBefore {
    /// The time of "…HH:MM" or "…HH:MM:SS" after the same date.
    #[inline]
    fn plain(&self, text: &[u8]) -> Option<i64> {
        if self.head.is_empty() {
            return None;
        }
        let clock = text.strip_prefix(&self.head[..])?;
        let two = |i: usize| {
            let (tens, ones) = (clock[i].wrapping_sub(b'0'), clock[i + 1].wrapping_sub(b'0'));
            (tens < 10 && ones < 10).then(|| i64::from(tens) * 10 + i64::from(ones))
        };
        let seconds = match clock.len() {
            5 if clock[2] == b':' => 0,
            8 if clock[2] == b':' && clock[5] == b':' => two(6)?,
            _ => return None,
        };
        let (hours, minutes) = (two(0)?, two(3)?);
        (hours < 24 && minutes < 60 && seconds < 60)
            .then_some(self.midnight_s + hours * 3600 + minutes * 60 + seconds)
    }

    fn remember(&mut self, text: &[u8], stamp: &Stamp, wall_s: i64) {
        self.head.clear();
        let Some(colon) = text.iter().position(|b| *b == b':') else {
            return;
        };
        let plain = text[colon..].len() == 3 || text[colon..].len() == 6;
        if stamp.offset_s.is_none() && plain && 2 < colon && text[colon - 2].is_ascii_digit() {
            self.head.extend_from_slice(&text[..colon - 2]);
            self.midnight_s = wall_s - i64::from(stamp.second.unwrap_or(0));
        }
    }
}

/// Names of sensors in a block.
#[derive(Default)]
struct Names {
    list: Vec<String>,
    known: HashMap<Vec<u8>, u32>,
    buffer: Vec<u8>,
    before: Option<(Vec<u8>, u32)>,
}

/// Different sensors that a log may name.
pub(crate) const MOST_SENSORS: usize = 500;
/// Between name and unit in a key.
pub(crate) const BETWEEN: char = '\u{1f}';

impl Names {
    fn of(&mut self, cells: &[&[u8]], uses: &[Option<Use>]) -> Result<u32, Reason> {
        self.buffer.clear();
        for (cell, at) in cells.iter().zip(uses) {
            if *at == Some(Use::Name) {
                if !self.buffer.is_empty() {
                    self.buffer.push(BETWEEN as u8);
                }
                self.buffer.extend_from_slice(cell.trim_ascii());
            }
        }
        if self.buffer.iter().all(|b| *b == BETWEEN as u8) {
            return Err(Reason::NoSensor);
        }
        if let Some((text, number)) = &self.before
            && *text == self.buffer
        {
            return Ok(*number);
        }
        let number = match self.known.get(&self.buffer) {
            Some(number) => *number,
            None if MOST_SENSORS <= self.list.len() => return Err(Reason::TooManySensors),
            None => {
                let number = self.list.len() as u32;
                self.list
                    .push(String::from_utf8_lossy(&self.buffer).into_owned());
                self.known.insert(self.buffer.clone(), number);
                number
            }
        };
        self.before = Some((self.buffer.clone(), number));
        Ok(number)
    }
}

/// Cells without a reading.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Missing {
    /// Empty.
    pub empty: u64,
    /// "Error", "---", "NaN".
    pub fault: u64,
    /// What is no reading at all.
    pub unreadable: u64,
    /// Numbers that stand for a fault: -999, 9999.
    pub code: u64,
    /// Numbers that cannot be.
    pub impossible: u64,
}

impl Missing {
    /// All of them.
    pub const fn all(&self) -> u64 {
        self.empty + self.fault + self.unreadable + self.code + self.impossible
    }

    pub(crate) const fn add(&mut self, other: &Self) {
        self.empty += other.empty;
        self.fault += other.fault;
        self.unreadable += other.unreadable;
        self.code += other.code;
        self.impossible += other.impossible;
    }
}

/// The rows of a block.
#[derive(Debug, Default)]
pub(crate) struct Rows {
    /// Line of the first row of the block.
    pub(crate) line: u64,
    pub(crate) wall_s: Vec<i64>,
    /// Empty if no row names one.
    pub(crate) offset_s: Vec<Option<i32>>,
    /// Lines after that of the block.
    pub(crate) lines: Vec<u32>,
    /// Which name; empty if rows have none.
    pub(crate) name: Vec<u32>,
    pub(crate) names: Vec<String>,
    /// By row, then slot.
    pub(crate) numbers: Vec<f64>,
    pub(crate) missing: Vec<Missing>,
    pub(crate) rejected: Vec<Rejected>,
    pub(crate) rejects: [u64; 6],
}

impl Rows {
    fn reject(&mut self, line: u32, reason: Reason, cells: &[&[u8]]) {
        self.rejects[reason as usize] += 1;
        if self.rejected.len() < TOLD {
            let text = String::from_utf8_lossy(&cells.join(&b" | "[..]))
                .chars()
                .take(60)
                .collect();
            self.rejected.push(Rejected {
                line: self.line + u64::from(line),
                reason,
                text,
            });
        }
    }
}
