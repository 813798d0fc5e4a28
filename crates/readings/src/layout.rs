//! How a file is laid out, told from its first part.

use csv::{ByteRecord, ReaderBuilder};

use crate::heads::{Head, head, speaks_of_time};
use crate::measure::{Measure, Role, Scale};
use crate::number::{Cell, Decided, MarkVotes, Marks, cell};
use crate::options::Options;
use crate::refusal::Refusal;
use crate::stamp::{DateOrder, OrderVotes, Stamp, stamp};

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
}

impl Layout {
    /// Columns of one role.
    pub(crate) fn columns_of(&self, role: Role) -> impl Iterator<Item = usize> {
        let all = self.columns.iter().enumerate();
        all.filter(move |(_, c)| c.role == role).map(|(i, _)| i)
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
    let candidates: Vec<u8> = options.delimiter.map_or(DELIMITERS.to_vec(), |d| vec![d]);
    let (delimiter, rows, time) = candidates
        .into_iter()
        .filter_map(|delimiter| {
            let rows = rows(text, delimiter);
            let (time, score) = times(&rows, options)?;
            Some((delimiter, rows, time, score))
        })
        // Of equals the first wins.
        .rev()
        .max_by_key(|(_, _, _, score)| *score)
        .map(|(delimiter, rows, time, _)| (delimiter, rows, time))
        .ok_or_else(no_times)?;
    Sheet::new(delimiter, &rows, time, options)?.layout(options)
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
struct Row {
    line: u64,
    cells: Vec<String>,
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

/// How well rows fit: rows with a time of day, rows with a time, cells in them.
type Score = (usize, usize, usize);

/// Where most rows have their time, and how well the rows fit.
fn times(rows: &[Row], options: &Options) -> Option<(TimeAt, Score)> {
    let chosen = chosen_time(rows, options);
    let mut found: Vec<(TimeAt, Score)> = Vec::new();
    for row in rows.iter().filter(|r| 2 <= r.cells.len()) {
        let at = match chosen {
            Some(at) => has_time(row, at).then_some(at),
            None => time_in(row),
        };
        let Some(at) = at else { continue };
        let clock = match at {
            TimeAt::One(i) => stamp(row.cells[i].as_bytes()).is_some_and(|s| s.second.is_some()),
            _ => true,
        };
        let place = found.iter().position(|(a, _)| *a == at);
        let place = place.unwrap_or_else(|| {
            found.push((at, Score::default()));
            found.len() - 1
        });
        let (with_clock, with_time, cells) = &mut found[place].1;
        *with_clock += usize::from(clock);
        *with_time += 1;
        *cells += row.cells.len();
    }
    let best = found.into_iter().max_by_key(|(_, score)| *score);
    best.or_else(|| counted(rows))
}

/// The columns of time that the options name.
fn chosen_time(rows: &[Row], options: &Options) -> Option<TimeAt> {
    let column = |role: Role| {
        let choice = options.columns.iter().find(|c| c.role == role)?;
        rows.iter().find_map(|row| {
            let mut cells = row.cells.iter().enumerate();
            cells.find(|(i, c)| choice.is_about(*i, c)).map(|(i, _)| i)
        })
    };
    match (column(Role::Time), column(Role::Date), column(Role::Clock)) {
        (Some(column), _, _) => {
            let number = |r: &Row| r.cells.get(column).and_then(|c| c.parse::<f64>().ok());
            match rows.iter().rev().find_map(number).and_then(count_of) {
                Some(count) => Some(TimeAt::Count { column, count }),
                None => Some(TimeAt::One(column)),
            }
        }
        (_, Some(date), Some(clock)) => Some(TimeAt::Two { date, clock }),
        _ => None,
    }
}

fn has_time(row: &Row, at: TimeAt) -> bool {
    let cell = |i: usize| row.cells.get(i).and_then(|c| stamp(c.as_bytes()));
    match at {
        TimeAt::One(i) => cell(i).is_some_and(|s| s.date.is_some()),
        TimeAt::Two { date, clock } => {
            cell(date).is_some_and(|s| s.date.is_some())
                && cell(clock).is_some_and(|s| s.second.is_some())
        }
        TimeAt::Count { column, .. } => {
            let number = row.cells.get(column).and_then(|c| c.parse::<f64>().ok());
            number.and_then(count_of).is_some()
        }
    }
}

/// The first date with a time of day; else a date and the next time of day.
fn time_in(row: &Row) -> Option<TimeAt> {
    let stamps: Vec<Option<Stamp>> = row.cells.iter().map(|c| stamp(c.as_bytes())).collect();
    let find = |date: bool, second: bool| {
        stamps.iter().position(|s| {
            s.is_some_and(|s| s.date.is_some() == date && s.second.is_some() == second)
        })
    };
    if let Some(both) = find(true, true) {
        return Some(TimeAt::One(both));
    }
    let date = find(true, false)?;
    Some(match find(false, true) {
        Some(clock) => TimeAt::Two { date, clock },
        None => TimeAt::One(date),
    })
}

/// A column of counts whose head speaks of time.
fn counted(rows: &[Row]) -> Option<(TimeAt, Score)> {
    let (column, _) = rows.iter().take(50).find_map(|row| {
        let mut cells = row.cells.iter().enumerate();
        cells.find(|(_, c)| speaks_of_time(c) && c.parse::<f64>().is_err())
    })?;
    let number = |r: &Row| r.cells.get(column).and_then(|c| c.parse::<f64>().ok());
    let count = rows.iter().rev().find_map(number).and_then(count_of)?;
    let fitting: Vec<&Row> = rows
        .iter()
        .filter(|r| 2 <= r.cells.len() && number(r).and_then(count_of) == Some(count))
        .collect();
    let cells = fitting.iter().map(|r| r.cells.len()).sum();
    Some((
        TimeAt::Count { column, count },
        (fitting.len(), fitting.len(), cells),
    ))
}

/// What a number of this size counts: moments from 2000 to 2100.
fn count_of(number: f64) -> Option<Count> {
    const SECONDS: std::ops::Range<f64> = 946_684_800.0..4_102_444_800.0;
    if SECONDS.contains(&number) {
        Some(Count::Seconds)
    } else if SECONDS.contains(&(number / 1000.0)) {
        Some(Count::Milliseconds)
    } else if (36_526.0..73_050.0).contains(&number) {
        Some(Count::Days)
    } else {
        None
    }
}

/// Cells in most rows.
fn usual_width(rows: &[&Row]) -> usize {
    let mut widths: Vec<usize> = rows.iter().map(|r| r.cells.len()).collect();
    widths.sort_unstable();
    let runs = widths.chunk_by(|a, b| a == b);
    // Of equals the wider: cells at the end may be empty.
    runs.max_by_key(|run| run.len()).map_or(0, |run| run[0])
}

/// Rows told apart from heads.
struct Sheet<'a> {
    delimiter: u8,
    time: TimeAt,
    heads: Vec<String>,
    named: bool,
    rows: Vec<&'a Row>,
    first_line: u64,
}

impl<'a> Sheet<'a> {
    fn new(
        delimiter: u8,
        rows: &'a [Row],
        time: TimeAt,
        options: &Options,
    ) -> Result<Self, Refusal> {
        let first = rows
            .iter()
            .position(|r| 2 <= r.cells.len() && has_time(r, time))
            .unwrap_or(0);
        let data: Vec<&Row> = rows[first..].iter().filter(|r| has_time(r, time)).collect();
        let width = usual_width(&data);
        if let TimeAt::One(column) = time
            && data
                .iter()
                .all(|r| stamp(r.cells[column].as_bytes()).is_some_and(|s| s.second.is_none()))
        {
            let example = data
                .first()
                .map_or(String::new(), |r| r.cells[column].clone());
            return Err(Refusal::NoClock { example });
        }
        let mut heads = vec![Vec::new(); width];
        let mut named = false;
        for row in rows[..first].iter().rev().take(3) {
            let fits =
                row.cells.len() <= width && width <= row.cells.len() + 1 && 2 <= row.cells.len();
            let numbers = row
                .cells
                .iter()
                .any(|c| matches!(cell(c.as_bytes(), Marks::POINT), Cell::Number(_)));
            let about = row
                .cells
                .iter()
                .any(|c| speaks_of_time(c) || head(c).role.is_some());
            if !fits {
                if !named && about && 2 <= row.cells.len() && row.cells.len() < width {
                    return Err(Refusal::CellsDoNotFit {
                        head: row.cells.len(),
                        cells: width,
                        line: row.line,
                    });
                }
                // A head that names more columns than rows fill so far.
                if named || !about || row.cells.len() < width {
                    break;
                }
                heads.resize(row.cells.len(), Vec::new());
            } else if numbers && named {
                break;
            }
            for (head, cell) in heads.iter_mut().zip(&row.cells) {
                if !cell.is_empty() {
                    head.insert(0, cell.as_str());
                }
            }
            named = true;
        }
        let heads: Vec<String> = heads
            .iter()
            .enumerate()
            .map(|(i, parts)| {
                if parts.is_empty() {
                    format!("column {}", i + 1)
                } else {
                    parts.join(" ")
                }
            })
            .collect();
        for choice in &options.columns {
            if !heads.iter().enumerate().any(|(i, h)| choice.is_about(i, h)) {
                return Err(Refusal::NoSuchColumn {
                    asked: choice.column.clone(),
                    columns: list(&heads),
                });
            }
        }
        Ok(Self {
            delimiter,
            time,
            heads,
            named,
            first_line: rows[first].line,
            rows: data,
        })
    }

    fn layout(&self, options: &Options) -> Result<Layout, Refusal> {
        let guesses: Vec<Head> = self.heads.iter().map(|h| head(h)).collect();
        let roles: Vec<(Role, String)> = (0..self.heads.len())
            .map(|i| self.role(i, &guesses, options))
            .collect();
        let marks = self.marks(&roles, options)?;
        let mut columns = Vec::new();
        for (i, (role, why)) in roles.into_iter().enumerate() {
            columns.push(self.column(i, role, why, guesses[i].scale, marks, options)?);
        }
        let uses_value = columns.iter().any(|c| c.role == Role::Value);
        if !uses_value && !columns.iter().any(|c| matches!(c.role, Role::Reading(_))) {
            return Err(Refusal::NoReadings {
                columns: list(&self.heads),
            });
        }
        let mut votes = OrderVotes::default();
        for date in self.rows.iter().filter_map(|r| self.stamp(r)?.date) {
            votes.add(&date);
        }
        let (order, order_why) = match (options.dates, self.time, votes.decided()) {
            (Some(order), _, _) => (Some(order), "as said"),
            (_, TimeAt::Count { .. }, _) => (Some(DateOrder::Ymd), "a count has no order"),
            (_, _, Ok((order, why))) => (Some(order), why),
            (_, _, Err(_)) => (None, ""),
        };
        let (backward, interval_s) = self.pace(order);
        Ok(Layout {
            delimiter: self.delimiter,
            marks,
            first_line: self.first_line,
            time: self.time,
            order,
            order_why,
            columns,
            backward,
            interval_s,
        })
    }

    fn stamp(&self, row: &Row) -> Option<Stamp> {
        let at = |i: usize| stamp(row.cells.get(i)?.as_bytes());
        match self.time {
            TimeAt::One(i) => at(i),
            TimeAt::Two { date, clock } => Some(Stamp {
                date: at(date)?.date,
                ..at(clock)?
            }),
            TimeAt::Count { .. } => None,
        }
    }

    /// Whether rows run backward, and the usual time between them \[s\].
    fn pace(&self, order: Option<DateOrder>) -> (bool, i64) {
        let order = order.unwrap_or(DateOrder::Dmy);
        let times: Vec<i64> = self
            .rows
            .iter()
            .filter_map(|r| match self.time {
                TimeAt::Count { column, count } => {
                    let number: f64 = r.cells.get(column)?.parse().ok()?;
                    Some(match count {
                        Count::Seconds => number as i64,
                        Count::Milliseconds => (number / 1000.0) as i64,
                        Count::Days => (number * 86_400.0) as i64,
                    })
                }
                _ => {
                    let s = self.stamp(r)?;
                    Some(i64::from(s.date?.day(order)?) * 86_400 + i64::from(s.second.unwrap_or(0)))
                }
            })
            .collect();
        let steps: Vec<i64> = times
            .windows(2)
            .map(|w| w[1] - w[0])
            .filter(|s| *s != 0)
            .collect();
        let back = steps.iter().filter(|s| **s < 0).count();
        let mut sizes: Vec<i64> = steps.iter().map(|s| s.abs()).collect();
        sizes.sort_unstable();
        (
            2 * back > steps.len(),
            sizes.get(sizes.len() / 2).copied().unwrap_or(60),
        )
    }

    fn role(&self, i: usize, guesses: &[Head], options: &Options) -> (Role, String) {
        let of_time = match self.time {
            TimeAt::One(at) | TimeAt::Count { column: at, .. } => (at == i).then_some(Role::Time),
            TimeAt::Two { date, .. } if date == i => Some(Role::Date),
            TimeAt::Two { clock, .. } if clock == i => Some(Role::Clock),
            TimeAt::Two { .. } => None,
        };
        if let Some(role) = of_time {
            return (role, "its cells".into());
        }
        let choice = options
            .columns
            .iter()
            .find(|c| c.is_about(i, &self.heads[i]));
        if let Some(choice) = choice {
            return (choice.role, "as said".into());
        }
        let sensor = |role: Option<Role>| role == Some(Role::Sensor);
        let numbers = self.rows.iter().take(200).filter(|r| {
            r.cells
                .get(i)
                .is_some_and(|c| !matches!(cell(c.as_bytes(), Marks::with(b'.')), Cell::Unreadable))
        });
        let numbers = 2 * numbers.count() > self.rows.len().min(200);
        match guesses[i].role {
            // A sensor's number names it as well as its name does, but only in
            // a table that has a column of values or whose names differ.
            Some(Role::Sensor) if self.differs(i) || !numbers => (Role::Sensor, "its head".into()),
            Some(Role::Sensor) => (Role::Ignored, "the same in all rows".into()),
            Some(role @ Role::Ignored) => {
                (role, "its head speaks of something that is not used".into())
            }
            Some(role) => (role, "its head".into()),
            None if !self.named => (Role::Ignored, "no head names it".into()),
            None if numbers
                && guesses.iter().any(|g| sensor(g.role))
                && speaks_of_value(&self.heads[i]) =>
            {
                (Role::Value, "the only numbers beside the names".into())
            }
            None => (Role::Ignored, "its head names nothing that is used".into()),
        }
    }

    fn differs(&self, i: usize) -> bool {
        let mut cells = self.rows.iter().filter_map(|r| r.cells.get(i));
        let first = cells.next();
        cells.any(|c| Some(c) != first)
    }

    fn marks(&self, roles: &[(Role, String)], options: &Options) -> Result<Marks, Refusal> {
        if let Some(decimal) = options.decimal {
            return Ok(Marks::with(decimal));
        }
        let mut votes = MarkVotes::default();
        let mut open = None;
        for (i, (role, _)) in roles.iter().enumerate() {
            let small = match role {
                Role::Reading(measure) => measure.is_small(),
                Role::Value => false,
                _ => continue,
            };
            for cell in self.rows.iter().filter_map(|r| r.cells.get(i)) {
                votes.add(cell, small);
                if cell.contains([',', '.']) {
                    open.get_or_insert(cell);
                }
            }
        }
        match votes.decided() {
            Decided::Mark(decimal) => Ok(Marks::with(decimal)),
            Decided::Open => Err(Refusal::DecimalOpen {
                example: open.cloned().unwrap_or_default(),
            }),
            Decided::Both => Err(Refusal::DecimalBoth),
        }
    }

    fn column(
        &self,
        i: usize,
        role: Role,
        why: String,
        named: Option<Scale>,
        marks: Marks,
        options: &Options,
    ) -> Result<Column, Refusal> {
        let mut column = Column {
            head: self.heads[i].clone(),
            role,
            scale: None,
            why,
        };
        let Role::Reading(measure) = role else {
            return Ok(column);
        };
        let choice = options.columns.iter().find(|c| c.is_about(i, &column.head));
        let said = choice.and_then(|c| measure.scale(c.unit.as_deref()?));
        column.scale = said.or_else(|| named.filter(|_| choice.is_none_or(|c| c.role == role)));
        if column.scale.is_some() {
            return Ok(column);
        }
        // The head may name the unit though a person named the measure.
        column.scale = measure_unit(&column.head, measure);
        if column.scale.is_none() {
            let numbers = self.rows.iter().filter_map(|r| r.cells.get(i));
            column.set_from_values(measure, numbers.map(|c| cell(c.as_bytes(), marks)))?;
        }
        Ok(column)
    }
}

fn measure_unit(head_text: &str, measure: Measure) -> Option<Scale> {
    let mut pieces = head_text
        .split(|c: char| c.is_whitespace() || matches!(c, '(' | ')' | '[' | ']' | '_' | ','));
    pieces.find_map(|p| (!p.is_empty()).then(|| measure.scale(p)).flatten())
}

impl Column {
    /// The unit from the numbers; a temperature or humidity in doubt is asked
    /// about, others are set aside.
    fn set_from_values(
        &mut self,
        measure: Measure,
        cells: impl Iterator<Item = Cell>,
    ) -> Result<(), Refusal> {
        let found = unit_from(measure, cells);
        match found {
            Some((scale, why)) => {
                self.scale = Some(scale);
                self.why = format!("{}; {why}", self.why);
            }
            None if matches!(measure, Measure::DryBulb | Measure::RelHumidity) => {
                return Err(Refusal::UnitOpen {
                    column: self.head.clone(),
                    measure: measure.word(),
                    units: measure.units_in_words(),
                });
            }
            None => {
                self.role = Role::Ignored;
                self.why = format!(
                    "{} without a unit, and its numbers leave it open; units: {}",
                    measure.word(),
                    measure.units_in_words()
                );
            }
        }
        Ok(())
    }
}

/// The unit that the numbers leave no doubt about; fault codes aside.
pub(crate) fn unit_from(
    measure: Measure,
    cells: impl Iterator<Item = Cell>,
) -> Option<(Scale, &'static str)> {
    let mut numbers: Vec<f64> = cells
        .filter_map(|c| match c {
            Cell::Number(x) if !crate::read::is_fault_code(x) => Some(x),
            _ => None,
        })
        .collect();
    numbers.sort_by(f64::total_cmp);
    let middle = numbers.get(numbers.len() / 2)?;
    measure.by_numbers(*middle, *numbers.last()?)
}

fn speaks_of_value(head_text: &str) -> bool {
    head(head_text).role == Some(Role::Value)
}

fn list(heads: &[String]) -> String {
    let shown: Vec<String> = heads.iter().take(20).map(|h| format!("{h:?}")).collect();
    shown.join(", ")
}
