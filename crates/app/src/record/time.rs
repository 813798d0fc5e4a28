//! The instant of an event: the time of day, and a clock that nobody can set.

use std::sync::LazyLock;
use std::time::{Instant, SystemTime, UNIX_EPOCH};

use job::record::Moment;

/// Now.
pub(crate) fn now() -> Moment {
    let (clock, ticks_ms) = since_boot().unwrap_or_else(since_start);
    Moment {
        utc_ms: utc_ms(),
        clock,
        ticks_ms,
    }
}

/// Milliseconds since 1970; negative on a clock before that.
pub(super) fn utc_ms() -> i64 {
    let ms = |d: std::time::Duration| i64::try_from(d.as_millis()).unwrap_or(i64::MAX);
    match SystemTime::now().duration_since(UNIX_EPOCH) {
        Ok(after) => ms(after),
        Err(before) => -ms(before.duration()),
    }
}

/// An instant as people read it, to the minute, in UTC: "2026-11-25 14:02 UTC".
pub(crate) fn words(utc_ms: i64) -> String {
    match jiff::Timestamp::from_millisecond(utc_ms) {
        Ok(at) => at.strftime("%Y-%m-%d %H:%M UTC").to_string(),
        Err(_) => "a time that no calendar has".into(),
    }
}

/// The day so many months after an instant, in UTC: "2026-12-25". Where that
/// month is shorter, its last day.
pub(crate) fn day(utc_ms: i64, months: u32) -> String {
    use jiff::{Span, Timestamp, tz::TimeZone};
    let later = Timestamp::from_millisecond(utc_ms).and_then(|at| {
        let span = Span::new().try_months(i64::from(months))?;
        at.to_zoned(TimeZone::UTC).date().checked_add(span)
    });
    match later {
        Ok(day) => day.to_string(),
        Err(_) => "a day that no calendar has".into(),
    }
}

/// Time since the machine was started, sleep included, where the system tells
/// it: it goes on when the program is started again.
fn since_boot() -> Option<(String, u64)> {
    let boot = std::fs::read_to_string("/proc/sys/kernel/random/boot_id").ok()?;
    let uptime = std::fs::read_to_string("/proc/uptime").ok()?;
    let seconds: f64 = uptime.split_whitespace().next()?.parse().ok()?;
    // From 0 up, and far below what a u64 holds.
    Some((boot.trim().to_owned(), (seconds * 1000.0) as u64))
}

/// Time since this program was started.
fn since_start() -> (String, u64) {
    static START: LazyLock<(String, Instant)> =
        LazyLock::new(|| (super::writer::random_id(), Instant::now()));
    let (name, start) = &*START;
    let ms = u64::try_from(start.elapsed().as_millis()).unwrap_or(u64::MAX);
    (name.clone(), ms)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn instants_are_dates_and_odd_ones_do_no_harm() {
        // POSIX.1-2017, base definitions 4.16: seconds since the epoch.
        assert_eq!(words(951_782_400_000), "2000-02-29 00:00 UTC");
        assert_eq!(words(-60_000), "1969-12-31 23:59 UTC");
        assert!(words(i64::MAX).contains("no calendar"));
    }

    #[test]
    fn months_end_on_a_day_that_they_have() {
        // 31 January 2027, and the Gregorian calendar.
        let january = 1_801_353_600_000;
        assert_eq!(day(january, 0), "2027-01-31");
        assert_eq!(day(january, 1), "2027-02-28");
        assert_eq!(day(january, 12), "2028-01-31");
        assert!(day(i64::MAX, 1).contains("no calendar"));
        assert!(day(january, u32::MAX).contains("no calendar"));
    }

    #[test]
    fn neither_clock_runs_backwards() {
        for of in [|| since_boot().unwrap_or_else(since_start), since_start] {
            let (name, first) = of();
            let (again, second) = of();
            assert_eq!(name, again);
            assert!(first <= second);
        }
        assert!(1_700_000_000_000 < now().utc_ms);
    }
}
