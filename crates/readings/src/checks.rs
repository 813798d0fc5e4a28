//! What each row and each number is held against, on whichever thread.

use crate::measure::{Measure, Scale};
use crate::number::is_fault_code;
use crate::rows::{BadCell, Missing};

/// What the numbers of one channel can be.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Limits {
    pub(crate) scale: Scale,
    possible: (f64, f64),
}

impl Limits {
    pub(crate) const fn new(measure: Measure, scale: Scale) -> Self {
        Self {
            scale,
            possible: measure.possible(),
        }
    }

    /// A number in SI, if it is a reading; what is none is counted, and the first
    /// that cannot be are told.
    #[inline]
    pub(crate) fn si(
        &self,
        number: f64,
        missing: &mut Missing,
        tell: impl FnOnce(String),
    ) -> Option<f64> {
        let si = self.scale.si(number);
        if self.possible.0 <= si && si <= self.possible.1 {
            return Some(si);
        }
        count(number, missing, tell);
        None
    }
}

/// Counts a number that is no reading.
#[cold]
fn count(number: f64, missing: &mut Missing, tell: impl FnOnce(String)) {
    if number.is_nan() {
        // Counted where the cell was read.
    } else if is_fault_code(number) {
        missing.code += 1;
    } else {
        if missing.impossible < BadCell::TOLD {
            tell(number.to_string());
        }
        missing.impossible += 1;
    }
}

/// Compares each row with the one before.
#[derive(Debug)]
pub(crate) struct Follow {
    pub(crate) backward: bool,
    /// Moment of the row before.
    pub(crate) before_s: Option<i64>,
    name: usize,
    pub(crate) repeats: u64,
    pub(crate) out_of_order: u64,
}

impl Follow {
    pub(crate) const fn new(backward: bool) -> Self {
        Self {
            backward,
            before_s: None,
            name: usize::MAX,
            repeats: 0,
            out_of_order: 0,
        }
    }

    /// Whether a row says again what the row before said, whose numbers were
    /// `before`.
    #[inline]
    pub(crate) fn is_repeat(
        &mut self,
        instant: i64,
        name: usize,
        before: &[f64],
        numbers: &[f64],
    ) -> bool {
        let same = |(a, b): (&f64, &f64)| a == b || a.is_nan() && b.is_nan();
        if let Some(before_s) = self.before_s {
            if before_s == instant {
                if self.name == name && before.iter().zip(numbers).all(same) {
                    self.repeats += 1;
                    return true;
                }
            } else if (instant < before_s) != self.backward {
                self.out_of_order += 1;
            }
        }
        self.before_s = Some(instant);
        self.name = name;
        false
    }

    /// Takes in rows that followed the last one.
    pub(crate) fn absorb(&mut self, rest: Self) {
        let repeats = self.repeats + rest.repeats;
        let out_of_order = self.out_of_order + rest.out_of_order;
        *self = Self {
            repeats,
            out_of_order,
            ..rest
        };
    }
}
