//! Times written as in the row before: nearly all of them.

use crate::stamp::Stamp;
use crate::word::{Begin, WITH_SECONDS, WITHOUT_SECONDS, clock};

/// How the row before wrote its time, and on which day.
#[derive(Default)]
pub(crate) struct Recent {
    known: bool,
    /// The cell of the date, where the time of day has one of its own.
    date: Vec<u8>,
    /// What stands before and after the time of day in its cell.
    head: Vec<u8>,
    tail: Vec<u8>,
    midnight_s: i64,
    pub(crate) offset_s: Option<i32>,
    has_seconds: bool,
    /// Seconds that the half of the day in the tail, "PM", adds.
    half_s: Option<i64>,
    /// For times with as many bytes; `None` where these are too many.
    again: Option<Again>,
}

/// How a time is written if its hours have two digits.
#[derive(Clone, Copy)]
struct Again {
    head: Begin,
    tail: Begin,
    /// Bits of a word that are the time of day.
    clock: u64,
    /// Bytes up to the time of day, up to the tail, and all of them.
    lengths: [usize; 3],
}

/// A time of day as digits: "7:05", "07:05:09".
struct Clock {
    hours: i64,
    /// Of minutes and seconds.
    seconds: i64,
    has_seconds: bool,
    length: usize,
}

impl Clock {
    /// The one at the begin of a text.
    fn leading(text: &[u8]) -> Option<Self> {
        let digit = |i: usize| {
            let digit = text.get(i)?.wrapping_sub(b'0');
            (digit < 10).then_some(i64::from(digit))
        };
        let two = |i: usize| Some(10 * digit(i)? + digit(i + 1)?).filter(|n| *n < 60);
        let (hours, colon) = match two(0) {
            Some(hours) => (hours, 2),
            None => (digit(0)?, 1),
        };
        if text.get(colon) != Some(&b':') {
            return None;
        }
        let minutes = two(colon + 1)?;
        let (seconds, has_seconds) = match text.get(colon + 3) {
            Some(b':') => (two(colon + 4)?, true),
            _ => (0, false),
        };
        Some(Self {
            hours,
            seconds: 60 * minutes + seconds,
            has_seconds,
            length: if has_seconds { colon + 6 } else { colon + 3 },
        })
    }
}

/// Seconds since midnight, where `seconds` are those of minutes and seconds.
#[inline]
const fn second(hours: i64, seconds: i64, half_s: Option<i64>) -> Option<i64> {
    match half_s {
        None if hours < 24 => Some(3600 * hours + seconds),
        Some(half_s) if 1 <= hours && hours <= 12 => Some(3600 * (hours % 12) + seconds + half_s),
        _ => None,
    }
}

impl Recent {
    /// Seconds since 1970 on the wall, and what follows, where a text begins
    /// with a time of as many bytes as before.
    #[inline(never)]
    pub(crate) fn again<'t>(&self, text: &'t [u8]) -> Option<(i64, &'t [u8])> {
        let again = self.again.as_ref()?;
        let [before, until, length] = again.lengths;
        if !again.head.is_in(text) || until != length && !again.tail.is_in(text.get(until..)?) {
            return None;
        }
        let (hours, seconds) = clock(text.get(before..)?, again.clock)?;
        let wall_s = self.midnight_s + second(hours, seconds, self.half_s)?;
        Some((wall_s, text.get(length..)?))
    }

    /// Seconds since 1970 on the wall at the begin of a text, and the bytes
    /// that say so: what stands around the time of day is as before.
    pub(crate) fn leading(&self, text: &[u8]) -> Option<(i64, usize)> {
        if !self.known {
            return None;
        }
        let rest = text.strip_prefix(&self.head[..])?;
        let clock = Clock::leading(rest)?;
        if clock.has_seconds != self.has_seconds || !rest[clock.length..].starts_with(&self.tail) {
            return None;
        }
        let wall_s = self.midnight_s + second(clock.hours, clock.seconds, self.half_s)?;
        Some((wall_s, self.head.len() + clock.length + self.tail.len()))
    }

    /// Whether a cell of the date at the begin of a text is as before; its
    /// bytes.
    pub(crate) fn leading_date(&self, text: &[u8]) -> Option<usize> {
        (self.known && text.starts_with(&self.date)).then_some(self.date.len())
    }

    /// Keeps how a time was written; `date`: its cell, if it has one.
    pub(crate) fn remember(&mut self, date: &[u8], text: &[u8], stamp: &Stamp, wall_s: i64) {
        self.known = self.keep(date, text, stamp, wall_s).is_some()
            // What is kept has to give the time that it was made of.
            && self.leading(text) == Some((wall_s, text.len()));
        self.again = self.known.then(|| self.written_again()).flatten();
    }

    fn keep(&mut self, date: &[u8], text: &[u8], stamp: &Stamp, wall_s: i64) -> Option<()> {
        let colon = text.iter().position(|b| *b == b':')?;
        let before = text[..colon].iter().rev();
        let hours = before.take_while(|b| b.is_ascii_digit()).count();
        let (head, rest) = text.split_at(colon - hours);
        let clock = Clock::leading(rest)?;
        let tail = &rest[clock.length..];
        // Digits that follow would be read as a part of the time.
        if hours == 0 || 2 < hours || tail.first().is_some_and(u8::is_ascii_digit) {
            return None;
        }
        let second_s = i64::from(stamp.second?);
        let halves = tail.iter().any(|b| matches!(b, b'a' | b'A' | b'p' | b'P'));
        let begin = second(clock.hours, clock.seconds, halves.then_some(0));
        self.half_s = halves.then_some(second_s - begin?);
        for (kept, new) in [
            (&mut self.date, date),
            (&mut self.head, head),
            (&mut self.tail, tail),
        ] {
            kept.clear();
            kept.extend_from_slice(new);
        }
        self.midnight_s = wall_s - second_s;
        self.offset_s = stamp.offset_s;
        self.has_seconds = clock.has_seconds;
        self.known = true;
        Some(())
    }

    fn written_again(&self) -> Option<Again> {
        let (clock, length) = match self.has_seconds {
            true => (WITH_SECONDS, 8),
            false => (WITHOUT_SECONDS, 5),
        };
        let (before, until) = (self.head.len(), self.head.len() + length);
        Some(Again {
            head: Begin::of(&self.head)?,
            tail: Begin::of(&self.tail)?,
            clock,
            lengths: [before, until, until + self.tail.len()],
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::order::DateOrder;
    use crate::stamp::stamp;

    fn wall_s(text: &str) -> Option<i64> {
        let stamp = stamp(text.as_bytes())?;
        let day = i64::from(stamp.date?.day(DateOrder::Dmy)?);
        Some(day * 86_400 + i64::from(stamp.second?))
    }

    /// Whether the second text is known from the first; then it is the time
    /// that reading it whole gives.
    fn is_known(first: &str, second: &str) -> bool {
        let mut recent = Recent::default();
        let said = stamp(first.as_bytes()).unwrap();
        recent.remember(b"", first.as_bytes(), &said, wall_s(first).unwrap());
        let known = recent.leading(second.as_bytes());
        if let Some((known_s, length)) = known {
            assert_eq!(Some(known_s), wall_s(&second[..length]), "{second}");
        }
        // The same is known where as many bytes follow as are looked at.
        let followed = format!("{second},21.5,60,1013.25\n");
        if let Some((again_s, after)) = recent.again(followed.as_bytes()) {
            let length = followed.len() - after.len();
            assert_eq!(
                recent.leading(followed.as_bytes()),
                Some((again_s, length)),
                "{second}"
            );
        }
        known.is_some_and(|(_, length)| length == second.len())
    }

    #[test]
    fn what_has_as_many_bytes_is_known_again() {
        for (text, is_known) in [
            ("2025-03-01 07:05:09", true),
            ("2025-03-01T07:05", true),
            ("03/01/2025 07:05:09 p.m.", true),
            ("3/1/2025 7:05", true),
            ("Saturday 1 March 2025 07:05", false),
        ] {
            let mut recent = Recent::default();
            let said = stamp(text.as_bytes()).unwrap();
            recent.remember(b"", text.as_bytes(), &said, wall_s(text).unwrap());
            let two_digits = text.replace(" 7:", " 11:");
            let followed = format!("{two_digits};21.5;60;1013.25\n");
            let again = recent
                .again(followed.as_bytes())
                .map(|(again_s, _)| again_s);
            assert_eq!(again, wall_s(&two_digits).filter(|_| is_known), "{text}");
        }
    }

    #[test]
    fn what_is_written_the_same_is_known() {
        for (first, second) in [
            ("2025-03-01 07:05:09", "2025-03-01 23:59:59"),
            ("3/1/2025 7:05", "3/1/2025 17:05"),
            ("3/1/2025 7:05 AM", "3/1/2025 12:00 AM"),
            ("3/1/2025 12:05:00 p.m.", "3/1/2025 1:05:00 p.m."),
            ("2025-03-01T07:05:09Z", "2025-03-01T08:05:09Z"),
            (
                "2025-03-01T07:05:09.000+02:00",
                "2025-03-01T08:05:09.000+02:00",
            ),
        ] {
            assert!(is_known(first, second), "{second}");
        }
    }

    #[test]
    fn what_is_written_otherwise_is_not() {
        for (first, second) in [
            ("2025-03-01 07:05:09", "2025-03-02 07:05:09"),
            ("2025-03-01 07:05:09", "2025-03-01 07:05"),
            ("2025-03-01 07:05:09", "2025-03-01 24:00:00"),
            ("2025-03-01 07:05:09", "2025-03-01 07:61:09"),
            ("3/1/2025 7:05 AM", "3/1/2025 7:05 PM"),
            ("3/1/2025 7:05 AM", "3/1/2025 13:05 AM"),
            // Four digits are hours and minutes.
            ("2025-03-01 0705:09", "2025-03-01 0805:09"),
            ("2025-03-01 07:05:000", "2025-03-01 07:05:010"),
        ] {
            assert!(!is_known(first, second), "{second}");
        }
    }
}
