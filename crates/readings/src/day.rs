//! Days as people write them.

/// A day since 1970 as a date.
///
/// **Source** the count of days of the proleptic Gregorian calendar with years
/// from March, so that the leap day comes last.
pub fn date(day: i64) -> String {
    let z = day.clamp(-700_000, 2_900_000) + 719_468;
    let era = z.div_euclid(146_097);
    let day_of_era = z.rem_euclid(146_097);
    let year_of_era =
        (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * shifted + 2) / 5 + 1;
    let month = if shifted < 10 {
        shifted + 3
    } else {
        shifted - 9
    };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
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
        ] {
            assert_eq!(date(day), text);
        }
    }
}
