//! The lines of a block as times and numbers. Runs on many threads.
//!
//! A line as most are is walked through once ([`Reader::walk`]); any other is
//! cut into cells first ([`Reader::cells`]), and quotes that are out of the
//! ordinary are left to the `csv` library. All ways give the same rows.

use csv::{ByteRecord, ReaderBuilder};

use crate::layout::{Lines, TimeAt};
use crate::names::Names;
use crate::number::{Cell, cell, leading};
use crate::plan::{Plan, Use};
use crate::recent::Recent;
use crate::rows::{Missing, Numbers, Reason, Rows, Time};
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
    numbers: Numbers,
    /// How the row before wrote its numbers, by slot.
    pictures: Vec<Picture>,
    walks: bool,
}

impl<'p> Reader<'p> {
    fn new(plan: &'p Plan, block: &Block, summing: Option<&Summing>, way: Way) -> Self {
        let delimiter = plan.layout.delimiter;
        let is_odd = delimiter.is_ascii_digit()
            || matches!(delimiter, b'+' | b'-' | b'"' | b'\r' | b'\n')
            || delimiter == plan.layout.marks.decimal;
        Self {
            plan,
            rows: Rows {
                line: block.line,
                missing: vec![Missing::default(); plan.slots.len()],
                steps: summing.map(Steps::new),
                ..Rows::default()
            },
            recent: Recent::default(),
            names: Names::default(),
            numbers: Numbers {
                numbers: vec![f64::NAN; plan.slots.len()],
                ..Numbers::default()
            },
            pictures: vec![Picture::NONE; plan.slots.len()],
            walks: way == Way::Fast && !is_odd,
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
        self.rows.names = self.names.list;
        self.rows
    }

    /// Reads lines up to the first with quotes out of the ordinary: where it
    /// begins, and its number.
    fn lines<const QUOTED: bool>(&mut self, bytes: &[u8]) -> Option<(usize, u32)> {
        let mut cells: Vec<&[u8]> = Vec::with_capacity(self.plan.uses.len() + 4);
        let (mut from, mut number) = (0, 0);
        while from < bytes.len() {
            let text = &bytes[from..];
            let is_head = self.rows.line + u64::from(number) < self.plan.layout.first_line;
            let length = match !is_head && self.walks {
                true => self.walked::<QUOTED>(text, number),
                false => None,
            };
            from += match length {
                Some(length) => length,
                None => {
                    let end = memchr::memchr(b'\n', text).unwrap_or(text.len());
                    let line = text[..end].strip_suffix(b"\r").unwrap_or(&text[..end]);
                    cells.clear();
                    if !is_head && !cut::<QUOTED>(line, self.plan.layout.delimiter, &mut cells) {
                        return Some((from, number));
                    }
                    self.cells(&cells, number);
                    end + 1
                }
            };
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

    /// Takes in a line at the begin of a text that can be walked through: its
    /// bytes.
    #[inline]
    fn walked<const QUOTED: bool>(&mut self, text: &[u8], number: u32) -> Option<usize> {
        self.numbers.lacks.clear();
        let (time, name, length) = self.walk::<QUOTED>(text)?;
        self.rows.take(number, time, name, &mut self.numbers);
        Some(length)
    }

    /// Reads a line in one pass: the time is written as in the row before and
    /// there are just as many cells as columns.
    #[inline]
    fn walk<const QUOTED: bool>(&mut self, line: &[u8]) -> Option<(Time, Option<u32>, usize)> {
        let plan = self.plan;
        let (delimiter, marks) = (plan.layout.delimiter, plan.layout.marks);
        self.names.begin();
        let mut time = None;
        let mut slot = 0;
        let mut rest = line;
        for (i, column) in plan.uses.iter().enumerate() {
            if i != 0 {
                rest = match rest {
                    [byte, after @ ..] if *byte == delimiter => after,
                    _ => return None,
                };
            }
            let is_quoted = QUOTED && rest.first() == Some(&b'"');
            let text = if is_quoted { &rest[1..] } else { rest };
            if let Use::Number = column {
                let picture = &self.pictures[slot];
                if let Some(number) = picture.read(text) {
                    self.numbers.numbers[slot] = number;
                    rest = &text[picture.length + usize::from(is_quoted)..];
                    slot += 1;
                    continue;
                }
            }
            // A cell in quotes ends with them, any other at a delimiter or with
            // the line.
            let ends = |length: usize| match is_quoted {
                true => text.get(length) == Some(&b'"'),
                false => match text[length..] {
                    [byte, ..] if byte == delimiter => true,
                    ref after => line_end(after).is_some(),
                },
            };
            let whole = || match is_quoted {
                true => memchr::memchr2(b'"', b'\n', text),
                false => {
                    let end = text.iter().position(|b| *b == delimiter || *b == b'\n')?;
                    // The end of a line may have two bytes.
                    Some(end - usize::from(1 <= end && line_end(&text[end - 1..]) == Some(2)))
                }
            };
            let length = match column {
                Use::Number => {
                    slot += 1;
                    match leading(text, marks.decimal) {
                        Some((number, length)) if ends(length) => {
                            self.numbers.set(slot - 1, Cell::Number(number));
                            if let Some(picture) =
                                Picture::of(&text[..length], text[length], marks.decimal)
                            {
                                self.pictures[slot - 1] = picture;
                            }
                            length
                        }
                        _ => {
                            let length = whole()?;
                            self.numbers.set(slot - 1, cell(&text[..length], marks));
                            length
                        }
                    }
                }
                Use::Time | Use::Clock => {
                    let (wall_s, length) = self.recent.leading(text)?;
                    time = Some(Time {
                        wall_s,
                        offset_s: self.recent.offset_s,
                    });
                    length
                }
                Use::Date => self.recent.leading_date(text)?,
                Use::Count(count) => {
                    let length = whole()?;
                    time = Some(plan.counted(&text[..length], *count).ok()?);
                    length
                }
                Use::Name => {
                    let length = whole()?;
                    self.names.push(&text[..length]);
                    length
                }
                Use::Nothing => whole()?,
            };
            if !ends(length) {
                return None;
            }
            rest = &text[length + usize::from(is_quoted)..];
        }
        // A delimiter at the end of a line opens no column.
        while let [byte, after @ ..] = rest
            && *byte == delimiter
        {
            rest = after;
        }
        let end = line_end(rest)?;
        let name = match plan.has_names {
            true => Some(self.names.number().ok()?),
            false => None,
        };
        Some((time?, name, line.len() - rest.len() + end))
    }

    /// Reads a row from its cells.
    fn cells(&mut self, cells: &[&[u8]], number: u32) {
        let plan = self.plan;
        if self.rows.line + u64::from(number) < plan.layout.first_line
            || cells.iter().all(|c| c.trim_ascii().is_empty())
        {
            return;
        }
        match self.named_time(cells) {
            Err(reason) => self.rows.reject(number, reason, cells),
            Ok((time, name)) => {
                self.numbers.lacks.clear();
                for (slot, &column) in plan.slots.iter().enumerate() {
                    let text = cells.get(column).copied().unwrap_or_default();
                    self.numbers.set(slot, cell(text, plan.layout.marks));
                }
                self.rows.take(number, time, name, &mut self.numbers);
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
            TimeAt::Count { column, count } => return plan.counted(text(column)?, count),
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

/// The bytes of the end of a line that a text begins with.
fn line_end(text: &[u8]) -> Option<usize> {
    match text {
        [b'\n', ..] => Some(1),
        [b'\r', b'\n', ..] => Some(2),
        _ => None,
    }
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
