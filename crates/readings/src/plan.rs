//! What to do with each column of a log.

use crate::checks::Limits;
use crate::layout::{Count, Layout, TimeAt};
use crate::measure::{Measure, Role};
use crate::number::{Cell, cell};
use crate::order::DateOrder;
use crate::rows::{Reason, Time};
use crate::stamp::Stamp;

/// What stands in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Use {
    /// Date and time of day.
    Time,
    Date,
    Clock,
    Count,
    /// A part of the name of the sensor.
    Name,
    Number,
    Nothing,
}

/// What to do with each row.
#[derive(Clone, Debug)]
pub(crate) struct Plan {
    pub(crate) layout: Layout,
    order: DateOrder,
    pub(crate) uses: Vec<Use>,
    /// Columns with numbers, by slot.
    pub(crate) slots: Vec<usize>,
    pub(crate) has_names: bool,
}

impl Plan {
    pub(crate) fn new(layout: Layout, order: DateOrder) -> Self {
        let uses: Vec<Use> = (0..layout.columns.len())
            .map(|i| match (layout.time, layout.columns[i].role) {
                (TimeAt::One(at), _) if at == i => Use::Time,
                (TimeAt::Two { date, .. }, _) if date == i => Use::Date,
                (TimeAt::Two { clock, .. }, _) if clock == i => Use::Clock,
                (TimeAt::Count { column, .. }, _) if column == i => Use::Count,
                (_, Role::Reading(_) | Role::Value) => Use::Number,
                (_, Role::Sensor | Role::Unit) => Use::Name,
                _ => Use::Nothing,
            })
            .collect();
        let numbers = uses.iter().enumerate().filter(|(_, u)| **u == Use::Number);
        let has_names = layout.columns_of(Role::Sensor).next().is_some();
        Self {
            slots: numbers.map(|(i, _)| i).collect(),
            has_names,
            layout,
            order,
            uses,
        }
    }

    /// A key for a row without names.
    pub(crate) const UNNAMED: &'static str = "";

    /// What the numbers of each slot can be, where rows can be summed without
    /// those of other blocks: columns say what they measure, and none of them
    /// has amounts, of which a second copy is told by what went before.
    pub(crate) fn limits(&self) -> Option<Vec<Limits>> {
        let limits = |slot: &usize| match &self.layout.columns[*slot] {
            column if column.role == Role::Reading(Measure::Water) => None,
            column => match column.role {
                Role::Reading(measure) => Some(Limits::new(measure, column.scale?)),
                _ => None,
            },
        };
        if self.has_names || self.slots.is_empty() {
            return None;
        }
        self.slots.iter().map(limits).collect()
    }

    /// The time that a stamp tells.
    pub(crate) fn time(&self, stamp: &Stamp) -> Result<Time, Reason> {
        let date = stamp.date.ok_or(Reason::NoTime)?;
        let day = date.day(self.order).ok_or(Reason::NoSuchTime)?;
        let second = stamp.second.ok_or(Reason::NoTime)?;
        Ok(Time {
            wall_s: i64::from(day) * 86_400 + i64::from(second),
            offset_s: stamp.offset_s,
        })
    }

    /// The time that a count tells.
    pub(crate) fn counted(&self, text: &[u8]) -> Result<Time, Reason> {
        let TimeAt::Count { count, .. } = self.layout.time else {
            return Err(Reason::NoTime);
        };
        let Cell::Number(number) = cell(text, self.layout.marks) else {
            return Err(Reason::NoTime);
        };
        let (second, offset_s) = match count {
            Count::Seconds => (number.floor(), Some(0)),
            Count::Milliseconds => ((number / 1000.0).floor(), Some(0)),
            // Seconds are rounded: a day in decimals is not exact.
            Count::Days => (((number - 25_569.0) * 86_400.0).round(), None),
            Count::Since {
                unit,
                begin_s,
                offset_s,
            } => (begin_s as f64 + (number * unit.seconds()).round(), offset_s),
        };
        Ok(Time {
            wall_s: second as i64,
            offset_s,
        })
    }
}
