//! The lines of a block as times and numbers. Runs on many threads.
//!
//! Most lines are written as the one before, so that nothing is to be looked
//! for in them ([`line_as_before`]). Most others are walked through once
//! ([`Reader::walk`]); the rest are cut into cells first ([`Reader::cells`]),
//! and quotes that are out of the ordinary are left to the `csv` library. All
//! ways give the same rows.

use csv::{ByteRecord, ReaderBuilder};

use crate::begun::Begun;
use crate::layout::{Lines, TimeAt};
use crate::names::Names;
use crate::plan::{Plan, Use};
use crate::recent::Recent;
use crate::rows::{Reason, Rows, Time};
use crate::source::Block;
use crate::stamp::{Stamp, stamp};
use crate::steps::{Steps, Summing};
use crate::word::Picture;

/// Which lines are walked through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Way {
    /// Those that can be.
    Fast,
    /// None.
    #[cfg(test)]
    Plain,
}

impl Plan {
    /// The rows of a block, one by one or summed over even steps.
    pub(crate) fn rows(&self, block: &Block, summing: Option<&Summing>, way: Way) -> Rows {
        if summing.is_some() {
            let rows = Reader::new(self, block, summing, way).rows(block);
            if !rows.steps.as_ref().is_some_and(|s| s.is_open) {
                return rows;
            }
        }
        Reader::new(self, block, None, way).rows(block)
    }
}

struct Reader<'p> {
    plan: &'p Plan,
    rows: Rows,
    recent: Recent,
    names: Names,
    /// How the row before wrote its numbers, by slot.
    pictures: Vec<Picture>,
    walks: bool,
    /// Lines that are walked through have times, then nothing but numbers.
    only_numbers: bool,
}

impl<'p> Reader<'p> {
    fn new(plan: &'p Plan, block: &Block, summing: Option<&Summing>, way: Way) -> Self {
        let delimiter = plan.layout.delimiter;
        let is_odd = delimiter.is_ascii_digit()
            || matches!(delimiter, b'+' | b'-' | b'"' | b'\r' | b'\n')
            || delimiter == plan.layout.marks.decimal;
        let walks = way == Way::Fast && !is_odd;
        let (times, numbers) = plan.uses.split_at(plan.uses.len() - plan.slots.len());
        let is_time = |u: &Use| matches!(u, Use::Time | Use::Date | Use::Clock);
        let only_numbers = walks
            && !numbers.is_empty()
            && numbers.iter().all(|u| *u == Use::Number)
            && times.iter().all(is_time);
        Self {
            plan,
            rows: Rows::new(block.line, plan.slots.len(), summing.map(Steps::new)),
            recent: Recent::default(),
            names: Names::default(),
            pictures: vec![Picture::NONE; plan.slots.len()],
            walks,
            only_numbers,
        }
    }

    fn rows(mut self, block: &Block) -> Rows {
        let bytes = &block.bytes[..];
        // A carriage return alone ends a record only where cells are quoted.
        let mut returns = memchr::memchr_iter(b'\r', bytes);
        let rest = if !block.quoted {
            self.lines::<false>(bytes)
        } else if self.walks && returns.all(|at| bytes.get(at + 1) == Some(&b'\n')) {
            self.lines::<true>(bytes)
        } else {
            Some((0, 0))
        };
        if let Some((from, number)) = rest {
            self.records(&bytes[from..], number);
        }
        self.rows.sum();
        self.rows.names = self.names.list;
        self.rows
    }

    /// Reads lines up to the first with quotes out of the ordinary: where it
    /// begins, and its number.
    fn lines<const QUOTED: bool>(&mut self, bytes: &[u8]) -> Option<(usize, u32)> {
        let mut cells: Vec<&[u8]> = Vec::with_capacity(self.plan.uses.len() + 4);
        let (mut from, mut number) = (0, 0);
        while from < bytes.len() {
            if self.only_numbers && !self.is_head(number) {
                from = bytes.len() - self.lines_as_before(&bytes[from..], &mut number).len();
            }
            let text = &bytes[from..];
            if let Some(length) = self.walked::<QUOTED>(text, number) {
                from += length;
            } else {
                let end = memchr::memchr(b'\n', text).unwrap_or(text.len());
                let line = text[..end].strip_suffix(b"\r").unwrap_or(&text[..end]);
                cells.clear();
                if !self.is_head(number)
                    && !cut::<QUOTED>(line, self.plan.layout.delimiter, &mut cells)
                {
                    return Some((from, number));
                }
                self.cells(&cells, number);
                from += end + 1;
            }
            number += 1;
        }
        None
    }

    /// Reads records with any quotes; the first begins in line `number`.
    fn records(&mut self, bytes: &[u8], number: u32) {
        let mut reader = ReaderBuilder::new()
            .delimiter(self.plan.layout.delimiter)
            .has_headers(false)
            .flexible(true)
            .from_reader(bytes);
        let mut record = ByteRecord::new();
        let mut lines = Lines::new(bytes);
        while matches!(reader.read_byte_record(&mut record), Ok(true)) {
            let line = number + lines.of(&record) as u32 - 1;
            let cells: Vec<&[u8]> = record.iter().collect();
            self.cells(&cells, line);
        }
    }

    /// Reads lines up to the first that is not written as the one before; what
    /// follows.
    fn lines_as_before<'t>(&mut self, mut text: &'t [u8], number: &mut u32) -> &'t [u8] {
        let (plan, recent, pictures) = (self.plan, &self.recent, &self.pictures[..]);
        self.rows.take_while(number, recent.offset_s, |numbers| {
            let (wall_s, after) = line_as_before(plan, recent, pictures, numbers, text)?;
            text = after;
            Some(wall_s)
        });
        text
    }

    /// Whether a line stands before the rows of readings.
    #[inline]
    fn is_head(&self, number: u32) -> bool {
        self.rows.line + u64::from(number) < self.plan.layout.first_line
    }

    /// Takes in the line at the begin of a text, if it can be walked through:
    /// its bytes.
    #[inline]
    fn walked<const QUOTED: bool>(&mut self, text: &[u8], number: u32) -> Option<usize> {
        if !self.walks || self.is_head(number) {
            return None;
        }
        let Some((time, name, after)) = self.walk::<QUOTED>(text) else {
            self.rows.forget();
            return None;
        };
        self.rows.take(number, time, name);
        Some(text.len() - after.len())
    }

    /// Reads the line at the begin of a text in one pass, and what follows it:
    /// the time is written as in the row before and there are just as many
    /// cells as columns.
    #[inline]
    fn walk<'t, const QUOTED: bool>(
        &mut self,
        text: &'t [u8],
    ) -> Option<(Time, Option<u32>, &'t [u8])> {
        let plan = self.plan;
        self.names.begin();
        let mut time = None;
        let mut slot = 0;
        let mut rest = text;
        for (i, column) in plan.uses.iter().enumerate() {
            let begun = || Begun {
                rest,
                is_quoted: QUOTED && rest.first() == Some(&b'"'),
                delimiter: plan.layout.delimiter,
                is_last: i + 1 == plan.uses.len(),
            };
            rest = match column {
                Use::Number => {
                    let picture = &mut self.pictures[slot];
                    let after = match picture.read(rest) {
                        Some(number) => {
                            self.rows.number(slot, number);
                            &rest[picture.length..]
                        }
                        None => begun().number(plan.layout.marks, picture, slot, &mut self.rows)?,
                    };
                    slot += 1;
                    after
                }
                Use::Time | Use::Clock => {
                    let text = begun().text();
                    let (wall_s, length) = self.recent.leading(text)?;
                    time = Some(Time {
                        wall_s,
                        offset_s: self.recent.offset_s,
                    });
                    begun().after(length)?
                }
                Use::Date => {
                    let length = self.recent.leading_date(begun().text())?;
                    begun().after(length)?
                }
                Use::Count => {
                    let (cell, after) = begun().whole()?;
                    time = Some(plan.counted(cell).ok()?);
                    after
                }
                Use::Name => {
                    let (cell, after) = begun().whole()?;
                    self.names.push(cell);
                    after
                }
                Use::Nothing => begun().whole()?.1,
            };
        }
        let name = match plan.has_names {
            true => Some(self.names.number().ok()?),
            false => None,
        };
        Some((time?, name, rest))
    }

    /// Reads a row from its cells.
    fn cells(&mut self, cells: &[&[u8]], number: u32) {
        let plan = self.plan;
        if self.is_head(number) || cells.iter().all(|c| c.trim_ascii().is_empty()) {
            return;
        }
        match self.named_time(cells) {
            Err(reason) => self.rows.reject(number, reason, cells),
            Ok((time, name)) => {
                for (slot, &column) in plan.slots.iter().enumerate() {
                    let text = cells.get(column).copied().unwrap_or_default();
                    self.rows.cell(slot, text, plan.layout.marks);
                }
                self.rows.take(number, time, name);
            }
        }
    }

    fn named_time(&mut self, cells: &[&[u8]]) -> Result<(Time, Option<u32>), Reason> {
        let plan = self.plan;
        let time = self.time(cells)?;
        let beyond = cells.get(plan.uses.len()..).unwrap_or_default();
        if beyond.iter().any(|c| !c.trim_ascii().is_empty()) {
            return Err(Reason::TooManyCells);
        }
        if cells.len() < 2 {
            return Err(Reason::TooFewCells);
        }
        if !plan.has_names {
            return Ok((time, None));
        }
        self.names.begin();
        for (cell, column) in cells.iter().zip(&plan.uses) {
            if *column == Use::Name {
                self.names.push(cell);
            }
        }
        Ok((time, Some(self.names.number()?)))
    }

    fn time(&mut self, cells: &[&[u8]]) -> Result<Time, Reason> {
        let plan = self.plan;
        let text = |i: usize| cells.get(i).copied().ok_or(Reason::NoTime);
        let read = |i: usize| stamp(text(i)?).ok_or(Reason::NoTime);
        let (date, clock, stamp) = match plan.layout.time {
            TimeAt::Count { column, .. } => return plan.counted(text(column)?),
            TimeAt::One(i) => (&b""[..], i, read(i)?),
            TimeAt::Two { date, clock } => {
                let stamp = Stamp {
                    date: read(date)?.date,
                    ..read(clock)?
                };
                (text(date)?, clock, stamp)
            }
        };
        let time = plan.time(&stamp)?;
        self.recent
            .remember(date, text(clock)?, &stamp, time.wall_s);
        Ok(time)
    }
}

/// Reads the line at the begin of a text, if all of it is written as the one
/// before: its time on the wall, and what follows.
#[inline]
fn line_as_before<'t>(
    plan: &Plan,
    recent: &Recent,
    pictures: &[Picture],
    numbers: &mut [f64],
    text: &'t [u8],
) -> Option<(i64, &'t [u8])> {
    let mut wall_s = 0;
    let mut rest = text;
    for column in &plan.uses[..plan.uses.len().checked_sub(pictures.len())?] {
        let after = match column {
            Use::Date => &rest[recent.leading_date(rest)?..],
            _ => {
                let after;
                (wall_s, after) = recent.again(rest)?;
                after
            }
        };
        rest = after.strip_prefix(&[plan.layout.delimiter])?;
    }
    for (picture, number) in pictures.iter().zip(numbers) {
        *number = picture.read(rest)?;
        rest = &rest[picture.length..];
    }
    Some((wall_s, rest))
}

/// Cuts a line into cells; `false`: its quotes are out of the ordinary.
fn cut<'a, const QUOTED: bool>(line: &'a [u8], delimiter: u8, cells: &mut Vec<&'a [u8]>) -> bool {
    if !QUOTED {
        cells.extend(line.split(|b| *b == delimiter));
        return true;
    }
    let mut rest = line;
    loop {
        let length = if let [b'"', inner @ ..] = rest {
            let Some(close) = memchr::memchr(b'"', inner) else {
                return false;
            };
            cells.push(&inner[..close]);
            close + 2
        } else {
            let end = rest.iter().position(|b| *b == delimiter);
            cells.push(&rest[..end.unwrap_or(rest.len())]);
            end.unwrap_or(rest.len())
        };
        match rest[length..] {
            [] => return true,
            [b, ref after @ ..] if b == delimiter => rest = after,
            _ => return false,
        }
    }
}
