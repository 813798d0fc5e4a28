//! Many drawn days of one set of units, judged by one rule.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use quantity::{Band, Source};
use rayon::prelude::*;
use roomsim::setup::RunLength;
use roomsim::{Period, Record, Settled, Summary};

use crate::error::JobError;
use crate::load::Load;
use crate::progress::Effort;
use crate::stats;
use crate::uncertain::Draw;
use crate::units::UnitSet;
use crate::zone::Compiled;

/// One day to settle, one day counted.
pub(crate) const ONE_DAY: RunLength = RunLength {
    step_s: 60.0,
    warm_up_days: 1,
    days: 1,
};

/// When a drawn day counts as held: the share of each period in which the air
/// may be wetter than the wet limit of its target.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoldRule {
    /// Lights-on.
    pub lights_on: f64,
    /// Transition.
    pub transition: f64,
    /// Lights-off.
    pub lights_off: f64,
}

impl HoldRule {
    /// The rule that this program uses.
    pub const DEFAULT: Self = Self {
        lights_on: 0.05,
        transition: 0.25,
        lights_off: 0.05,
    };

    /// What it rests on.
    pub const SOURCE: Source = Source::assumed(
        "a day is held if the air is wetter than the target allows for at most 5 % of lights-on, 5 % of lights-off and a quarter of the transition",
    );

    /// Share of a period in which the air may be too wet.
    pub const fn allowed(&self, period: Period) -> f64 {
        match period {
            Period::LightsOn => self.lights_on,
            Period::Transition => self.transition,
            Period::LightsOff => self.lights_off,
        }
    }

    /// Whether a period of a simulated day holds; a period of no length does.
    pub fn holds(&self, summary: &Summary, period: Period) -> bool {
        let p = summary.period(period);
        p.too_humid_s <= self.allowed(period) * p.time_s
    }

    /// Whether all of a simulated day holds.
    pub fn holds_all(&self, summary: &Summary) -> bool {
        Period::ALL.iter().all(|&p| self.holds(summary, p))
    }
}

/// What many drawn days of one set of units came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// The set.
    pub units: UnitSet,
    /// Drawn days simulated.
    pub days: usize,
    /// How many of them held.
    pub held_days: usize,
    /// The same by period: lights-on, transition, lights-off; `None` where the
    /// period has no length.
    pub held_days_by_period: [Option<usize>; 3],
    /// Highest relative humidity by period; `None` likewise.
    pub highest_rel_humidity: [Option<Band>; 3],
    /// Electricity of the dehumidifiers \[J/day\].
    pub units_j_per_day: Band,
    /// Electricity of the cooling \[J/day\].
    pub cooling_j_per_day: Band,
    /// Water drained by the dehumidifiers \[kg/day\].
    pub drained_kg_per_day: Band,
    /// Time above the cooling setpoint by more than 1 K \[s/day\].
    pub cooling_shortfall_s: Band,
    /// Time with leaves at risk of wetness \[s/day\].
    pub leaf_wetness_risk_s: Band,
    /// Most starts of any unit in any clock hour, over all days.
    pub most_starts_per_hour: u32,
    /// Whether each day held, in the order of the draws.
    pub(crate) each_held: Vec<bool>,
}

impl Judged {
    /// Share of the drawn days that held, 0 to 1.
    pub fn held_share(&self) -> f64 {
        if self.days == 0 {
            return 0.0;
        }
        self.held_days as f64 / self.days as f64
    }

    /// The period in which the fewest days held; `None` if all days did in all.
    pub fn weakest_period(&self) -> Option<Period> {
        Period::ALL
            .into_iter()
            .filter_map(|p| Some((p, self.held_days_by_period[p as usize]?)))
            .filter(|&(_, held)| held < self.days)
            .min_by_key(|&(_, held)| held)
            .map(|(p, _)| p)
    }
}

/// Where drawn days begin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Start {
    /// Each where a day of its own ends.
    Own,
    /// All of a set where a day of this draw ends: half the work, for a first
    /// look.
    Shared(Draw),
}

impl Start {
    /// As thoroughly as the load was reckoned.
    pub(crate) const fn of(load: &Load) -> Self {
        match load.effort {
            Effort::Preview => Self::Shared(load.typical),
            Effort::Draft | Effort::Full => Self::Own,
        }
    }

    /// What all days of a set share.
    ///
    /// # Errors
    /// The room cannot be run.
    pub(crate) fn settled(
        &self,
        compiled: &Compiled<'_>,
        units: &UnitSet,
    ) -> Result<Option<Settled>, JobError> {
        match self {
            Self::Own => Ok(None),
            Self::Shared(draw) => {
                let setup = compiled.setup(draw, units, ONE_DAY)?;
                Ok(Some(roomsim::settle(&setup)))
            }
        }
    }
}

/// Simulates one drawn day, from what all of the set share if they do.
///
/// # Errors
/// The room cannot be run.
pub(crate) fn run_day(
    compiled: &Compiled<'_>,
    draw: &Draw,
    units: &UnitSet,
    settled: Option<&Settled>,
    record: Record,
) -> Result<roomsim::Outcome, JobError> {
    let setup = compiled.setup(draw, units, ONE_DAY)?;
    Ok(match settled {
        Some(settled) => roomsim::run_from(&setup, settled, record),
        None => roomsim::run(&setup, record),
    })
}

/// Drawn days of one room, each run once: sets of units come up again with one
/// more, with one out, and by other ways.
#[derive(Debug)]
pub(crate) struct Runs<'a> {
    compiled: &'a Compiled<'a>,
    draws: &'a [Draw],
    start: Start,
    /// For each draw the first that is the same: resampled ones come again.
    same_as: Vec<usize>,
    known: Mutex<BTreeMap<UnitSet, OfSet>>,
}

/// What is known of a set.
#[derive(Debug, Default)]
struct OfSet {
    settled: Option<Arc<Settled>>,
    days: BTreeMap<usize, Summary>,
}

impl<'a> Runs<'a> {
    /// None run yet.
    pub(crate) fn new(compiled: &'a Compiled<'a>, draws: &'a [Draw], start: Start) -> Self {
        let first = |draw: &Draw| draws.iter().position(|d| d == draw).unwrap_or(0);
        Self {
            compiled,
            draws,
            start,
            same_as: draws.iter().map(first).collect(),
            known: Mutex::new(BTreeMap::new()),
        }
    }

    /// How many room-days were run, those to settle included.
    pub(crate) fn room_days(&self) -> usize {
        let of_set = |known: &OfSet| match self.start {
            Start::Own => 2 * known.days.len(),
            Start::Shared(_) => 1 + known.days.len(),
        };
        self.known().values().map(of_set).sum()
    }

    /// One set of units over all draws.
    ///
    /// # Errors
    /// The room cannot be run.
    pub(crate) fn judge(&self, units: &UnitSet, rule: HoldRule) -> Result<Judged, JobError> {
        let all: Vec<usize> = (0..self.draws.len()).collect();
        self.judge_some(units, &all, rule)
    }

    /// One set of units over the draws of these numbers.
    ///
    /// # Errors
    /// The room cannot be run.
    pub(crate) fn judge_some(
        &self,
        units: &UnitSet,
        draws: &[usize],
        rule: HoldRule,
    ) -> Result<Judged, JobError> {
        let wanted = || draws.iter().map(|&i| self.same_as[i]);
        let (settled, missing) = {
            let mut known = self.known();
            let of_set = known.entry(units.clone()).or_default();
            let missing: BTreeSet<usize> =
                wanted().filter(|i| !of_set.days.contains_key(i)).collect();
            (of_set.settled.clone(), missing)
        };
        let settled = match settled {
            Some(settled) => Some(settled),
            None => self.start.settled(self.compiled, units)?.map(Arc::new),
        };
        let ran: Vec<Result<(usize, Summary), JobError>> = missing
            .into_par_iter()
            .map(|i| {
                let (draw, from) = (&self.draws[i], settled.as_deref());
                let outcome = run_day(self.compiled, draw, units, from, Record::Summary)?;
                Ok((i, outcome.summary))
            })
            .collect();
        let mut known = self.known();
        let of_set = known.entry(units.clone()).or_default();
        of_set.settled = settled;
        for day in ran {
            let (i, summary) = day?;
            of_set.days.insert(i, summary);
        }
        let summaries: Vec<&Summary> = wanted().filter_map(|i| of_set.days.get(&i)).collect();
        Ok(sum_up(units, &summaries, rule))
    }

    fn known(&self) -> MutexGuard<'_, BTreeMap<UnitSet, OfSet>> {
        self.known.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Simulates one set of units over all draws.
///
/// # Errors
/// The room cannot be run.
pub(crate) fn judge(
    compiled: &Compiled<'_>,
    units: &UnitSet,
    draws: &[Draw],
    rule: HoldRule,
) -> Result<Judged, JobError> {
    Runs::new(compiled, draws, Start::Own).judge(units, rule)
}

/// Sums up drawn days.
pub(crate) fn sum_up(units: &UnitSet, summaries: &[&Summary], rule: HoldRule) -> Judged {
    let even = vec![1.0; summaries.len()];
    let band = |pick: &dyn Fn(&Summary) -> f64| {
        let values: Vec<f64> = summaries.iter().map(|s| pick(s)).collect();
        stats::band(&values, &even)
    };
    let lasts = |p: Period| summaries.iter().any(|s| 0.0 < s.period(p).time_s);
    let each_held: Vec<bool> = summaries.iter().map(|s| rule.holds_all(s)).collect();
    Judged {
        units: units.clone(),
        days: summaries.len(),
        held_days: each_held.iter().filter(|h| **h).count(),
        held_days_by_period: Period::ALL
            .map(|p| lasts(p).then(|| summaries.iter().filter(|s| rule.holds(s, p)).count())),
        highest_rel_humidity: Period::ALL
            .map(|p| lasts(p).then(|| band(&|s| s.period(p).highest_rel_humidity.value))),
        units_j_per_day: band(&|s| s.energy.dehumidifiers_j / f64::from(s.days)),
        cooling_j_per_day: band(&|s| s.energy.cooling_j / f64::from(s.days)),
        drained_kg_per_day: band(&|s| {
            s.dehumidifiers.iter().map(|d| d.drained_kg).sum::<f64>() / f64::from(s.days)
        }),
        cooling_shortfall_s: band(&|s| s.cooling_shortfall_s / f64::from(s.days)),
        leaf_wetness_risk_s: band(&|s| s.leaf_wetness_risk_s / f64::from(s.days)),
        most_starts_per_hour: summaries
            .iter()
            .flat_map(|s| &s.dehumidifiers)
            .map(|d| d.most_starts_in_an_hour)
            .max()
            .unwrap_or(0),
        each_held,
    }
}
