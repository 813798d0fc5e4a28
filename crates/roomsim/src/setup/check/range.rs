//! Ranges of numbers, and the refusal of what lies outside.

use super::SetupError;
use crate::timetable::DAY_S;

/// Ranges in words and numbers.
#[derive(Clone, Copy)]
pub(super) struct Allowed {
    pub(super) words: &'static str,
    pub(super) low: f64,
    pub(super) high: f64,
}

pub(super) const ABOVE_ZERO: Allowed = Allowed {
    words: "more than 0",
    low: f64::MIN_POSITIVE,
    high: 1e12,
};
pub(super) const NOT_NEGATIVE: Allowed = Allowed {
    words: "0 or more",
    low: 0.0,
    high: 1e12,
};
pub(super) const SHARE: Allowed = Allowed {
    words: "0 to 1",
    low: 0.0,
    high: 1.0,
};
pub(super) const TEMPERATURE: Allowed = Allowed {
    words: "−60 to 90 °C",
    low: -60.0,
    high: 90.0,
};
pub(super) const HUMIDITY_RATIO: Allowed = Allowed {
    words: "0 to 0.5 kg/kg",
    low: 0.0,
    high: 0.5,
};
pub(super) const ANY: Allowed = Allowed {
    words: "a finite number",
    low: -1e12,
    high: 1e12,
};
pub(super) const TIME_OF_DAY: Allowed = Allowed {
    words: "0 to 86 400 s",
    low: 0.0,
    high: DAY_S,
};

pub(super) fn number(
    what: impl Into<String>,
    value: f64,
    allowed: Allowed,
) -> Result<(), SetupError> {
    if (allowed.low..=allowed.high).contains(&value) {
        Ok(())
    } else {
        Err(SetupError::Number {
            what: what.into(),
            value,
            allowed: allowed.words,
        })
    }
}
