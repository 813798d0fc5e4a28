//! Days as people write them.

use jiff::ToSpan;
use jiff::civil;

/// Days that have a date of four digits, with room to both sides.
const DAYS: [i64; 2] = [-700_000, 2_900_000];

/// A day since 1970 as a date.
pub fn date(day: i64) -> String {
    let days = day.clamp(DAYS[0], DAYS[1]).days();
    civil::date(1970, 1, 1).saturating_add(days).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 2000-02-29 is day 11 016 and 2025-03-01 day 20 148 (POSIX time / 86 400).
    #[test]
    fn days_are_dates() {
        for (day, text) in [
            (0, "1970-01-01"),
            (11_016, "2000-02-29"),
            (20_148, "2025-03-01"),
            (-1, "1969-12-31"),
            // Beyond what is a date: the first and the last that is shown.
            (i64::MIN, "0053-06-19"),
            (i64::MAX, "9909-12-07"),
        ] {
            assert_eq!(date(day), text);
        }
    }
}
