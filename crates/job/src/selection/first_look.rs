//! A first look: one set, found by what decides and nothing else.
//!
//! Models are ranked by capacity at room air and by cost. For the best few the
//! fewest units are sought that hold the day at which the last allowed failure
//! would fall, the drawn days being put in order by load over capacity; the days
//! around it confirm the count. The cheapest of them is judged over all draws.

use equipment::Catalog;
use rayon::prelude::*;
use room::{CoilCredit, Period, Room, Spare};
use roomsim::Record;

use super::{
    Candidate, Costs, Found, ModelCapacity, OrderedBy, present_models, present_set, weighed,
    wettest,
};
use crate::airs::Season;
use crate::cooling::CoilWaterCounts;
use crate::error::JobError;
use crate::load::Load;
use crate::load::given_off::{DayGivenOff, GivenOff};
use crate::progress::Progress;
use crate::simulate::{HoldRule, Judged, Runs, Start, run_day};
use crate::uncertain::{Draw, Uncertain};
use crate::units::UnitSet;
use crate::zone::{Circumstances, Compiled, capacity_band};

/// Models of which a count is sought before the cheapest is judged.
const MODELS_AT_A_TIME: usize = 3;

/// Days beyond the last allowed failure that confirm a count: the order by load
/// over capacity is not quite that in which days fail.
const CONFIRMED_BEYOND: usize = 2;

/// Units more that are tried where a count is not confirmed.
const MORE_TRIED: u32 = 2;

/// Finds one set, or says that the units present do.
///
/// # Errors
/// An unknown model, a room that cannot be run, or the watcher said stop.
pub(super) fn look(
    room: &Room,
    load: &Load,
    catalog: &Catalog,
    capacities: &[ModelCapacity],
    progress: &dyn Progress,
) -> Result<Found, JobError> {
    let mut found = Found {
        present: None,
        candidates: Vec::new(),
        ordered_by: OrderedBy::Electricity,
        chosen: None,
        runner_up: None,
        one_fewer: None,
        binding: None,
        measures: Vec::new(),
        errands: Vec::new(),
        room_days: 0,
    };
    if let Some(set) = present_set(room) {
        progress.at("simulating the units present", 0, 1)?;
        let models: Vec<&str> = present_models(room).collect();
        let seen = Seen::new(room, load, catalog, &models)?;
        let look = Look::new(room, load, catalog, &seen)?;
        let present = look.candidate(&set)?;
        found.room_days += look.room_days();
        let meets = present.meets;
        found.present = Some(present);
        if meets {
            return Ok(found);
        }
    }
    let ranked = ranked(room, load, catalog, capacities);
    for few in ranked.chunks(MODELS_AT_A_TIME) {
        progress.at("looking for a set", found.candidates.len(), ranked.len())?;
        let models: Vec<&str> = few.iter().map(|c| c.code.as_str()).collect();
        let seen = Seen::new(room, load, catalog, &models)?;
        let look = Look::new(room, load, catalog, &seen)?;
        look.best_of(few, &mut found)?;
        found.room_days += look.room_days();
        if found.chosen.is_some() {
            break;
        }
    }
    // The one that holds most stands for those that fall short.
    let credit = room.selection.coil_credit.value;
    found.candidates.sort_by(|a, b| {
        let held = |c: &Candidate| c.counted(credit).held_days;
        b.meets
            .cmp(&a.meets)
            .then_with(|| held(b).cmp(&held(a)))
            .then_with(|| match a.meets {
                true => std::cmp::Ordering::Equal,
                false => wettest(a, credit).total_cmp(&wettest(b, credit)),
            })
    });
    Ok(found)
}

/// Models that take water at this air, the cheapest first: by price and
/// electricity of the screen's count, the coils' part left out.
fn ranked<'a>(
    room: &Room,
    load: &Load,
    catalog: &Catalog,
    capacities: &'a [ModelCapacity],
) -> Vec<&'a ModelCapacity> {
    let mut all: Vec<(&ModelCapacity, u32, Costs)> = capacities
        .iter()
        .filter_map(|c| {
            let count = c.screened_count(load)?;
            let j_per_day: f64 = load
                .periods
                .iter()
                .map(|p| {
                    let moment = c.at(p.period);
                    let water_kg = p.mean.water_kg_per_s.likely.max(0.0) * p.length_s;
                    if 0.0 < water_kg {
                        water_kg / moment.energy_factor_kg_per_j
                    } else {
                        0.0
                    }
                })
                .sum();
            let costs = Costs::of(room, catalog, &UnitSet::of(&c.code, count), j_per_day);
            Some((c, count, costs))
        })
        .collect();
    let by = Costs::known_of(all.iter().map(|(_, _, costs)| *costs));
    all.sort_by(|a, b| {
        let key = |x: &(&ModelCapacity, u32, Costs)| x.2.by(by);
        key(a).total_cmp(&key(b)).then(a.1.cmp(&b.1))
    });
    all.into_iter().map(|(c, ..)| c).collect()
}

/// The room with some models, as a first look sees it.
struct Seen<'a> {
    counting: Compiled<'a>,
    /// With the coils' water, where it does not count.
    with_coil: Option<Compiled<'a>>,
}

impl<'a> Seen<'a> {
    fn new(
        room: &'a Room,
        load: &Load,
        catalog: &'a Catalog,
        models: &[&str],
    ) -> Result<Self, JobError> {
        let compiled = |coil_water| {
            let now = Circumstances {
                coil_water,
                nodes: load.effort.nodes(),
                ..Circumstances::DESIGN
            };
            Compiled::new(room, catalog, models.iter().copied(), now)
        };
        let without = room.selection.coil_credit.value == CoilCredit::None;
        Ok(if without && !room.cooling.is_empty() {
            Self {
                counting: compiled(CoilWaterCounts::No)?,
                with_coil: Some(compiled(CoilWaterCounts::Yes)?),
            }
        } else {
            Self {
                counting: compiled(CoilWaterCounts::Yes)?,
                with_coil: None,
            }
        })
    }
}

/// A first look at work.
struct Look<'a> {
    room: &'a Room,
    load: &'a Load,
    catalog: &'a Catalog,
    seen: &'a Seen<'a>,
    runs: Runs<'a>,
    with_coil: Option<Runs<'a>>,
    /// What each draw gives off.
    days: Vec<DayGivenOff>,
    /// Drawn days that may fail.
    may_fail: usize,
}

/// A count of one model that holds the days that decide.
struct Count<'a> {
    capacity: &'a ModelCapacity,
    count: u32,
    last: u32,
    costs: Costs,
}

impl<'a> Look<'a> {
    fn new(
        room: &'a Room,
        load: &'a Load,
        catalog: &'a Catalog,
        seen: &'a Seen<'a>,
    ) -> Result<Self, JobError> {
        let given_off = GivenOff::new(room, Season::Summer)?;
        let (draws, start) = (&load.draws, Start::of(load));
        let wanted = room.selection.days_to_hold.value;
        let holds = |failing: &usize| {
            let held = (draws.len() - failing) as f64;
            wanted <= held / draws.len() as f64
        };
        Ok(Self {
            room,
            load,
            catalog,
            seen,
            runs: Runs::new(&seen.counting, draws, start),
            with_coil: seen.with_coil.as_ref().map(|c| Runs::new(c, draws, start)),
            days: draws.iter().map(|d| given_off.day(d)).collect(),
            may_fail: (0..draws.len()).rev().find(holds).unwrap_or(0),
        })
    }

    /// Room-days run.
    fn room_days(&self) -> usize {
        self.runs.room_days() + self.with_coil.as_ref().map_or(0, Runs::room_days)
    }

    /// Seeks a count of each model and judges the cheapest; the next where that
    /// does not meet what the room asks for.
    fn best_of(&self, few: &[&ModelCapacity], found: &mut Found) -> Result<(), JobError> {
        let counts: Vec<Result<Option<Count<'_>>, JobError>> =
            few.par_iter().map(|c| self.fewest(c)).collect();
        let mut counts: Vec<Count<'_>> = counts
            .into_iter()
            .filter_map(Result::transpose)
            .collect::<Result<_, _>>()?;
        // One run each of the typical day, for its electricity.
        found.room_days += 2 * counts.len();
        found.ordered_by = Costs::known_of(counts.iter().map(|c| c.costs));
        let by = found.ordered_by;
        counts.sort_by(|a, b| {
            let key = |c: &Count<'_>| c.costs.by(by);
            key(a).total_cmp(&key(b)).then(a.count.cmp(&b.count))
        });
        for sought in &counts {
            for count in sought.count..=sought.last.min(sought.count + 1) {
                let set = UnitSet::of(&sought.capacity.code, count);
                let candidate = self.candidate(&set)?;
                let meets = candidate.meets;
                found.candidates.push(candidate.clone());
                if meets {
                    found.chosen = Some(candidate);
                    found.binding = self.binding(sought.capacity, count)?;
                    return Ok(());
                }
            }
        }
        if let (true, Some(first)) = (counts.is_empty(), few.first()) {
            let last = UnitSet::of(&first.code, self.range(first).1);
            found.candidates.push(self.candidate(&last)?);
        }
        Ok(())
    }

    /// First and last count that is tried of a model.
    fn range(&self, capacity: &ModelCapacity) -> (u32, u32) {
        let most = self.room.selection.max_count.value;
        let screened = capacity.screened_count(self.load).unwrap_or(1);
        // The screen takes no credit for coils and storage.
        let first = (screened.div_ceil(2) + self.spare()).clamp(1, most.max(1));
        (first, most.min(screened + super::COUNTS_TRIED).max(first))
    }

    /// Units that may be out.
    const fn spare(&self) -> u32 {
        match self.room.selection.spare.value {
            Spare::None => 0,
            Spare::OneUnitOut => 1,
        }
    }

    /// The units of a count that must hold.
    fn left_of(&self, capacity: &ModelCapacity, count: u32) -> UnitSet {
        UnitSet::of(&capacity.code, count.saturating_sub(self.spare()))
    }

    /// The fewest units of a model that hold the days that decide; `None` where
    /// none of those tried do.
    fn fewest<'c>(&self, capacity: &'c ModelCapacity) -> Result<Option<Count<'c>>, JobError> {
        let hardest = self.hardest(capacity);
        let Some(&guide) = hardest.get(self.may_fail) else {
            return Ok(None);
        };
        let (first, last) = self.range(capacity);
        let rule = HoldRule::DEFAULT;
        let failing = |count: u32, days: &[usize]| -> Result<usize, JobError> {
            let judged = self
                .runs
                .judge_some(&self.left_of(capacity, count), days, rule)?;
            Ok(judged.days - judged.held_days)
        };
        let guided = fewest(first, last, |count| Ok(failing(count, &[guide])? == 0))?;
        let Some(guided) = guided else {
            return Ok(None);
        };
        let around = self.deciding(&hardest);
        for count in guided..=last.min(guided + MORE_TRIED) {
            if failing(count, around)? <= self.may_fail {
                let set = UnitSet::of(&capacity.code, count);
                let (counting, draw) = (&self.seen.counting, &self.load.typical);
                let typical = run_day(counting, draw, &set, None, Record::Summary)?;
                let j_per_day = typical.summary.energy.dehumidifiers_j;
                return Ok(Some(Count {
                    capacity,
                    count,
                    last,
                    costs: Costs::of(self.room, self.catalog, &set, j_per_day),
                }));
            }
        }
        Ok(None)
    }

    /// The hardest days, down to where a count is confirmed.
    fn deciding<'d>(&self, hardest: &'d [usize]) -> &'d [usize] {
        let end = (self.may_fail + 1 + CONFIRMED_BEYOND).min(hardest.len());
        &hardest[..end]
    }

    /// The period in which one unit fewer fails most: of every second day, else
    /// of those that decide.
    fn binding(
        &self,
        capacity: &ModelCapacity,
        count: u32,
    ) -> Result<Option<roomsim::Period>, JobError> {
        let set = self.left_of(capacity, count - 1);
        let weakest = |days: &[usize]| -> Result<Option<roomsim::Period>, JobError> {
            let judged = self.runs.judge_some(&set, days, HoldRule::DEFAULT)?;
            Ok(judged.weakest_period())
        };
        let even: Vec<usize> = (0..self.days.len()).step_by(2).collect();
        match weakest(&even)? {
            Some(period) => Ok(Some(period)),
            None => weakest(self.deciding(&self.hardest(capacity))),
        }
    }

    /// Drawn days by their load over what a unit takes then, hardest first.
    fn hardest(&self, capacity: &ModelCapacity) -> Vec<usize> {
        let band = self
            .catalog
            .dehumidifiers
            .get(&capacity.code)
            .map(capacity_band);
        let asks = |draw: &Draw, day: &DayGivenOff| {
            let factor = band.map_or(1.0, |b| draw.value(Uncertain::UnitCapacity, b));
            Period::ALL
                .into_iter()
                .map(|p| {
                    let unit_kg_per_s = factor * capacity.at(p).removal_kg_per_s;
                    day.period(p).total_water() / unit_kg_per_s
                })
                .filter(|share| share.is_finite())
                .fold(0.0, f64::max)
        };
        let asked: Vec<f64> = self
            .load
            .draws
            .iter()
            .zip(&self.days)
            .map(|(draw, day)| asks(draw, day))
            .collect();
        let mut order: Vec<usize> = (0..asked.len()).collect();
        order.sort_by(|&a, &b| asked[b].total_cmp(&asked[a]));
        order
    }

    /// A set over all draws.
    fn candidate(&self, set: &UnitSet) -> Result<Candidate, JobError> {
        let rule = HoldRule::DEFAULT;
        let counting = self.runs.judge(set, rule)?;
        let one_unit_out: Option<Judged> = match self.room.selection.spare.value {
            Spare::None => None,
            Spare::OneUnitOut => {
                let out = super::without_largest(self.catalog, set);
                Some(self.runs.judge(&out, rule)?)
            }
        };
        let (judged, without) = match &self.with_coil {
            Some(with_coil) => (with_coil.judge(set, rule)?, Some(counting)),
            None => (counting, None),
        };
        Ok(weighed(
            self.room,
            self.catalog,
            judged,
            without,
            one_unit_out,
        ))
    }
}

/// The fewest from 1 to `last` that hold, by steps that double from `first` and
/// then by halves; `None` where `last` does not. Between what fails and what
/// holds, more are taken to hold wherever fewer do.
fn fewest(
    first: u32,
    last: u32,
    holds: impl Fn(u32) -> Result<bool, JobError>,
) -> Result<Option<u32>, JobError> {
    let (mut fails, mut held) = (0, None);
    let (mut at, mut step) = (first, 1);
    loop {
        if holds(at)? {
            held = Some(at);
        } else {
            fails = at;
        }
        at = match held {
            Some(held) if held <= fails + 1 => return Ok(Some(held)),
            Some(held) if fails == 0 => held.saturating_sub(step).max(1),
            Some(held) => fails.midpoint(held),
            None if at == last => return Ok(None),
            None => last.min(at + step),
        };
        step *= 2;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::RefCell;

    fn sought(first: u32, last: u32, enough: u32) -> (Option<u32>, Vec<u32>) {
        let asked = RefCell::new(Vec::new());
        let found = fewest(first, last, |n| {
            asked.borrow_mut().push(n);
            Ok(enough <= n)
        });
        (found.unwrap(), asked.into_inner())
    }

    #[test]
    fn the_fewest_is_found_from_any_start_and_nothing_is_asked_twice() {
        for last in 1..20 {
            for first in 1..=last {
                for enough in 1..=last + 1 {
                    let (found, mut asked) = sought(first, last, enough);
                    assert_eq!(found, (enough <= last).then_some(enough));
                    assert!(asked.len() <= 9, "{asked:?}");
                    let all = asked.len();
                    asked.sort_unstable();
                    asked.dedup();
                    assert_eq!(asked.len(), all);
                }
            }
        }
    }

    #[test]
    fn a_good_start_needs_two_looks() {
        assert_eq!(sought(3, 8, 3), (Some(3), vec![3, 2]));
        assert_eq!(sought(2, 8, 3), (Some(3), vec![2, 3]));
    }
}
