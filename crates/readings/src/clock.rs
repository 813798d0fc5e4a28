//! From the clock on the wall to moments, through changes of the clock.

use jiff::Timestamp;
use jiff::civil::DateTime;
use jiff::tz::{AmbiguousOffset, Offset, TimeZone};

use crate::refusal::{Ask, Refusal, Told};

/// A zone of time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Zone {
    name: String,
    zone: TimeZone,
}

impl Zone {
    /// Some, as they are written: a name, or an offset.
    pub const SUCH_AS: [&str; 3] = ["America/Denver", "UTC", "-07:00"];

    /// From `America/Denver`, `UTC` or `-07:00`.
    ///
    /// # Errors
    /// No such zone.
    pub fn read(name: &str) -> Result<Self, Refusal> {
        let name = name.trim();
        let fixed = || {
            let sign = match name.as_bytes().first()? {
                b'+' => 1,
                b'-' => -1,
                _ => return None,
            };
            let digits: String = name[1..].chars().filter(|c| *c != ':').collect();
            let number: i32 = digits.parse().ok()?;
            let (hour, minute) = if 2 < digits.len() {
                (number / 100, number % 100)
            } else {
                (number, 0)
            };
            (hour <= 14 && minute < 60).then_some(())?;
            Offset::from_seconds(sign * (hour * 3600 + minute * 60)).ok()
        };
        let zone = match fixed() {
            Some(offset) => TimeZone::fixed(offset),
            None => jiff::tz::db().get(name).map_err(|_| Refusal::Choice {
                why: format!("{name:?} is no zone of time that is known"),
                ask: Ask::new(Told::Zone, Self::SUCH_AS),
            })?,
        };
        Ok(Self {
            name: name.to_owned(),
            zone,
        })
    }

    /// What its clock is ahead of UTC where it shows a time \[s\]; `None` where it
    /// shows that twice or never.
    pub(crate) fn offset_of_wall(&self, wall_s: i64) -> Option<i32> {
        match self.zone.to_ambiguous_timestamp(civil(wall_s)?).offset() {
            AmbiguousOffset::Unambiguous { offset } => Some(offset.seconds()),
            _ => None,
        }
    }

    /// As it was named.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Seconds that the clock on the wall is ahead of UTC at a moment, and how
    /// long that lasts: the end of it, seconds since 1970 UTC.
    fn offset_at(&self, instant_s: i64) -> (i64, i64) {
        let Ok(now) = Timestamp::from_second(instant_s) else {
            return (0, i64::MAX);
        };
        let offset = i64::from(self.zone.to_offset(now).seconds());
        let next = self.zone.following(now).next();
        (offset, next.map_or(i64::MAX, |t| t.timestamp().as_second()))
    }
}

/// How the times of a log are to be understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WallClock {
    /// The logger's own clock, taken to run evenly: no zone was named.
    Own,
    /// The clock of a zone, with its changes in spring and autumn.
    Of(Zone),
    /// Offsets stand in the rows; the wall clock is taken at this one \[s\].
    Written(i32),
}

impl WallClock {
    /// Seconds since midnight on the wall at each of some moments in rising
    /// order, with the day since 1970 on the wall.
    pub fn days_and_seconds(&self, instants_s: impl Iterator<Item = i64>) -> Vec<(i64, u32)> {
        let mut until = i64::MIN;
        let mut offset = 0;
        instants_s
            .map(|instant| {
                match self {
                    Self::Own => {}
                    Self::Written(seconds) => offset = i64::from(*seconds),
                    Self::Of(zone) if until <= instant => (offset, until) = zone.offset_at(instant),
                    Self::Of(_) => {}
                }
                let wall = instant + offset;
                (wall.div_euclid(86_400), wall.rem_euclid(86_400) as u32)
            })
            .collect()
    }
}

/// A change of the clock that a log went through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ClockChange {
    /// The zone put its clock back: the hour that comes twice was told apart.
    HourTwice {
        /// Line of the first row of the second pass.
        line: u64,
    },
    /// Times that the zone's clock jumps over.
    HourMissing {
        /// Line of the first such row.
        line: u64,
    },
    /// No zone is known and the times go back by about an hour.
    SetBack {
        /// Line of the first row after.
        line: u64,
    },
}

/// Turns wall-clock seconds into moments, row by row in the order of the file.
#[derive(Debug)]
pub(crate) struct Instants {
    zone: Option<Zone>,
    /// Over these wall-clock seconds the offset does not change.
    steady: (i64, i64),
    offset: i64,
    pub(crate) before_wall: Option<i64>,
    other_pass: bool,
    /// Rows run backward in time.
    backward: bool,
    /// Usual time between rows [s].
    interval_s: i64,
    pub(crate) changes: Vec<ClockChange>,
}

/// How many changes of the clock are told.
const CHANGES_TOLD: usize = 8;

impl Instants {
    pub(crate) const fn new(zone: Option<Zone>, backward: bool, interval_s: i64) -> Self {
        Self {
            zone,
            steady: (0, 0),
            offset: 0,
            before_wall: None,
            other_pass: false,
            backward,
            interval_s,
            changes: Vec::new(),
        }
    }

    /// The moment of a row.
    #[inline]
    pub(crate) fn of(&mut self, wall_s: i64, offset_s: Option<i32>, line: u64) -> i64 {
        let instant = if let Some(offset) = offset_s {
            wall_s - i64::from(offset)
        } else if self.zone.is_none() {
            self.watch(wall_s, line);
            wall_s
        } else if self.steady.0 <= wall_s && wall_s < self.steady.1 {
            wall_s - self.offset
        } else {
            self.in_zone(wall_s, line)
        };
        self.before_wall = Some(wall_s);
        instant
    }

    /// Whether the offset at this time does not depend on other rows.
    #[inline]
    pub(crate) fn is_steady(&self, wall_s: i64) -> bool {
        self.zone.is_none() || (self.steady.0..self.steady.1).contains(&wall_s)
    }

    /// Until when the offset at this time does not change; the past, where it
    /// depends on other rows.
    #[inline]
    pub(crate) fn steady_until_s(&self, wall_s: i64) -> i64 {
        match self.zone {
            None => i64::MAX,
            Some(_) if self.is_steady(wall_s) => self.steady.1,
            Some(_) => i64::MIN,
        }
    }

    /// Takes in rows that followed the last one, all of them steady.
    pub(crate) fn absorb(&mut self, rest: Self) {
        self.before_wall = rest.before_wall;
        rest.changes.into_iter().for_each(|c| self.tell(c));
    }

    fn watch(&mut self, wall_s: i64, line: u64) {
        if let Some(before) = self.before_wall {
            let back = if self.backward {
                wall_s - before
            } else {
                before - wall_s
            };
            // An hour less a usual interval, up to one hour.
            if (2400..=3600).contains(&back) && self.changes.len() < CHANGES_TOLD {
                self.changes.push(ClockChange::SetBack { line });
            }
        }
    }

    fn tell(&mut self, change: ClockChange) {
        if self.changes.len() < CHANGES_TOLD {
            self.changes.push(change);
        }
    }

    fn in_zone(&mut self, wall_s: i64, line: u64) -> i64 {
        let Some(zone) = &self.zone else {
            return wall_s;
        };
        let Some(civil) = civil(wall_s) else {
            return wall_s;
        };
        match zone.zone.to_ambiguous_timestamp(civil).offset() {
            AmbiguousOffset::Unambiguous { offset } => {
                let offset = i64::from(offset.seconds());
                let instant = wall_s - offset;
                // A day to each side of a change is asked about row by row.
                let (_, until) = zone.offset_at(instant);
                let from = Timestamp::from_second(instant)
                    .ok()
                    .and_then(|t| zone.zone.preceding(t).next())
                    .map_or(i64::MIN / 2, |t| t.timestamp().as_second());
                let day = 86_400;
                self.steady = (
                    from.saturating_add(offset + day),
                    until.saturating_add(offset).saturating_sub(day),
                );
                self.offset = offset;
                self.other_pass = false;
                instant
            }
            AmbiguousOffset::Fold { before, after } => {
                let (first, second) = (
                    wall_s - i64::from(before.seconds()),
                    wall_s - i64::from(after.seconds()),
                );
                // An hour less the usual step lies between the passes; where a
                // row comes each hour the same time comes twice.
                let jump_s = self.before_wall.map_or(i64::MIN, |w| {
                    if self.backward {
                        wall_s - w
                    } else {
                        w - wall_s
                    }
                });
                let least_s = (3600 - self.interval_s) / 2;
                let jumped = if 3600 <= self.interval_s {
                    0 <= jump_s
                } else {
                    least_s < jump_s
                };
                if jumped && !self.other_pass {
                    self.other_pass = true;
                    self.tell(ClockChange::HourTwice { line });
                }
                // Backward, the second pass is met first.
                if self.other_pass == self.backward {
                    first
                } else {
                    second
                }
            }
            AmbiguousOffset::Gap { before, .. } => {
                if !self
                    .changes
                    .iter()
                    .any(|c| matches!(c, ClockChange::HourMissing { .. }))
                {
                    self.tell(ClockChange::HourMissing { line });
                }
                // The logger's clock was not put forward: it shows what it
                // would have shown without the change.
                wall_s - i64::from(before.seconds())
            }
        }
    }
}

fn civil(wall_s: i64) -> Option<DateTime> {
    let at = Timestamp::from_second(wall_s).ok()?;
    Some(Offset::UTC.to_datetime(at))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 2025-11-02: clocks of America/Denver go from 02:00 back to 01:00 (IANA
    /// time zone database); 08:00 UTC is the second 01:00.
    #[test]
    fn the_hour_that_comes_twice_is_told_apart() {
        let zone = Zone::read("America/Denver").unwrap();
        let midnight = 1_762_041_600; // 2025-11-02 00:00 on the wall, as if UTC
        let walls = [0, 3600, 5400, 7199, 3600, 5400, 7200, 9000].map(|s| midnight + s);
        let mut instants = Instants::new(Some(zone), false, 1800);
        let got: Vec<i64> = (1..)
            .zip(walls)
            .map(|(line, w)| instants.of(w, None, line))
            .collect();
        let utc_midnight = midnight + 6 * 3600;
        let want = [0, 3600, 5400, 7199, 7200, 9000, 10_800, 12_600].map(|s| utc_midnight + s);
        assert_eq!(got, want);
        assert_eq!(instants.changes, [ClockChange::HourTwice { line: 5 }]);
    }

    /// The same day from its end to its start.
    #[test]
    fn it_is_told_apart_from_newest_to_oldest_too() {
        let zone = Zone::read("America/Denver").unwrap();
        let midnight = 1_762_041_600;
        let walls = [9000, 7200, 5400, 3600, 7199, 5400, 3600, 0].map(|s| midnight + s);
        let mut instants = Instants::new(Some(zone), true, 1800);
        let got: Vec<i64> = (1..)
            .zip(walls)
            .map(|(line, w)| instants.of(w, None, line))
            .collect();
        assert!(got.is_sorted_by(|a, b| a > b), "{got:?}");
    }

    #[test]
    fn a_clock_put_back_is_seen_without_a_zone() {
        let mut instants = Instants::new(None, false, 300);
        for (line, wall) in (1..).zip([0, 300, 600, 3600, 3900, 600, 900]) {
            assert_eq!(instants.of(wall, None, line), wall);
        }
        assert_eq!(instants.changes, [ClockChange::SetBack { line: 6 }]);
    }

    #[test]
    fn the_wall_clock_follows_the_zone() {
        let zone = Zone::read("America/Denver").unwrap();
        let clock = WallClock::Of(zone);
        // 2025-11-02 07:30 and 08:30 UTC are both 01:30.
        let times = [1_762_068_600, 1_762_072_200, 1_762_075_800];
        let wall: Vec<u32> = clock
            .days_and_seconds(times.into_iter())
            .into_iter()
            .map(|(_, s)| s)
            .collect();
        assert_eq!(wall, [5400, 5400, 9000]);
        assert!(Zone::read("Mars/Base").is_err());
        let fixed = WallClock::Of(Zone::read("-07:00").unwrap());
        assert_eq!(fixed.days_and_seconds([0].into_iter()), [(-1, 17 * 3600)]);
    }
}
