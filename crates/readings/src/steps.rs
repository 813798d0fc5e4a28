//! Sums over even steps, made where a block is read.
//!
//! A [`Grid`](crate::Grid) keeps nothing but sums, so rows need not be handed
//! on one by one. What depends on the order of rows is looked at here within
//! the block; only its first row is compared with the block before.

use crate::checks::{Follow, Limits};
use crate::clock::{Instants, Zone};
use crate::rows::Missing;

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
    /// The order of rows in other blocks may change what these rows mean.
    pub(crate) is_open: bool,
    pub(crate) written_offset: Option<i32>,
    pub(crate) rows: u64,
    /// First and last moment.
    pub(crate) span_s: (i64, i64),
    /// Fault codes and what cannot be, by slot.
    pub(crate) missing: Vec<Missing>,
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
            follow: Follow::new(how.backward, how.limits.len()),
            is_open: false,
            written_offset: None,
            rows: 0,
            span_s: (i64::MAX, i64::MIN),
            missing: vec![Missing::default(); how.limits.len()],
            begins_s: Vec::new(),
            sums: Vec::new(),
            limits: how.limits.clone(),
        }
    }

    /// The first row, which is not summed here.
    pub(crate) fn begin(&mut self, at: At, mut numbers: Vec<f64>) {
        self.written_offset = at.offset_s;
        let instant = self.instant(at);
        self.follow.is_repeat(instant, 0, &mut numbers);
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

    /// Another row.
    #[inline]
    pub(crate) fn row(&mut self, at: At, numbers: &mut Vec<f64>) {
        let instant = self.instant(at);
        if self.follow.is_repeat(instant, 0, numbers) {
            return;
        }
        self.rows += 1;
        self.span_s = (self.span_s.0.min(instant), self.span_s.1.max(instant));
        let width = self.limits.len();
        let is_in = |begin_s: &i64| (0..self.step_s).contains(&(instant - begin_s));
        if !self.begins_s.last().is_some_and(is_in) {
            self.begins_s
                .push(instant.div_euclid(self.step_s) * self.step_s);
            self.sums.resize(self.sums.len() + width, (0.0, 0));
        }
        let last = self.sums.len() - width;
        for (((limits, number), missing), (sum, count)) in self
            .limits
            .iter()
            .zip(&self.follow.numbers)
            .zip(&mut self.missing)
            .zip(&mut self.sums[last..])
        {
            if let Some(si) = limits.si(*number, missing) {
                *sum += si;
                *count += 1;
            }
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
