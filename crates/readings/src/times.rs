//! Where the times of a table stand.

use crate::elapsed;
use crate::heads::speaks_of_time;
use crate::layout::{Count, Row, TimeAt};
use crate::measure::Role;
use crate::options::Options;
use crate::stamp::{Stamp, stamp};

/// How well rows fit: rows with a time of day, rows with a time, cells in them.
pub(crate) type Score = (usize, usize, usize);

/// Where most rows have their time, and how well the rows fit.
pub(crate) fn times(rows: &[Row], options: &Options) -> Option<(TimeAt, Score)> {
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
            let of = |n: Option<f64>| n.and_then(count_of);
            match of(rows.iter().rev().find_map(number)) {
                Some(count) if of(rows.iter().find_map(number)) == Some(count) => {
                    Some(TimeAt::Count { column, count })
                }
                _ => Some(TimeAt::One(column)),
            }
        }
        (_, Some(date), Some(clock)) => Some(TimeAt::Two { date, clock }),
        _ => None,
    }
}

pub(crate) fn has_time(row: &Row, at: TimeAt) -> bool {
    let cell = |i: usize| row.cells.get(i).and_then(|c| stamp(c.as_bytes()));
    match at {
        TimeAt::One(i) => cell(i).is_some_and(|s| s.date.is_some()),
        TimeAt::Two { date, clock } => {
            cell(date).is_some_and(|s| s.date.is_some())
                && cell(clock).is_some_and(|s| s.second.is_some())
        }
        TimeAt::Count {
            column,
            count: Count::Since { .. },
        } => {
            let number = row.cells.get(column).and_then(|c| elapsed::number(c));
            number.is_some_and(|n| 0.0 <= n)
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
    // Seconds since a start grow to the size of spreadsheets' days.
    if rows.iter().find_map(number).and_then(count_of) != Some(count) {
        return None;
    }
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
pub(crate) fn count_of(number: f64) -> Option<Count> {
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
