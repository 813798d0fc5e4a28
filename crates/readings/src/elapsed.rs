//! Times that count from the start of a log.

use crate::clock::Zone;
use crate::heads::{speaks_of_time, words};
use crate::layout::{Count, Row, TimeAt};
use crate::measure::Role;
use crate::options::Options;
use crate::refusal::{Ask, Refusal, Told};
use crate::stamp::stamp;
use crate::times::Score;

/// What is counted from the start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Elapsed {
    /// Seconds.
    Seconds,
    /// Minutes.
    Minutes,
    /// Hours.
    Hours,
}

impl Elapsed {
    /// From a word of a head or of an option.
    fn of_word(word: &str) -> Option<Self> {
        match word {
            "s" | "sec" | "secs" | "second" | "seconds" | "sekunde" | "sekunden" => {
                Some(Self::Seconds)
            }
            "min" | "mins" | "minute" | "minutes" | "minuten" => Some(Self::Minutes),
            "h" | "hr" | "hrs" | "hour" | "hours" | "std" | "stunde" | "stunden" => {
                Some(Self::Hours)
            }
            _ => None,
        }
    }

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Seconds => "seconds",
            Self::Minutes => "minutes",
            Self::Hours => "hours",
        }
    }

    /// Seconds in one \[s\].
    pub(crate) const fn seconds(self) -> f64 {
        match self {
            Self::Seconds => 1.0,
            Self::Minutes => 60.0,
            Self::Hours => 3600.0,
        }
    }
}

/// A start, as it is written.
pub(crate) const SUCH_AS: &str = "2026-03-01 06:00";

/// When a log began that counts from its start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Begin {
    wall_s: i64,
    offset_s: Option<i32>,
}

impl Begin {
    /// Reads "2026-03-01 06:00", with seconds and with an offset from UTC if they
    /// are written. Only a date whose order nobody can doubt is taken.
    ///
    /// # Errors
    /// No such moment.
    pub fn read(text: &str) -> Result<Self, Refusal> {
        let wrong = || Refusal::Choice {
            why: format!("{text:?} is no moment: year, month, day and time of day are to be told"),
            ask: Ask::new(Told::Start, [SUCH_AS]),
        };
        let stamp = stamp(text.trim().as_bytes()).ok_or_else(wrong)?;
        let date = stamp.date.ok_or_else(wrong)?;
        let day = date.sure.and_then(|order| date.day(order));
        let (day, second) = day.zip(stamp.second).ok_or_else(wrong)?;
        Ok(Self {
            wall_s: i64::from(day) * 86_400 + i64::from(second),
            offset_s: stamp.offset_s,
        })
    }
}

/// A number with point or comma before its decimals.
pub(crate) fn number(text: &str) -> Option<f64> {
    let plain = text.parse::<f64>().ok();
    plain.or_else(|| text.replace(',', ".").parse().ok())
}

/// A column that counts from the start of its log.
pub(crate) struct Counting {
    column: usize,
    head: String,
    unit: Option<Elapsed>,
    pub(crate) score: Score,
}

/// The column that counts from a start, in a table that has no other times.
pub(crate) fn counting(rows: &[Row], options: &Options) -> Option<Counting> {
    let choice = options.columns.iter().find(|c| c.role == Role::Time);
    let (column, head) = rows.iter().take(50).find_map(|row| {
        let mut cells = row.cells.iter().enumerate();
        cells.find(|(i, c)| match choice {
            Some(choice) => choice.is_about(*i, c) && number(c).is_none(),
            None => speaks_of_elapsed(c) && number(c).is_none(),
        })
    })?;
    let unit = match choice.and_then(|c| c.unit.as_deref()) {
        Some(unit) => Elapsed::of_word(unit),
        None => unit_of(head),
    };
    let counts: Vec<f64> = rows
        .iter()
        .filter(|r| 2 <= r.cells.len())
        .filter_map(|r| number(r.cells.get(column)?))
        .filter(|n| 0.0 <= *n)
        .collect();
    let rises = counts.windows(2).filter(|w| w[0] <= w[1]).count();
    // A count runs one way; what goes up and down is a reading.
    let one_way =
        counts.len() < 3 || 10 * rises.max(counts.len() - 1 - rises) >= 9 * (counts.len() - 1);
    let cells = rows.iter().map(|r| r.cells.len()).sum();
    (2 <= counts.len() && one_way).then(|| Counting {
        column,
        head: head.clone(),
        unit,
        score: (counts.len(), counts.len(), cells),
    })
}

impl Counting {
    /// Where the times stand, once a person has said when the log began.
    ///
    /// # Errors
    /// That or the unit is not known.
    pub(crate) fn since(&self, options: &Options) -> Result<TimeAt, Refusal> {
        let unit = self.unit.ok_or_else(|| Refusal::ElapsedUnitOpen {
            column: self.head.clone(),
        })?;
        let begin = options.begin.ok_or_else(|| Refusal::BeginOpen {
            column: self.head.clone(),
            counts: unit.words(),
        })?;
        let offset_s = match (begin.offset_s, &options.zone) {
            (Some(offset), _) => Some(offset),
            (None, Some(zone)) => Some(offset_in(zone, begin.wall_s)?),
            (None, None) => None,
        };
        Ok(TimeAt::Count {
            column: self.column,
            count: Count::Since {
                unit,
                begin_s: begin.wall_s,
                offset_s,
            },
        })
    }
}

/// The offset of a zone at a time of its clock.
fn offset_in(zone: &Zone, wall_s: i64) -> Result<i32, Refusal> {
    zone.offset_of_wall(wall_s)
        .ok_or_else(|| Refusal::Choice {
            why: format!(
                "cannot have begun when was told: the clock of {} shows that time twice or leaves it out. Write it with its offset",
                zone.name()
            ),
            ask: Ask::new(Told::Start, ["2026-11-01 01:30-06:00"]),
        })
}

fn speaks_of_elapsed(head: &str) -> bool {
    let is_one = |w: &String| {
        matches!(w.as_str(), "elapsed" | "uptime" | "runtime" | "t")
            || Elapsed::of_word(w).is_some()
    };
    speaks_of_time(head) || words(head).iter().any(is_one)
}

/// The unit that a head names.
fn unit_of(head: &str) -> Option<Elapsed> {
    words(head).iter().rev().find_map(|w| Elapsed::of_word(w))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 2026-03-01 06:00 UTC is 1 772 344 800 (POSIX time).
    #[test]
    fn a_begin_is_read_and_never_guessed() {
        let at = |t: &str| Begin::read(t).map(|b| (b.wall_s, b.offset_s)).ok();
        assert_eq!(at("2026-03-01 06:00"), Some((1_772_344_800, None)));
        assert_eq!(at("2026-03-01T06:00:30"), Some((1_772_344_830, None)));
        assert_eq!(at("1 Mar 2026 6:00 am"), Some((1_772_344_800, None)));
        assert_eq!(
            at("2026-03-01 06:00-07:00"),
            Some((1_772_344_800, Some(-25_200)))
        );
        // Day or month first, no time of day, no such day, no date.
        for open in [
            "03/01/2026 06:00",
            "2026-03-01",
            "2026-02-30 06:00",
            "06:00",
            "",
        ] {
            assert_eq!(at(open), None, "{open}");
        }
    }

    #[test]
    fn heads_name_their_unit() {
        for (head, unit) in [
            ("Time (s)", Some(Elapsed::Seconds)),
            ("Elapsed [min]", Some(Elapsed::Minutes)),
            ("t/h", Some(Elapsed::Hours)),
            ("elapsed_seconds", Some(Elapsed::Seconds)),
            ("Hours", Some(Elapsed::Hours)),
            ("Time", None),
        ] {
            assert!(speaks_of_elapsed(head), "{head}");
            assert_eq!(unit_of(head), unit, "{head}");
        }
        assert!(!speaks_of_elapsed("Canopy temp (°C)"));
    }
}
