//! Dates and times of day as loggers write them.

use jiff::civil::Date;

use crate::order::DateOrder;

/// A date whose order may not be known yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct DateParts {
    /// Three numbers as written.
    pub(crate) numbers: [u32; 3],
    /// What the writing itself says.
    pub(crate) sure: Option<DateOrder>,
}

/// What one or two cells say about a moment.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Stamp {
    pub(crate) date: Option<DateParts>,
    /// Seconds since midnight.
    pub(crate) second: Option<u32>,
    /// What is to be taken from the time for UTC [s].
    pub(crate) offset_s: Option<i32>,
}

const MONTHS: [(&str, u32); 24] = [
    ("jan", 1),
    ("feb", 2),
    ("mar", 3),
    ("mär", 3),
    ("apr", 4),
    ("abr", 4),
    ("avr", 4),
    ("may", 5),
    ("mai", 5),
    ("mei", 5),
    ("jun", 6),
    ("juin", 6),
    ("juil", 7),
    ("jul", 7),
    ("aug", 8),
    ("ago", 8),
    ("aoû", 8),
    ("sep", 9),
    ("oct", 10),
    ("okt", 10),
    ("nov", 11),
    ("dec", 12),
    ("dez", 12),
    ("dic", 12),
];

fn month(word: &str) -> Option<u32> {
    let word = word.to_lowercase();
    MONTHS
        .iter()
        .find(|(head, _)| word.starts_with(head))
        .map(|(_, number)| *number)
}

impl DateParts {
    /// Days since 1970-01-01 in this order, where such a day exists.
    #[inline]
    pub(crate) fn day(&self, order: DateOrder) -> Option<i32> {
        let [a, b, c] = self.numbers;
        let (y, m, d) = match self.sure.unwrap_or(order) {
            DateOrder::Ymd => (a, b, c),
            DateOrder::Dmy => (c, b, a),
            DateOrder::Mdy => (c, a, b),
        };
        let year = if y < 100 { 2000 + y } else { y };
        if !(1970..=2199).contains(&year) {
            return None;
        }
        let date = Date::new(year as i16, i8::try_from(m).ok()?, i8::try_from(d).ok()?).ok()?;
        Some(days_since_1970(date))
    }
}

/// Days from 1970-01-01 to a date.
///
/// **Source** the count of days of the proleptic Gregorian calendar with years
/// from March, so that the leap day comes last (e.g. ISO 8601:2004, annex).
fn days_since_1970(date: Date) -> i32 {
    let (y, m, d) = (
        i32::from(date.year()),
        i32::from(date.month()),
        i32::from(date.day()),
    );
    let y = if m <= 2 { y - 1 } else { y };
    let era = y.div_euclid(400);
    let year_of_era = y.rem_euclid(400);
    let day_of_year = (153 * ((m + 9) % 12) + 2) / 5 + d - 1;
    era * 146_097 + year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year - 719_468
}

/// Reads bytes one by one.
struct Reader<'a> {
    text: &'a [u8],
    at: usize,
}

impl<'a> Reader<'a> {
    fn peek(&self) -> Option<u8> {
        self.text.get(self.at).copied()
    }

    /// Digits from here: their number and how many.
    #[inline]
    fn digits(&mut self) -> Option<(u32, usize)> {
        let start = self.at;
        let mut number: u32 = 0;
        while let Some(b @ b'0'..=b'9') = self.peek() {
            if 9 <= self.at - start {
                return None;
            }
            number = number * 10 + u32::from(b - b'0');
            self.at += 1;
        }
        (start < self.at).then_some((number, self.at - start))
    }

    fn skip(&mut self, which: impl Fn(u8) -> bool) -> bool {
        let start = self.at;
        while self.peek().is_some_and(&which) {
            self.at += 1;
        }
        start < self.at
    }

    fn word(&mut self) -> &'a str {
        let start = self.at;
        self.skip(|b| b.is_ascii_alphabetic() || 0x80 <= b);
        std::str::from_utf8(&self.text[start..self.at]).unwrap_or("")
    }
}

const SPACE: fn(u8) -> bool = |b| matches!(b, b' ' | b'\t' | b',');

/// Reads a date, a time of day, or both; `None` if it is neither.
pub(crate) fn stamp(text: &[u8]) -> Option<Stamp> {
    let mut r = Reader {
        text: text.trim_ascii(),
        at: 0,
    };
    let mut stamp = Stamp::default();
    if is_clock(r.text) {
        clock(&mut r, &mut stamp)?;
    } else {
        stamp.date = Some(date(&mut r)?);
        r.skip(SPACE);
        if r.peek()
            .is_some_and(|b| matches!(b, b'T' | b't' | b'_' | b'-' | b':'))
        {
            r.at += 1;
            r.skip(SPACE);
        }
        if r.peek().is_some() {
            clock(&mut r, &mut stamp)?;
        }
    }
    (r.at == r.text.len()).then_some(stamp)
}

/// "7:05", "07:05:00 PM" and not "2025-03-01 07:05".
fn is_clock(text: &[u8]) -> bool {
    let digits = text.iter().take_while(|b| b.is_ascii_digit()).count();
    (1..=2).contains(&digits) && text.get(digits) == Some(&b':')
}

fn date(r: &mut Reader<'_>) -> Option<DateParts> {
    let mut numbers = [0; 3];
    let mut month_at = None;
    let mut lengths = [0; 3];
    let mut separator = None;
    for i in 0..3 {
        if r.peek()?.is_ascii_alphabetic() || 0x80 <= r.peek()? {
            let mut word = r.word();
            // A day of the week may stand before.
            if i == 0 && month(word).is_none() {
                r.skip(|b| matches!(b, b'.' | b' ' | b','));
                if !r.peek()?.is_ascii_digit() {
                    word = r.word();
                } else {
                    (numbers[0], lengths[0]) = r.digits()?;
                    r.skip(|b| matches!(b, b'-' | b'/' | b'.' | b' ' | b','));
                    continue;
                }
            }
            if month_at.is_some() {
                return None;
            }
            numbers[i] = month(word)?;
            month_at = Some(i);
        } else {
            (numbers[i], lengths[i]) = r.digits()?;
            if i == 0 && lengths[0] == 8 {
                let n = numbers[0];
                return Some(DateParts {
                    numbers: [n / 10_000, n / 100 % 100, n % 100],
                    sure: Some(DateOrder::Ymd),
                });
            }
        }
        if i < 2 {
            let here = r.peek()?;
            let between = |b: u8| matches!(b, b'-' | b'/' | b'.' | b' ' | b',');
            if !r.skip(between) && month_at.is_none() && !here.is_ascii_alphabetic() {
                return None;
            }
            separator = separator.or(Some(here));
        }
    }
    let sure = match month_at {
        Some(0) => Some(DateOrder::Mdy),
        Some(1) if lengths[0] == 4 => Some(DateOrder::Ymd),
        Some(1) if lengths[2] == 4 || lengths[0] == 1 => Some(DateOrder::Dmy),
        Some(1) => None,
        Some(_) => return None,
        None if lengths[0] == 4 => Some(DateOrder::Ymd),
        None => None,
    };
    if month_at.is_none() && lengths.iter().any(|&l| l == 3 || 4 < l) {
        return None;
    }
    // A named month in the middle leaves day and year; the year is taken last.
    let sure = if month_at == Some(1) {
        sure.or(Some(DateOrder::Dmy))
    } else {
        sure
    };
    // Points between the parts are written where the day comes first.
    let sure = match (sure, separator, lengths[2]) {
        (None, Some(b'.'), 2 | 4) => Some(DateOrder::Dmy),
        _ => sure,
    };
    Some(DateParts { numbers, sure })
}

fn clock(r: &mut Reader<'_>, stamp: &mut Stamp) -> Option<()> {
    let (mut hour, length) = r.digits()?;
    let mut minute = 0;
    let mut second = 0;
    match length {
        1 | 2 => {
            // "7 PM" is a time; "7" alone is not.
            if r.peek().is_some_and(|b| matches!(b, b':' | b'.' | b'h')) {
                r.at += 1;
                (minute, _) = r.digits()?;
                if r.peek().is_some_and(|b| matches!(b, b':' | b'.' | b'm')) {
                    r.at += 1;
                    (second, _) = r.digits()?;
                }
            } else if !r
                .peek()
                .is_some_and(|b| b == b' ' || b.is_ascii_alphabetic())
            {
                return None;
            }
        }
        4 => (hour, minute) = (hour / 100, hour % 100),
        6 => (hour, minute, second) = (hour / 10_000, hour / 100 % 100, hour % 100),
        _ => return None,
    }
    if r.peek().is_some_and(|b| matches!(b, b'.' | b',' | b':'))
        && r.text.get(r.at + 1).is_some_and(u8::is_ascii_digit)
    {
        r.at += 1;
        r.skip(|b| b.is_ascii_digit());
    }
    r.skip(|b| b == b' ');
    let mut half = None;
    while let Some(b) = r.peek() {
        if matches!(b, b'+' | b'-') {
            stamp.offset_s = Some(offset(r)?);
        } else if b.is_ascii_alphabetic() {
            let word = r.word().to_ascii_uppercase();
            match word.as_str() {
                "AM" | "A" => half = Some(0),
                "PM" | "P" => half = Some(12),
                "Z" | "UTC" | "GMT" => stamp.offset_s = Some(0),
                _ => return None,
            }
            r.skip(|b| b == b'.' || b == b' ');
            if r.peek() == Some(b'm') || r.peek() == Some(b'M') {
                r.at += 1;
            }
        } else if matches!(b, b' ' | b'.' | b'(' | b')') {
            r.at += 1;
        } else {
            return None;
        }
    }
    if let Some(half) = half {
        if hour == 0 || 12 < hour {
            return None;
        }
        hour = hour % 12 + half;
    }
    let fits = hour < 24 && minute < 60 && second < 61 || (hour, minute, second) == (24, 0, 0);
    stamp.second = fits.then_some(hour * 3600 + minute * 60 + second);
    stamp.second.map(|_| ())
}

/// "+02:00", "-0700", "+2".
fn offset(r: &mut Reader<'_>) -> Option<i32> {
    let sign = if r.peek()? == b'-' { -1 } else { 1 };
    r.at += 1;
    let (mut hour, length) = r.digits()?;
    let mut minute = 0;
    if 2 < length {
        (hour, minute) = (hour / 100, hour % 100);
    } else if r.peek() == Some(b':') {
        r.at += 1;
        (minute, _) = r.digits()?;
    }
    (hour <= 14 && minute < 60).then(|| sign * (hour as i32 * 3600 + minute as i32 * 60))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seconds(text: &str, order: DateOrder) -> Option<i64> {
        let s = stamp(text.as_bytes())?;
        let day = s.date?.day(order)?;
        Some(i64::from(day) * 86_400 + i64::from(s.second.unwrap_or(0)))
    }

    /// 2025-03-01 07:05:09 UTC is 1 740 812 709 (POSIX time).
    const MARCH: i64 = 1_740_812_709;

    #[test]
    fn one_moment_in_many_writings() {
        for (text, order) in [
            ("2025-03-01 07:05:09", DateOrder::Dmy),
            ("2025-03-01T07:05:09.250", DateOrder::Dmy),
            ("2025/03/01 07:05:09", DateOrder::Dmy),
            ("20250301 070509", DateOrder::Dmy),
            ("20250301T070509", DateOrder::Dmy),
            ("01/03/2025 07:05:09", DateOrder::Dmy),
            ("03/01/2025 07:05:09 AM", DateOrder::Mdy),
            ("3/1/25 7:05:09 am", DateOrder::Mdy),
            ("01.03.2025 07:05:09", DateOrder::Mdy),
            ("1 Mar 2025 07:05:09", DateOrder::Mdy),
            ("01-Mar-25 07:05:09", DateOrder::Mdy),
            ("Sat, 01 March 2025, 07:05:09", DateOrder::Mdy),
            ("March 1, 2025 7:05:09 a.m.", DateOrder::Dmy),
            ("25-03-01 07:05:09", DateOrder::Ymd),
        ] {
            assert_eq!(seconds(text, order), Some(MARCH), "{text}");
        }
    }

    #[test]
    fn offsets_are_read() {
        for (text, want) in [
            ("2025-03-01T07:05:09Z", Some(0)),
            ("2025-03-01T07:05:09+02:00", Some(7200)),
            ("2025-03-01 07:05:09 -0700", Some(-25_200)),
            ("2025-03-01 07:05:09 GMT-07:00", Some(-25_200)),
            ("2025-03-01 07:05:09", None),
        ] {
            assert_eq!(stamp(text.as_bytes()).unwrap().offset_s, want, "{text}");
        }
    }

    #[test]
    fn twelve_o_clock_is_noon_only_after_noon() {
        let second = |t: &str| stamp(t.as_bytes()).and_then(|s| s.second);
        assert_eq!(second("12:00 AM"), Some(0));
        assert_eq!(second("12:00 PM"), Some(43_200));
        assert_eq!(second("11:59:59 p.m."), Some(86_399));
        assert_eq!(second("13:00 PM"), None);
        assert_eq!(second("25:00"), None);
    }

    #[test]
    fn numbers_and_words_are_no_dates() {
        for text in [
            "23.5",
            "60",
            "-12.5",
            "abc",
            "1/2",
            "2025-13-01x",
            "12.5.",
            "",
            "1,234.5",
        ] {
            let s = stamp(text.as_bytes());
            assert!(
                s.is_none_or(|s| s.date.is_none() && s.second.is_none()),
                "{text}"
            );
        }
        assert_eq!(seconds("2025-02-30", DateOrder::Ymd), None);
    }
}
