//! Instants, and the time between two of them.

use serde::{Deserialize, Serialize};

/// An instant as the writing device read it: the time of day, and a clock that
/// nobody can set.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Moment {
    /// Milliseconds since 1970-01-01T00:00Z.
    pub utc_ms: i64,
    /// Which unsettable clock ticked: another name after each start of the
    /// device.
    pub clock: String,
    /// Its reading \[ms\].
    pub ticks_ms: u64,
}

impl Moment {
    /// So much later by the same clock, which was not set meanwhile.
    ///
    /// - `seconds`: not below 0
    #[must_use]
    pub fn later(&self, seconds: f64) -> Self {
        let ms = (1_000.0 * seconds).round().max(0.0);
        Self {
            utc_ms: self.utc_ms.saturating_add(ms as i64),
            clock: self.clock.clone(),
            ticks_ms: self.ticks_ms.saturating_add(ms as u64),
        }
    }
}

/// What a time between two instants was taken from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MeasuredBy {
    /// One unsettable clock saw both.
    Ticks,
    /// The times of day, since the clock was started in between or belongs to
    /// another device.
    TimeOfDay,
}

/// Time between two instants.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Elapsed {
    /// The time, not below 0 \[ms\].
    pub ms: i64,
    /// What it was taken from.
    pub by: MeasuredBy,
    /// How far the time of day was set between them, as far as can be told:
    /// negative set back \[ms\]; 0 within what clocks drift.
    pub set_ms: i64,
}

/// Difference of two clocks that is no setting: 5 s, and 1 ms in each second.
///
/// **Assumed** far above the drift of a quartz and the slewing of a time
/// service (0.5 ms/s), far below what changes a verdict.
const DRIFT_MS: i64 = 5_000;
const DRIFT_PER: i64 = 1_000;

/// The time from one instant to another. Where one unsettable clock saw both,
/// it decides; else the times of day do, and a time of day that runs backwards
/// counts as no time at all.
pub fn elapsed(from: &Moment, to: &Moment) -> Elapsed {
    let by_day = to.utc_ms.saturating_sub(from.utc_ms);
    let one_clock = from.clock == to.clock && from.ticks_ms <= to.ticks_ms;
    if one_clock {
        let ms = i64::try_from(to.ticks_ms - from.ticks_ms).unwrap_or(i64::MAX);
        let off = by_day.saturating_sub(ms);
        let drift = DRIFT_MS.saturating_add(ms / DRIFT_PER);
        return Elapsed {
            ms,
            by: MeasuredBy::Ticks,
            set_ms: if off.saturating_abs() <= drift {
                0
            } else {
                off
            },
        };
    }
    Elapsed {
        ms: by_day.max(0),
        by: MeasuredBy::TimeOfDay,
        set_ms: if by_day < -DRIFT_MS { by_day } else { 0 },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(utc_ms: i64, clock: &str, ticks_ms: u64) -> Moment {
        Moment {
            utc_ms,
            clock: clock.into(),
            ticks_ms,
        }
    }

    #[test]
    fn a_clock_that_was_set_does_not_change_the_time_between() {
        let start = at(1_000_000, "a", 50);
        let set_back = elapsed(&start, &at(0, "a", 300_050));
        assert_eq!((set_back.ms, set_back.by), (300_000, MeasuredBy::Ticks));
        assert_eq!(set_back.set_ms, -1_300_000);
        let forward = elapsed(&start, &at(9_000_000, "a", 300_050));
        assert_eq!((forward.ms, forward.set_ms), (300_000, 7_700_000));
        let drifted = elapsed(&start, &at(1_304_000, "a", 300_050));
        assert_eq!((drifted.ms, drifted.set_ms), (300_000, 0));
    }

    #[test]
    fn over_a_restart_the_time_of_day_decides() {
        let start = at(1_000_000, "a", 50);
        let later = elapsed(&start, &at(1_060_000, "b", 7));
        assert_eq!((later.ms, later.by), (60_000, MeasuredBy::TimeOfDay));
        assert_eq!(later.set_ms, 0);
        let back = elapsed(&start, &at(900_000, "b", 7));
        assert_eq!((back.ms, back.set_ms), (0, -100_000));
        // A clock of one name that runs backwards is another clock.
        assert_eq!(elapsed(&start, &at(1_060_000, "a", 7)).ms, 60_000);
    }

    #[test]
    fn the_ends_of_time_do_no_harm() {
        let first = at(i64::MIN, "a", 0);
        let last = at(i64::MAX, "a", u64::MAX);
        assert_eq!(elapsed(&first, &last).ms, i64::MAX);
        assert_eq!(elapsed(&last, &first).ms, 0);
    }
}
