//! What the rows of a block say, and why some say nothing.

use std::ops::Range;

use crate::number::{Cell, Marks, cell};
use crate::steps::{At, Steps};

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

/// A cell that should hold a reading and does not: no number, or one that
/// cannot be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadCell {
    /// Its line, from 1.
    pub line: u64,
    /// What was read, its first characters.
    pub text: String,
}

impl BadCell {
    /// Of a channel so many are told, the first of the file.
    pub(crate) const TOLD: u64 = 5;
}

/// The rows of a block.
#[derive(Debug, Default)]
pub(crate) struct Rows {
    /// Line of the first row of the block.
    pub(crate) line: u64,
    pub(crate) wall_s: Vec<i64>,
    /// Empty if no row names one.
    offset_s: Vec<Option<i32>>,
    /// Lines after that of the block.
    lines: Vec<u32>,
    /// Which name; empty if rows have none.
    pub(crate) name: Vec<u32>,
    pub(crate) names: Vec<String>,
    /// By row, then slot, with room for more; not a number where there is none.
    numbers: Vec<f64>,
    /// Slots of the row to come without a number, with why, and with what stands
    /// there where that is told.
    lacks: Vec<(usize, Cell, Option<String>)>,
    /// By slot.
    pub(crate) bad: Vec<(usize, BadCell)>,
    /// The rows after the first, where only sums are asked for.
    pub(crate) steps: Option<Steps>,
    /// By slot.
    pub(crate) missing: Vec<Missing>,
    pub(crate) rejected: Vec<Rejected>,
    pub(crate) rejects: [u64; 6],
}

/// Rows for whose numbers room is made at once, and that are summed at once.
const ROWS_AT_ONCE: usize = if cfg!(test) { 8 } else { 256 };

impl Rows {
    /// None yet, of so many numbers each, in a block that begins with a line.
    pub(crate) fn new(line: u64, width: usize, steps: Option<Steps>) -> Self {
        Self {
            line,
            missing: vec![Missing::default(); width],
            steps,
            ..Self::default()
        }
    }

    /// When a row was written.
    #[inline]
    pub(crate) fn at(&self, row: usize) -> At {
        At {
            wall_s: self.wall_s[row],
            offset_s: self.offset_s.get(row).copied().flatten(),
            line: self.line + u64::from(self.lines[row]),
        }
    }

    /// Whether rows name their offset from UTC.
    pub(crate) const fn have_offsets(&self) -> bool {
        !self.offset_s.is_empty()
    }

    /// Numbers of some rows, by row, then slot.
    #[inline]
    pub(crate) fn numbers(&self, rows: Range<usize>) -> &[f64] {
        let width = self.missing.len();
        &self.numbers[rows.start * width..rows.end * width]
    }

    /// The numbers of the rows to come, whatever they are until they are read.
    #[inline]
    fn room(&mut self) -> &mut [f64] {
        let width = self.missing.len();
        let begin = self.wall_s.len() * width;
        if self.numbers.len() < begin + width {
            self.numbers.resize(begin + ROWS_AT_ONCE * width, f64::NAN);
        }
        &mut self.numbers[begin..]
    }

    /// A number of the row to come.
    #[inline]
    pub(crate) fn number(&mut self, slot: usize, number: f64) {
        self.room()[slot] = number;
    }

    /// What a cell of the row to come says, by its text.
    pub(crate) fn cell(&mut self, slot: usize, text: &[u8], marks: Marks) {
        let number = match cell(text, marks) {
            Cell::Number(number) => number,
            lack => {
                let is_told =
                    lack == Cell::Unreadable && self.missing[slot].unreadable < BadCell::TOLD;
                let told = is_told.then(|| beginning(text.trim_ascii(), 30));
                self.lacks.push((slot, lack, told));
                f64::NAN
            }
        };
        self.number(slot, number);
    }

    /// Forgets what cells of the row to come say.
    pub(crate) fn forget(&mut self) {
        self.lacks.clear();
    }

    /// Takes in the row to come; its line counts from that of the block.
    #[inline]
    pub(crate) fn take(&mut self, line: u32, time: Time, name: Option<u32>) {
        self.wall_s.push(time.wall_s);
        self.lines.push(line);
        self.name.extend(name);
        self.count_lacks(self.line + u64::from(line));
        self.complete(self.wall_s.len() - 1, time.offset_s);
    }

    /// Keeps the offset of the rows after the first so many, and sums them when
    /// they are many.
    #[inline]
    fn complete(&mut self, before: usize, offset_s: Option<i32>) {
        if offset_s.is_some() || !self.offset_s.is_empty() {
            self.offset_s.resize(before, None);
            self.offset_s.resize(self.wall_s.len(), offset_s);
        }
        if self.steps.is_some() && ROWS_AT_ONCE <= self.wall_s.len() {
            self.sum();
        }
    }

    /// Takes in the rows of some lines, until `next` has none: it writes the
    /// number of each slot and tells the time on the wall. The line of the
    /// first is `number`, which goes up with them; none or all have an offset.
    #[inline]
    pub(crate) fn take_while(
        &mut self,
        number: &mut u32,
        offset_s: Option<i32>,
        mut next: impl FnMut(&mut [f64]) -> Option<i64>,
    ) {
        let width = self.missing.len();
        let mut is_over = false;
        while !is_over {
            self.room();
            let (first, before) = (*number, self.wall_s.len());
            for numbers in self.numbers[before * width..].chunks_exact_mut(width) {
                let Some(wall_s) = next(numbers) else {
                    is_over = true;
                    break;
                };
                self.wall_s.push(wall_s);
                *number += 1;
            }
            self.lines.extend(first..*number);
            self.complete(before, offset_s);
        }
    }

    /// Counts what the cells of the row to come lack.
    fn count_lacks(&mut self, line: u64) {
        for (slot, lack, told) in self.lacks.drain(..) {
            self.bad
                .extend(told.map(|text| (slot, BadCell { line, text })));
            let missing = &mut self.missing[slot];
            match lack {
                Cell::Empty => missing.empty += 1,
                Cell::Fault => missing.fault += 1,
                _ => missing.unreadable += 1,
            }
        }
    }

    /// Leaves of the rows nothing but the first and sums, where only sums are
    /// asked for.
    pub(crate) fn sum(&mut self) {
        if let Some(mut steps) = self.steps.take() {
            steps.add(self);
            self.steps = Some(steps);
            self.wall_s.truncate(1);
            self.offset_s.truncate(1);
            self.lines.truncate(1);
        }
    }

    pub(crate) fn reject(&mut self, line: u32, reason: Reason, cells: &[&[u8]]) {
        self.rejects[reason as usize] += 1;
        if self.rejected.len() < TOLD {
            let text = beginning(&cells.join(&b" | "[..]), 60);
            self.rejected.push(Rejected {
                line: self.line + u64::from(line),
                reason,
                text,
            });
        }
    }
}

/// The first letters of a text.
fn beginning(text: &[u8], letters: usize) -> String {
    String::from_utf8_lossy(text)
        .chars()
        .take(letters)
        .collect()
}

/// The time of a row on the wall \[s since 1970\], and its offset from UTC if
/// one is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Time {
    pub(crate) wall_s: i64,
    pub(crate) offset_s: Option<i32>,
}
