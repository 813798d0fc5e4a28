//! A table's heads and columns: what each is, in which unit and with which marks.

use crate::elapsed;
use crate::heads::{Head, head, speaks_of_time};
use crate::layout::{Column, Count, Layout, Row, TimeAt};
use crate::measure::{Measure, Role, Scale};
use crate::number::{Cell, Decided, MarkVotes, Marks, cell, is_fault_code};
use crate::options::Options;
use crate::order::{DateOrder, OrderVotes};
use crate::refusal::Refusal;
use crate::stamp::{Stamp, stamp};
use crate::times::has_time;
use crate::water::{Follows, Shows};

/// Cells in most rows.
fn usual_width(rows: &[&Row]) -> usize {
    let mut widths: Vec<usize> = rows.iter().map(|r| r.cells.len()).collect();
    widths.sort_unstable();
    let runs = widths.chunk_by(|a, b| a == b);
    // Of equals the wider: cells at the end may be empty.
    runs.max_by_key(|run| run.len()).map_or(0, |run| run[0])
}

/// No share of a run is more \[%\].
const MOST_PERCENT: f64 = 100.0;

/// Rows told apart from heads.
pub(crate) struct Sheet<'a> {
    delimiter: u8,
    time: TimeAt,
    heads: Vec<String>,
    named: bool,
    rows: Vec<&'a Row>,
    first_line: u64,
}

impl<'a> Sheet<'a> {
    pub(crate) fn new(
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

    pub(crate) fn layout(&self, options: &Options) -> Result<Layout, Refusal> {
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
        let mut layout = Layout {
            delimiter: self.delimiter,
            marks,
            first_line: self.first_line,
            time: self.time,
            order,
            order_why,
            columns,
            backward,
            interval_s,
            waters: Vec::new(),
        };
        self.waters(&mut layout, options)?;
        Ok(layout)
    }

    /// Says of columns of water whether they count on, where nobody said it and
    /// the rows decide; the others are left to the whole file.
    fn waters(&self, layout: &mut Layout, options: &Options) -> Result<(), Refusal> {
        let of_water = |i: &usize| {
            matches!(
                layout.columns[*i].role,
                Role::Reading(Measure::Water | Measure::WaterCounter)
            ) && !options
                .columns
                .iter()
                .any(|c| c.is_about(*i, &self.heads[*i]))
        };
        let columns: Vec<usize> = (0..layout.columns.len()).filter(of_water).collect();
        for column in columns {
            let mut follows = Follows::new(layout.backward);
            for row in &self.rows {
                let cells = || row.cells.iter().map(String::as_bytes);
                follows.add_row(layout, column, cells);
            }
            match follows.shows() {
                Shows::Nothing | Shows::Open => layout.waters.push(column),
                shows => layout.settle_water(column, shows)?,
            }
        }
        Ok(())
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
                    let number = elapsed::number(r.cells.get(column)?)?;
                    Some(match count {
                        Count::Seconds => number as i64,
                        Count::Milliseconds => (number / 1000.0) as i64,
                        Count::Days => (number * 86_400.0) as i64,
                        Count::Since { unit, .. } => (number * unit.seconds()).round() as i64,
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
        if options.is_tag(&self.heads[i]) {
            return match self.by_tag(i) {
                Some(measure) => (
                    Role::Reading(measure),
                    "its head is the tag of a unit".into(),
                ),
                None => (
                    Role::Ignored,
                    "its head is the tag of a unit, and its cells are no numbers".into(),
                ),
            };
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

    /// What a column says of the unit whose tag heads it: its power where that
    /// alone can be as much, else its state. `None` where it has no numbers.
    fn by_tag(&self, i: usize) -> Option<Measure> {
        let numbers = self.rows.iter().filter_map(|r| r.cells.get(i));
        let is_power = numbers
            .filter_map(|c| match cell(c.as_bytes(), Marks::with(b'.')) {
                Cell::Number(x) if !is_fault_code(x) => Some(x > MOST_PERCENT),
                _ => None,
            })
            .reduce(|a, b| a || b)?;
        Some(if is_power {
            Measure::UnitPower
        } else {
            Measure::UnitState
        })
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
            let cells = || numbers.clone().map(|c| cell(c.as_bytes(), marks));
            let is_open = unit_from(measure, cells()).is_none();
            if options.is_tag(&column.head) && choice.is_none() && is_open {
                return Err(Refusal::TagOpen {
                    column: column.head,
                });
            }
            column.set_from_values(measure, cells())?;
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
            Cell::Number(x) if !is_fault_code(x) => Some(x),
            _ => None,
        })
        .collect();
    numbers.sort_by(f64::total_cmp);
    measure.by_numbers(&numbers)
}

fn speaks_of_value(head_text: &str) -> bool {
    head(head_text).role == Some(Role::Value)
}

fn list(heads: &[String]) -> String {
    let shown: Vec<String> = heads.iter().take(20).map(|h| format!("{h:?}")).collect();
    shown.join(", ")
}
