//! Evenly spaced nodes.

use super::TableError;
use crate::floor::cell;

/// Evenly spaced nodes of a table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Axis {
    start: f64,
    step: f64,
    per_step: f64,
    nodes: usize,
    /// Just short of the last node, so that a next node is always there.
    last: f64,
}

/// Where a value lies: between `index` and the next node, `share` of the way.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Slot {
    pub(crate) index: usize,
    pub(crate) share: f64,
    /// 1 inside, 0 where the value was held at an end: factor of slopes.
    pub(crate) inside: f64,
}

impl Axis {
    pub(crate) fn new(
        name: &'static str,
        start: f64,
        step: f64,
        nodes: usize,
    ) -> Result<Self, TableError> {
        if nodes < 2 || step.is_nan() || step <= 0.0 || !start.is_finite() || !step.is_finite() {
            return Err(TableError::Axis { axis: name });
        }
        Ok(Self {
            start,
            step,
            per_step: 1.0 / step,
            nodes,
            last: (nodes - 1) as f64 - 1e-9,
        })
    }

    pub(crate) const fn nodes(&self) -> usize {
        self.nodes
    }

    pub(crate) const fn first(&self) -> f64 {
        self.start
    }

    pub(crate) const fn per_step(&self) -> f64 {
        self.per_step
    }

    pub(crate) fn node(&self, index: usize) -> f64 {
        self.start + index as f64 * self.step
    }

    /// The slot of a value; what is outside is held at the nearest end.
    #[inline]
    pub(crate) fn slot(&self, value: f64) -> Slot {
        let raw = (value - self.start) * self.per_step;
        let held = raw.max(0.0).min(self.last);
        let (index, share) = cell(held);
        Slot {
            index,
            share,
            inside: if raw == held { 1.0 } else { 0.0 },
        }
    }
}
