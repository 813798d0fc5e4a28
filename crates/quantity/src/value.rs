//! A number that knows its kind, and a number that knows its spread.

use serde::{Deserialize, Serialize};

use crate::Dim;

/// A quantity in SI (°C for temperature) with its kind and the number of
/// significant digits that are known of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Value {
    /// The number, in the SI unit of `dim`.
    pub si: f64,
    /// What kind of quantity it is.
    pub dim: Dim,
    /// Significant digits known; what is printed never shows more.
    pub digits: u8,
}

impl Value {
    /// A value of kind `dim` with three significant digits.
    pub const fn new(si: f64, dim: Dim) -> Self {
        Self { si, dim, digits: 3 }
    }

    /// The same value, known to `digits` significant digits.
    pub const fn digits(self, digits: u8) -> Self {
        Self { digits, ..self }
    }
}

/// A number with its spread, in SI: 10th, 50th and 90th percentile.
/// `low ≤ likely ≤ high`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Band {
    /// 10th percentile.
    pub low: f64,
    /// Median.
    pub likely: f64,
    /// 90th percentile.
    pub high: f64,
}

impl Band {
    /// A number without spread.
    pub const fn exact(x: f64) -> Self {
        Self {
            low: x,
            likely: x,
            high: x,
        }
    }

    /// A band from its three percentiles, which must be in order.
    pub const fn new(low: f64, likely: f64, high: f64) -> Self {
        Self { low, likely, high }
    }

    /// A band of which only the ends are known; likely is half-way.
    ///
    /// ```
    /// use quantity::Band;
    /// assert_eq!(Band::between(3.0, 4.0).likely, 3.5);
    /// ```
    pub const fn between(low: f64, high: f64) -> Self {
        Self {
            low,
            likely: low + (high - low) / 2.0,
            high,
        }
    }

    /// Whether low and high differ.
    pub fn is_spread(&self) -> bool {
        self.low < self.high
    }

    /// Each of the three numbers passed through `f`, put back in order.
    pub fn map(self, f: impl Fn(f64) -> f64) -> Self {
        let mut v = [f(self.low), f(self.likely), f(self.high)];
        v.sort_by(f64::total_cmp);
        Self {
            low: v[0],
            likely: v[1],
            high: v[2],
        }
    }
}
