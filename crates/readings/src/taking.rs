//! Takes rows in, in the order of the file: moments, repeats, names, units.

use std::collections::HashMap;

use crate::block::Way;
use crate::checks::{Follow, Limits};
use crate::clock::{Instants, WallClock};
use crate::heads::head;
use crate::measure::{Measure, Role, Scale};
use crate::names::{BETWEEN, MOST_SENSORS};
use crate::number::cell;
use crate::options::Options;
use crate::plan::Plan;
use crate::read::{Channel, Sink, Taken};
use crate::refusal::Refusal;
use crate::rows::{BadCell, Missing, Reason, Rejected, Rows};
use crate::sheet::unit_from;
use crate::source::{Block, Start};
use crate::steps::{At, Steps};
use crate::water::{self, Follows, Shows};

/// Rejected rows whose text is kept.
const TOLD: usize = 20;
/// An amount in a row that lies further back than this is taken to be a part
/// of the log that was written twice \[s\].
const SECOND_COPY_S: i64 = 3600;

/// What is known of a name of a sensor, for one column.
#[derive(Clone, Copy, Debug)]
struct Into {
    channel: usize,
    limits: Limits,
    amount: bool,
}

/// Takes rows in, in the order of the file.
pub(crate) struct Taking<'p> {
    plan: &'p Plan,
    instants: Instants,
    clock: WallClock,
    /// By name, then slot.
    into: Vec<Vec<Option<Into>>>,
    names: HashMap<String, usize>,
    /// What the first rows show of each name.
    seen: HashMap<String, Seen>,
    channels: Vec<Channel>,
    unused: Vec<(String, String)>,
    missing: Vec<Missing>,
    rows: u64,
    rejects: [u64; 6],
    rejected: Vec<Rejected>,
    follow: Follow,
    /// Numbers of the last row.
    before: Vec<f64>,
    /// Newest moment so far; the oldest, where the file runs backward.
    furthest_s: Option<i64>,
    span_s: (i64, i64),
    written_offset: Option<i32>,
}

impl<'p> Taking<'p> {
    pub(crate) fn new(plan: &'p Plan, options: &Options, start: &Start) -> Self {
        let layout = &plan.layout;
        let clock = options.zone.clone().map_or(WallClock::Own, WallClock::Of);
        Self {
            instants: Instants::new(options.zone.clone(), layout.backward, layout.interval_s),
            clock,
            into: Vec::new(),
            names: HashMap::new(),
            seen: seen(plan, start),
            channels: Vec::new(),
            unused: Vec::new(),
            missing: vec![Missing::default(); plan.slots.len()],
            rows: 0,
            rejects: [0; 6],
            rejected: Vec::new(),
            follow: Follow::new(layout.backward),
            before: Vec::new(),
            furthest_s: None,
            span_s: (i64::MAX, i64::MIN),
            written_offset: None,
            plan,
        }
    }

    pub(crate) fn rows(&mut self, rows: Rows, sink: &mut impl Sink) {
        let names: Vec<Option<usize>> = if self.plan.has_names {
            rows.names.iter().map(|n| self.name(n, sink)).collect()
        } else if rows.wall_s.is_empty() {
            Vec::new()
        } else {
            vec![self.name(Plan::UNNAMED, sink)]
        };
        let last = std::mem::take(&mut self.before);
        let mut before = &last[..];
        for row in 0..rows.wall_s.len() {
            let Some(name) = names[rows.name.get(row).map_or(0, |n| *n as usize)] else {
                self.rejects[Reason::TooManySensors as usize] += 1;
                continue;
            };
            let numbers = rows.numbers(row..row + 1);
            self.row(rows.at(row), name, before, numbers, sink);
            before = numbers;
        }
        self.before = before.to_vec();
        if let (Some(steps), false) = (rows.steps, rows.wall_s.is_empty()) {
            self.steps(steps, sink);
        }
        for (all, some) in self.missing.iter_mut().zip(&rows.missing) {
            all.add(some);
        }
        self.tell_bad(rows.bad);
        for (all, some) in self.rejects.iter_mut().zip(&rows.rejects) {
            *all += some;
        }
        let room = TOLD.saturating_sub(self.rejected.len());
        self.rejected.extend(rows.rejected.into_iter().take(room));
    }

    #[inline]
    fn row(&mut self, at: At, name: usize, before: &[f64], numbers: &[f64], sink: &mut impl Sink) {
        self.written_offset = self.written_offset.or(at.offset_s);
        let instant = self.instants.of(at.wall_s, at.offset_s, at.line);
        if self.follow.is_repeat(instant, name, before, numbers) {
            return;
        }
        self.rows += 1;
        self.span_s = (self.span_s.0.min(instant), self.span_s.1.max(instant));
        let behind_s = self.furthest_s.map_or(0, |furthest_s| {
            if self.plan.layout.backward {
                instant - furthest_s
            } else {
                furthest_s - instant
            }
        });
        if behind_s <= 0 {
            self.furthest_s = Some(instant);
        }
        sink.moment(instant);
        for (into, &number) in self.into[name].iter().zip(numbers) {
            let Some(into) = into else { continue };
            let channel = &mut self.channels[into.channel];
            let bad = &mut channel.bad;
            let tell = |text| {
                bad.push(BadCell {
                    line: at.line,
                    text,
                })
            };
            if let Some(si) = into.limits.si(number, &mut channel.missing, tell)
                && !(into.amount && SECOND_COPY_S < behind_s)
            {
                channel.readings += 1;
                sink.reading(into.channel, si);
            }
        }
    }

    /// Takes in the rows that followed the last one, as sums.
    fn steps(&mut self, steps: Steps, sink: &mut impl Sink) {
        let Some(grid) = sink.grid() else { return };
        for (begin_s, sums) in steps.sums() {
            grid.moment(begin_s);
            for (into, &(sum, count)) in self.into[0].iter().zip(sums) {
                if let Some(into) = into
                    && count != 0
                {
                    self.channels[into.channel].readings += u64::from(count);
                    grid.add(into.channel, sum, count);
                }
            }
        }
        for (all, some) in self.missing.iter_mut().zip(&steps.missing) {
            all.add(some);
        }
        self.tell_bad(steps.bad);
        let (first_s, last_s) = steps.span_s;
        self.span_s = (self.span_s.0.min(first_s), self.span_s.1.max(last_s));
        self.rows += steps.rows;
        self.written_offset = self.written_offset.or(steps.written_offset);
        self.instants.absorb(steps.instants);
        self.follow.absorb(steps.follow);
        self.before = steps.before;
    }

    /// Keeps the first cells that hold no reading; those of a column that several
    /// sensors share are told of the first.
    fn tell_bad(&mut self, bad: Vec<(usize, BadCell)>) {
        for (slot, cell) in bad {
            if let Some(into) = self.into.iter().find_map(|slots| slots[slot]) {
                self.channels[into.channel].bad.push(cell);
            }
        }
    }

    /// The number of a name, with channels for it; `None` beyond the most that
    /// are kept apart.
    fn name(&mut self, name: &str, sink: &mut impl Sink) -> Option<usize> {
        if let Some(known) = self.names.get(name) {
            return Some(*known);
        }
        if MOST_SENSORS <= self.names.len() {
            return None;
        }
        let number = self.into.len();
        let into = (0..self.plan.slots.len())
            .map(|slot| self.channel(name, slot, sink))
            .collect();
        self.into.push(into);
        self.names.insert(name.to_owned(), number);
        Some(number)
    }

    fn channel(&mut self, name: &str, slot: usize, sink: &mut impl Sink) -> Option<Into> {
        let column = &self.plan.layout.columns[self.plan.slots[slot]];
        let shown = name.replace(BETWEEN, " ");
        let (measure, scale, why, called) = match column.role {
            Role::Reading(measure) => {
                let called = if name.is_empty() {
                    column.head.clone()
                } else {
                    format!("{shown}: {}", column.head)
                };
                (measure, column.scale?, column.why.clone(), called)
            }
            _ => {
                let unit = name
                    .rsplit(BETWEEN)
                    .next()
                    .filter(|_| name.contains(BETWEEN));
                let said = head(&shown);
                let Some(Role::Reading(mut measure)) = said.role else {
                    let why = "its name says of nothing that is used what it is".to_owned();
                    self.unused.push((shown, why));
                    return None;
                };
                let mut why = "its name".to_owned();
                if matches!(measure, Measure::Water | Measure::WaterCounter) {
                    let shows = self.seen.get(name).map_or(Shows::Open, |s| s.shows);
                    // Of zeros the rows to come may show more.
                    let shows = if shows == Shows::Nothing {
                        Shows::Open
                    } else {
                        shows
                    };
                    let Some((settled, how)) = water::settled(said.water, shows) else {
                        let why = "a counter, or amounts since the row before: neither its name nor its first numbers decide; name it \"water counter\" or \"water amount\" in the log";
                        self.unused.push((shown, why.to_owned()));
                        return None;
                    };
                    measure = settled;
                    if !how.is_empty() {
                        why = format!("{why}; {how}");
                    }
                }
                let scale = unit
                    .and_then(|u| measure.scale(u))
                    .or(said.scale)
                    .or_else(|| {
                        head(&column.head)
                            .scale
                            .filter(|s| measure.scale(s.unit).is_some())
                    })
                    .or_else(|| self.seen.get(name)?.scale);
                let Some(scale) = scale else {
                    let why = format!(
                        "{} without a unit, and its numbers leave it open",
                        measure.word()
                    );
                    self.unused.push((shown, why));
                    return None;
                };
                (measure, scale, why, shown)
            }
        };
        let channel = self.channels.len();
        sink.channel(measure, &called);
        self.channels.push(Channel {
            name: called,
            measure,
            unit: scale.unit,
            why,
            readings: 0,
            missing: Missing::default(),
            bad: Vec::new(),
        });
        Some(Into {
            channel,
            limits: Limits::new(measure, scale),
            amount: measure == Measure::Water,
        })
    }

    pub(crate) fn taken(mut self, encoding: &'static str) -> Result<Taken, Refusal> {
        let rejects: Vec<(Reason, u64)> = [
            Reason::NoTime,
            Reason::NoSuchTime,
            Reason::TooManyCells,
            Reason::TooFewCells,
            Reason::NoSensor,
            Reason::TooManySensors,
        ]
        .into_iter()
        .map(|r| (r, self.rejects[r as usize]))
        .filter(|(_, n)| *n != 0)
        .collect();
        if self.rows == 0 {
            let first = self.rejected.first();
            return Err(Refusal::NoRows {
                line: first.map_or(0, |r| r.line),
                reason: first.map_or("", |r| r.reason.words()).to_owned(),
            });
        }
        if self.channels.is_empty() {
            let names: Vec<String> = self
                .unused
                .iter()
                .take(20)
                .map(|(n, _)| format!("{n:?}"))
                .collect();
            return Err(Refusal::NoReadings {
                columns: names.join(", "),
            });
        }
        // Cells of a column that several sensors share are told of the first.
        for (slot, missing) in self.missing.iter().enumerate() {
            if let Some(into) = self.into.iter().find_map(|slots| slots[slot]) {
                self.channels[into.channel].missing.add(missing);
            }
        }
        for channel in &mut self.channels {
            channel.bad.sort_by_key(|b| b.line);
            channel.bad.truncate(BadCell::TOLD as usize);
        }
        if self.clock == WallClock::Own
            && let Some(offset) = self.written_offset
        {
            self.clock = WallClock::Written(offset);
        }
        Ok(Taken {
            layout: self.plan.layout.clone(),
            encoding,
            clock: self.clock,
            channels: self.channels,
            unused: self.unused,
            rows: self.rows,
            rejects,
            rejected: self.rejected,
            repeats: self.follow.repeats,
            out_of_order: self.follow.out_of_order,
            changes: self.instants.changes,
            span_s: self.span_s,
        })
    }
}

/// What first numbers show of a sensor that rows name.
#[derive(Clone, Copy, Debug)]
struct Seen {
    /// Its unit, where they leave no doubt.
    scale: Option<Scale>,
    /// Whether water counts on.
    shows: Shows,
}

/// What their first numbers show of sensors that rows name.
fn seen(plan: &Plan, start: &Start) -> HashMap<String, Seen> {
    let layout = &plan.layout;
    if !plan.has_names || layout.columns_of(Role::Value).next().is_none() {
        return HashMap::new();
    }
    let block = Block {
        bytes: start.text.clone(),
        line: 1,
        quoted: start.text.contains(&b'"'),
    };
    let rows = plan.rows(&block, None, Way::Fast);
    let value = plan
        .slots
        .iter()
        .position(|s| layout.columns[*s].role == Role::Value);
    let numbers_of = |name: usize| {
        let of_name = rows
            .name
            .iter()
            .enumerate()
            .filter(move |(_, n)| **n as usize == name);
        of_name.map(|(row, _)| rows.numbers(row..row + 1)[value.unwrap_or(0)])
    };
    rows.names
        .iter()
        .enumerate()
        .filter_map(|(number, name)| {
            let Some(Role::Reading(measure)) = head(&name.replace(BETWEEN, " ")).role else {
                return None;
            };
            let cells = numbers_of(number).map(|x| {
                if x.is_nan() {
                    cell(b"", layout.marks)
                } else {
                    crate::number::Cell::Number(x)
                }
            });
            let mut follows = Follows::new(layout.backward);
            numbers_of(number).for_each(|x| follows.add(b"", x));
            let seen = Seen {
                scale: unit_from(measure, cells).map(|(scale, _)| scale),
                shows: follows.shows(),
            };
            Some((name.clone(), seen))
        })
        .collect()
}
