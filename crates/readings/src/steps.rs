//! Sums over even steps, made where a block is read.
//!
//! A [`Grid`](crate::Grid) keeps nothing but sums, so rows need not be handed
//! on one by one. What depends on the order of rows is looked at here within
//! the block; only its first row is compared with the block before.

use std::ops::Range;

use crate::checks::{Follow, Limits};
use crate::clock::{Instants, Zone};
use crate::rows::{BadCell, Missing, Rows};

/// How rows are summed.
#[derive(Clone, Debug)]
pub(crate) struct Summing {
    pub(crate) step_s: i64,
    pub(crate) zone: Option<Zone>,
    pub(crate) backward: bool,
    pub(crate) interval_s: i64,
    /// By slot.
    pub(crate) limits: Vec<Limits>,
}

/// The rows of a block after its first, as sums.
#[derive(Debug)]
pub(crate) struct Steps {
    step_s: i64,
    limits: Vec<Limits>,
    pub(crate) instants: Instants,
    pub(crate) follow: Follow,
    /// Numbers of the last row.
    pub(crate) before: Vec<f64>,
    /// The order of rows in other blocks may change what these rows mean.
    pub(crate) is_open: bool,
    pub(crate) written_offset: Option<i32>,
    pub(crate) rows: u64,
    /// First and last moment.
    pub(crate) span_s: (i64, i64),
    /// Fault codes and what cannot be, by slot.
    pub(crate) missing: Vec<Missing>,
    /// Numbers that cannot be, by slot.
    pub(crate) bad: Vec<(usize, BadCell)>,
    /// Begins of steps in the order of the rows; one may come again.
    begins_s: Vec<i64>,
    /// Sum and number of readings by step, then slot.
    sums: Vec<(f64, u32)>,
}

impl Steps {
    pub(crate) fn new(how: &Summing) -> Self {
        Self {
            step_s: how.step_s,
            instants: Instants::new(how.zone.clone(), how.backward, how.interval_s),
            follow: Follow::new(how.backward),
            before: Vec::new(),
            is_open: false,
            written_offset: None,
            rows: 0,
            span_s: (i64::MAX, i64::MIN),
            missing: vec![Missing::default(); how.limits.len()],
            bad: Vec::new(),
            begins_s: Vec::new(),
            sums: Vec::new(),
            limits: how.limits.clone(),
        }
    }

    #[inline]
    fn instant(&mut self, at: At) -> i64 {
        let instant = self.instants.of(at.wall_s, at.offset_s, at.line);
        // In a zone, moments near a change of the clock depend on the rows
        // before, and so they do where only some rows name their offset.
        self.is_open |= match at.offset_s {
            Some(_) => self.written_offset.is_none(),
            None => self.written_offset.is_some() || !self.instants.is_steady(at.wall_s),
        };
        instant
    }

    /// Takes in rows: the first of them stands for that of the block, which is
    /// not summed here.
    pub(crate) fn add(&mut self, rows: &Rows) {
        if rows.wall_s.is_empty() {
            return;
        }
        if self.follow.before_s.is_none() {
            let (at, numbers) = (rows.at(0), rows.numbers(0..1));
            self.written_offset = at.offset_s;
            let instant = self.instant(at);
            self.follow.is_repeat(instant, 0, numbers, numbers);
            self.before = numbers.to_vec();
        }
        let last = std::mem::take(&mut self.before);
        let mut before = &last[..];
        // Rows of one step.
        let mut run = 1..1;
        let mut row = 1;
        while row < rows.wall_s.len() {
            let instant = self.instant(rows.at(row));
            let numbers = rows.numbers(row..row + 1);
            let is_repeat = self.follow.is_repeat(instant, 0, before, numbers);
            before = numbers;
            if is_repeat {
                self.sum(rows, run);
                run = row + 1..row + 1;
                row += 1;
                continue;
            }
            let is_in = |begin_s: &i64| (0..self.step_s).contains(&(instant - begin_s));
            if !self.begins_s.last().is_some_and(is_in) {
                self.sum(rows, run);
                run = row..row;
                self.begins_s
                    .push(instant.div_euclid(self.step_s) * self.step_s);
                let length = self.sums.len() + self.limits.len();
                self.sums.resize(length, (0.0, 0));
            }
            let (more, last_s) = self.followers(rows, row, instant);
            self.rows += 1 + more as u64;
            self.span_s = (self.span_s.0.min(instant), self.span_s.1.max(last_s));
            if more != 0 {
                before = rows.numbers(row + more..row + more + 1);
            }
            row += 1 + more;
            run.end = row;
        }
        self.sum(rows, run);
        self.before = before.to_vec();
    }

    /// Rows after one at a moment that are each a little later, in the same
    /// step, as most are: how many, and the moment of the last.
    fn followers(&mut self, rows: &Rows, row: usize, instant: i64) -> (usize, i64) {
        if self.follow.backward || rows.have_offsets() {
            return (0, instant);
        }
        let wall_s = rows.wall_s[row];
        let step_s = self.step_s - instant.rem_euclid(self.step_s);
        let steady_s = self.instants.steady_until_s(wall_s);
        let until_s = steady_s.min(wall_s.saturating_add(step_s));
        let mut last_s = wall_s;
        let mut more = 0;
        for &next_s in &rows.wall_s[row + 1..] {
            if next_s <= last_s || until_s <= next_s {
                break;
            }
            last_s = next_s;
            more += 1;
        }
        let last_instant = instant + (last_s - wall_s);
        self.instants.before_wall = Some(last_s);
        self.follow.before_s = Some(last_instant);
        (more, last_instant)
    }

    /// Adds the numbers of some rows to the last step.
    fn sum(&mut self, rows: &Rows, run: Range<usize>) {
        let width = self.limits.len();
        let last = self.sums.len().saturating_sub(width);
        let slots = self.limits.iter().zip(&mut self.missing);
        for (slot, ((limits, missing), sums)) in slots.zip(&mut self.sums[last..]).enumerate() {
            let (mut sum, mut count) = *sums;
            for (row, numbers) in rows.numbers(run.clone()).chunks_exact(width).enumerate() {
                let bad = &mut self.bad;
                let tell = |text| {
                    let line = rows.at(run.start + row).line;
                    bad.push((slot, BadCell { line, text }));
                };
                if let Some(si) = limits.si(numbers[slot], missing, tell) {
                    sum += si;
                    count += 1;
                }
            }
            *sums = (sum, count);
        }
    }

    /// Begin of each step with its sums and numbers of readings by slot.
    pub(crate) fn sums(&self) -> impl Iterator<Item = (i64, &[(f64, u32)])> {
        let sums = self.sums.chunks_exact(self.limits.len());
        self.begins_s.iter().copied().zip(sums)
    }
}

/// When a row was written, as it says.
#[derive(Clone, Copy, Debug)]
pub(crate) struct At {
    /// Seconds since 1970 on the wall.
    pub(crate) wall_s: i64,
    /// What is to be taken from it for UTC, if the row says so \[s\].
    pub(crate) offset_s: Option<i32>,
    /// Line, from 1.
    pub(crate) line: u64,
}
