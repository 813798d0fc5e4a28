//! Step 2: which units and how many hold the bands, and what decides it.
//!
//! Models are screened by what they take at room air; counts near the screen's
//! answer are simulated over all draws until enough drawn days hold. Units
//! that are already in the room are judged the same way. A first look
//! simulates less, and says so.

mod capacity;
mod checks;
mod errands;
mod first_look;
mod measures;
mod remark;
mod workings;

use equipment::Catalog;
use quantity::{Finding, Working};
use room::{CoilCredit, Room, Spare, UnitState};
use roomsim::Period;

pub use capacity::{ModelCapacity, Moment};
pub use errands::Errand;
pub use measures::Measure;

use crate::cooling::CoilWaterCounts;
use crate::error::JobError;
use crate::load::Load;
use crate::progress::{Effort, Progress};
use crate::simulate::{HoldRule, Judged, Runs, Start};
use crate::uncertain::Draw;
use crate::units::UnitSet;
use crate::zone::{Circumstances, Compiled};

/// Counts tried beyond the screen's answer before a model is given up.
const COUNTS_TRIED: u32 = 6;

/// Years of electricity that are set beside a first cost.
///
/// **Assumed**: a common horizon for small plant.
pub const COST_YEARS: f64 = 5.0;

/// One set of units that was simulated, with all that speaks for and against.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// The drawn days.
    pub judged: Judged,
    /// The drawn days with no credit for the water of cooling coils; `None`
    /// without cooling, and at a first look if they do not count.
    pub without_coil_water: Option<Judged>,
    /// The drawn days with the largest unit out; `None` at a first look, unless
    /// a spare is asked for.
    pub one_unit_out: Option<Judged>,
    /// First cost, if all its models have a price.
    pub first_cost: Option<f64>,
    /// First cost and [`COST_YEARS`] of the units' electricity, if both prices
    /// are known.
    pub cost_over_years: Option<f64>,
    /// Whether it meets what the room asks for.
    pub meets: bool,
}

impl Candidate {
    /// The judgement that counts under the room's wish for credit.
    pub fn counted(&self, credit: CoilCredit) -> &Judged {
        match (credit, &self.without_coil_water) {
            (CoilCredit::None, Some(without)) => without,
            _ => &self.judged,
        }
    }
}

/// What candidates are ordered by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OrderedBy {
    /// First cost and electricity over some years.
    CostOverYears,
    /// First cost.
    FirstCost,
    /// Electricity of the units, as no prices are known.
    Electricity,
}

/// What step 2 found.
#[derive(Clone, Debug)]
pub struct Selection {
    /// How thoroughly.
    pub effort: Effort,
    /// When a drawn day counts as held.
    pub rule: HoldRule,
    /// Each model at rated and at room air.
    pub capacities: Vec<ModelCapacity>,
    /// Sets that were simulated to the end, best first.
    pub candidates: Vec<Candidate>,
    /// What they are ordered by.
    pub ordered_by: OrderedBy,
    /// The set to install: the best that meets what the room asks for. A first
    /// look searches for none where the units present meet it.
    pub chosen: Option<Candidate>,
    /// The next best that meets it.
    pub runner_up: Option<Candidate>,
    /// Share of the drawn days that must hold.
    pub days_to_hold: f64,
    /// What the room asks of cooling coils.
    pub coil_credit: CoilCredit,
    /// The spare that the room asks for.
    pub spare: Spare,
    /// The chosen set with one unit fewer, and with a spare asked for one more
    /// of them out: what shows which moment binds. `None` at a first look, which
    /// takes the moment from the hardest days alone.
    pub one_fewer: Option<Judged>,
    /// The period in which one unit fewer fails most.
    pub binding: Option<Period>,
    /// The units that are in the room already.
    pub present: Option<Candidate>,
    /// Cheaper measures, tried on the set that just does not hold.
    pub measures: Vec<Measure>,
    /// What to measure, and how many units it decides.
    pub errands: Vec<Errand>,
    /// Room-days simulated for sets and measures, those to settle included.
    pub room_days: usize,
    /// How the numbers came about.
    pub workings: Vec<Working>,
    /// Judgements.
    pub findings: Vec<Finding>,
}

impl Selection {
    /// What [`Selection::one_fewer`] is, in words.
    pub const fn one_fewer_words(&self) -> &'static str {
        match self.spare {
            Spare::None => "one unit fewer",
            Spare::OneUnitOut => "one unit fewer and one out",
        }
    }

    /// Whether sets to install were searched for.
    pub fn searched(&self) -> bool {
        let present_meets = self.present.as_ref().is_some_and(|p| p.meets);
        !(self.effort == Effort::Preview && present_meets)
    }

    /// The set that the room has or shall have: what is there, else what was
    /// chosen, else the best that was tried.
    pub fn design_set(&self) -> UnitSet {
        self.design_candidate()
            .map_or(UnitSet::EMPTY, |c| c.judged.units.clone())
    }

    /// What is known of [`Selection::design_set`]; `None` where no set was
    /// simulated.
    pub fn design_candidate(&self) -> Option<&Candidate> {
        self.present
            .as_ref()
            .or(self.chosen.as_ref())
            .or(self.candidates.first())
    }
}

/// Chooses among the models that the room names, or all of the catalogue.
///
/// # Errors
/// An unknown model, a room that cannot be run, or the watcher said stop.
pub fn choose(
    room: &Room,
    load: &Load,
    catalog: &Catalog,
    effort: Effort,
    progress: &dyn Progress,
) -> Result<Selection, JobError> {
    let models = models(room, catalog);
    let capacities = capacity::at_room_air(room, catalog, &models)?;
    let found = match effort {
        Effort::Preview => first_look::look(room, load, catalog, &capacities, progress)?,
        Effort::Draft | Effort::Full => whole(room, load, catalog, &capacities, progress)?,
    };
    let mut selection = Selection {
        effort,
        rule: HoldRule::DEFAULT,
        days_to_hold: room.selection.days_to_hold.value,
        coil_credit: room.selection.coil_credit.value,
        spare: room.selection.spare.value,
        workings: Vec::new(),
        capacities,
        candidates: found.candidates,
        ordered_by: found.ordered_by,
        chosen: found.chosen,
        runner_up: found.runner_up,
        one_fewer: found.one_fewer,
        binding: found.binding,
        present: found.present,
        measures: found.measures,
        errands: found.errands,
        room_days: found.room_days,
        findings: Vec::new(),
    };
    // Of the models that matter; the others can be asked for by naming them.
    let set = selection.design_set();
    let runner_up = selection.runner_up.as_ref().map(|c| &c.judged.units);
    let shown: Vec<&ModelCapacity> = selection
        .capacities
        .iter()
        .filter(|c| {
            set.models()
                .chain(runner_up.iter().flat_map(|u| u.models()))
                .any(|m| m == c.code)
        })
        .collect();
    selection.workings = workings::workings(room, load, catalog, &shown);
    selection.findings = checks::findings(room, load, catalog, &selection);
    Ok(selection)
}

/// What a search found.
struct Found {
    present: Option<Candidate>,
    candidates: Vec<Candidate>,
    ordered_by: OrderedBy,
    chosen: Option<Candidate>,
    runner_up: Option<Candidate>,
    one_fewer: Option<Judged>,
    binding: Option<Period>,
    measures: Vec<Measure>,
    errands: Vec<Errand>,
    room_days: usize,
}

/// All of the work.
fn whole(
    room: &Room,
    load: &Load,
    catalog: &Catalog,
    capacities: &[ModelCapacity],
    progress: &dyn Progress,
) -> Result<Found, JobError> {
    let rule = HoldRule::DEFAULT;
    let all_models = || {
        capacities
            .iter()
            .map(|c| c.code.as_str())
            .chain(present_models(room))
    };
    let compiled = Compiled::new(room, catalog, all_models(), Circumstances::DESIGN)?;
    let no_coil = match room.cooling.is_empty() {
        true => None,
        false => {
            let now = Circumstances {
                coil_water: CoilWaterCounts::No,
                ..Circumstances::DESIGN
            };
            Some(Compiled::new(room, catalog, all_models(), now)?)
        }
    };
    let trial = Trial {
        room,
        catalog,
        runs: Runs::new(&compiled, &load.draws, Start::Own),
        no_coil: no_coil
            .as_ref()
            .map(|c| Runs::new(c, &load.draws, Start::Own)),
        draws: &load.draws,
        rule,
    };

    let present = match present_set(room) {
        Some(set) => Some(trial.candidate(&set)?),
        None => None,
    };
    let mut candidates = Vec::new();
    for (done, capacity) in capacities.iter().enumerate() {
        progress.at("simulating sets of units", done, capacities.len() + 2)?;
        candidates.extend(trial.smallest_that_meets(load, capacity)?);
    }
    progress.at(
        "simulating mixed sets",
        capacities.len(),
        capacities.len() + 2,
    )?;
    candidates.extend(trial.mixes(&candidates, capacities)?);
    let ordered_by = order(room, &mut candidates);

    let mut meeting = candidates.iter().filter(|c| c.meets);
    let chosen = meeting.next().cloned();
    let runner_up = meeting.next().cloned();
    let one_fewer = match &chosen {
        Some(c) => Some(trial.one_fewer(c)?),
        None => None,
    };
    let binding = one_fewer.as_ref().and_then(Judged::weakest_period);

    progress.at(
        "trying cheaper measures",
        capacities.len() + 1,
        capacities.len() + 2,
    )?;
    let just_short = present
        .as_ref()
        .filter(|p| !p.meets)
        .map(|p| p.judged.units.clone())
        .or_else(|| one_fewer.as_ref().map(|j| j.units.clone()))
        .filter(|set| 0 < set.count());
    let measures = match just_short {
        Some(set) => {
            let before = trial.counted(&set)?.held_days;
            measures::tried(room, catalog, &set, &load.draws, rule, before)?
        }
        None => Vec::new(),
    };
    let errands = match &chosen {
        Some(c) => errands::errands(&trial, c, room, load)?,
        None => Vec::new(),
    };
    let tried: usize = measures.iter().map(|m| 2 * m.after.days).sum();
    let with_coil = trial.runs.room_days();
    let without = trial.no_coil.as_ref().map_or(0, Runs::room_days);
    Ok(Found {
        room_days: with_coil + without + tried,
        present,
        candidates,
        ordered_by,
        chosen,
        runner_up,
        one_fewer,
        binding,
        measures,
        errands,
    })
}

/// Whether any humidity is to be held.
fn asks_for_humidity(room: &Room) -> bool {
    let targets = &room.targets;
    [&targets.lights_on, &targets.transition, &targets.lights_off]
        .iter()
        .any(|t| t.humidity.is_some())
}

/// Models that may be chosen, in order and each once.
fn models(room: &Room, catalog: &Catalog) -> Vec<String> {
    if !asks_for_humidity(room) {
        // Nothing to hold, nothing to choose.
        return Vec::new();
    }
    let named = room.selection.models.iter().map(|m| m.value.clone());
    let mut models: Vec<String> = if room.selection.models.is_empty() {
        catalog.dehumidifiers.keys().cloned().collect()
    } else {
        named.collect()
    };
    models.sort();
    models.dedup();
    models
}

fn present_models(room: &Room) -> impl Iterator<Item = &str> {
    room.units.iter().map(|u| u.model.value.as_str())
}

/// The units in the room that run; `None` where none was surveyed. Where there
/// are some, they are the set of [`Selection::design_set`].
pub fn present_set(room: &Room) -> Option<UnitSet> {
    (!room.units.is_empty()).then(|| {
        room.units
            .iter()
            .filter(|u| u.state.value == UnitState::InUse)
            .fold(UnitSet::EMPTY, |set, u| set.and(&u.model.value, 1))
    })
}

/// One set over the drawn days of a room, and what cheaper measures do to it.
///
/// # Errors
/// An unknown model or a room that cannot be run.
pub(crate) fn judge_set(
    room: &Room,
    load: &Load,
    catalog: &Catalog,
    set: &UnitSet,
) -> Result<(Judged, Vec<Measure>), JobError> {
    let judged = judge_alone(room, load, catalog, set)?;
    let rule = HoldRule::DEFAULT;
    let tried = measures::tried(room, catalog, set, &load.draws, rule, judged.held_days)?;
    Ok((judged, tried))
}

/// One set over the drawn days of a room.
///
/// # Errors
/// An unknown model or a room that cannot be run.
pub(crate) fn judge_alone(
    room: &Room,
    load: &Load,
    catalog: &Catalog,
    set: &UnitSet,
) -> Result<Judged, JobError> {
    let models = set.groups().iter().map(|(m, _)| m.as_str());
    let compiled = Compiled::new(room, catalog, models, measures::counted(room))?;
    crate::simulate::judge(&compiled, set, &load.draws, HoldRule::DEFAULT)
}

/// What sets of units are tried on.
pub(crate) struct Trial<'a> {
    room: &'a Room,
    catalog: &'a Catalog,
    runs: Runs<'a>,
    no_coil: Option<Runs<'a>>,
    draws: &'a [Draw],
    rule: HoldRule,
}

impl Trial<'_> {
    /// The drawn days of a set under the room's wish for coil credit.
    pub(crate) fn counted(&self, set: &UnitSet) -> Result<Judged, JobError> {
        self.counting().judge(set, self.rule)
    }

    /// The room under its wish for coil credit.
    fn counting(&self) -> &Runs<'_> {
        match (self.room.selection.coil_credit.value, &self.no_coil) {
            (CoilCredit::None, Some(no_coil)) => no_coil,
            _ => &self.runs,
        }
    }

    /// Whether a set holds the wanted share of days. A few draws first: a set
    /// that fails plainly there is not worth all of them.
    fn holds(&self, set: &UnitSet) -> Result<bool, JobError> {
        const FIRST_LOOK: usize = 15;
        const PLAIN_FAILURE: f64 = 0.25;
        let wanted = self.room.selection.days_to_hold.value;
        let stride = self.draws.len().div_ceil(FIRST_LOOK).max(1);
        let few: Vec<usize> = (0..self.draws.len()).step_by(stride).collect();
        let first = self.counting().judge_some(set, &few, self.rule)?;
        if first.held_share() < wanted - PLAIN_FAILURE {
            return Ok(false);
        }
        Ok(wanted <= self.counted(set)?.held_share())
    }

    /// A set that meets, with one unit fewer: under the same test that it met.
    fn one_fewer(&self, candidate: &Candidate) -> Result<Judged, JobError> {
        let mut fewer = without_largest(self.catalog, &candidate.judged.units);
        if self.room.selection.spare.value == Spare::OneUnitOut {
            fewer = without_largest(self.catalog, &fewer);
        }
        self.counted(&fewer)
    }

    fn candidate(&self, set: &UnitSet) -> Result<Candidate, JobError> {
        let judged = self.runs.judge(set, self.rule)?;
        let without_coil_water = match &self.no_coil {
            Some(no_coil) => Some(no_coil.judge(set, self.rule)?),
            None => None,
        };
        let one_unit_out = self.counted(&without_largest(self.catalog, set))?;
        Ok(weighed(
            self.room,
            self.catalog,
            judged,
            without_coil_water,
            Some(one_unit_out),
        ))
    }

    /// The fewest units of one model that meet what the room asks for; else
    /// the most that were tried, to be shown as what falls short. `None` for a
    /// model that takes no water at this air.
    fn smallest_that_meets(
        &self,
        load: &Load,
        capacity: &ModelCapacity,
    ) -> Result<Option<Candidate>, JobError> {
        let most = self.room.selection.max_count.value;
        let Some(screened) = capacity.screened_count(load) else {
            return Ok(None);
        };
        // The screen takes no credit for coils and storage, so it can ask for
        // too many: begin well below it.
        let first = screened.div_ceil(2).clamp(1, most);
        for count in first..=most.min(screened + COUNTS_TRIED) {
            if let Some(found) = self.meeting(&capacity.code, count)? {
                return self.fewer_that_meet(&capacity.code, found).map(Some);
            }
        }
        let last = most.min(screened + COUNTS_TRIED).max(first);
        self.candidate(&UnitSet::of(&capacity.code, last)).map(Some)
    }

    /// So many units of one model, if they meet what the room asks for.
    fn meeting(&self, code: &str, count: u32) -> Result<Option<Candidate>, JobError> {
        let set = UnitSet::of(code, count);
        if !self.holds(&set)? {
            return Ok(None);
        }
        Ok(Some(self.candidate(&set)?).filter(|c| c.meets))
    }

    /// Down from a set that meets to the smallest that still does: where coils
    /// take most of the water, the first one tried can be too large already.
    fn fewer_that_meet(&self, code: &str, mut best: Candidate) -> Result<Candidate, JobError> {
        while 1 < best.judged.units.count() {
            match self.meeting(code, best.judged.units.count() - 1)? {
                Some(smaller) => best = smaller,
                None => break,
            }
        }
        Ok(best)
    }

    /// Mixes of two models: the best single sets with one unit less, filled up
    /// with a smaller model.
    fn mixes(
        &self,
        singles: &[Candidate],
        capacities: &[ModelCapacity],
    ) -> Result<Vec<Candidate>, JobError> {
        const BEST_SINGLES: usize = 2;
        const MOST_FILLERS: u32 = 3;
        let mut best: Vec<&Candidate> = singles
            .iter()
            .filter(|c| c.meets && 1 < c.judged.units.count())
            .collect();
        best.sort_by_key(|c| c.judged.units.count());
        let mut found = Vec::new();
        for single in best.into_iter().take(BEST_SINGLES) {
            let [(big, count)] = single.judged.units.groups() else {
                continue;
            };
            let size = |code: &str| {
                capacities
                    .iter()
                    .find(|c| c.code == code)
                    .map_or(0.0, |c| c.lights_off.removal_kg_per_s)
            };
            for small in capacities.iter().filter(|c| {
                0.0 < c.lights_off.removal_kg_per_s && c.lights_off.removal_kg_per_s < size(big)
            }) {
                for fillers in 1..=MOST_FILLERS {
                    let set = UnitSet::of(big, count - 1).and(&small.code, fillers);
                    if size(big) < f64::from(fillers) * size(&small.code) || !self.holds(&set)? {
                        continue;
                    }
                    let candidate = self.candidate(&set)?;
                    if candidate.meets {
                        found.push(candidate);
                        break;
                    }
                }
            }
        }
        Ok(found)
    }
}

/// Judged days with what speaks for and against them besides.
///
/// - `one_unit_out`: asked for where the room asks for a spare
fn weighed(
    room: &Room,
    catalog: &Catalog,
    judged: Judged,
    without_coil_water: Option<Judged>,
    one_unit_out: Option<Judged>,
) -> Candidate {
    let wanted = room.selection.days_to_hold.value;
    let counts = match (room.selection.coil_credit.value, &without_coil_water) {
        (CoilCredit::None, Some(without)) => without.held_share(),
        _ => judged.held_share(),
    };
    let spare_holds = match room.selection.spare.value {
        Spare::None => true,
        Spare::OneUnitOut => one_unit_out
            .as_ref()
            .is_some_and(|out| wanted <= out.held_share()),
    };
    let costs = Costs::of(room, catalog, &judged.units, judged.units_j_per_day.likely);
    Candidate {
        meets: wanted <= counts && spare_holds,
        judged,
        without_coil_water,
        one_unit_out,
        first_cost: costs.first_cost,
        cost_over_years: costs.over_years,
    }
}

/// The set without one unit of its largest model.
fn without_largest(catalog: &Catalog, set: &UnitSet) -> UnitSet {
    let rated = |code: &str| {
        let model = catalog.dehumidifiers.get(code);
        let rating = model.and_then(|m| m.ratings.first());
        rating.map_or(0.0, |r| r.removal_kg_per_s)
    };
    set.groups()
        .iter()
        .max_by(|(a, _), (b, _)| rated(a).total_cmp(&rated(b)))
        .map_or(UnitSet::EMPTY, |(largest, _)| set.without_one(largest))
}

/// What sets are ordered by.
#[derive(Clone, Copy, Debug)]
struct Costs {
    first_cost: Option<f64>,
    over_years: Option<f64>,
    units_j_per_day: f64,
}

impl Costs {
    fn of(room: &Room, catalog: &Catalog, set: &UnitSet, units_j_per_day: f64) -> Self {
        let first_cost = first_cost(room, catalog, set);
        let over_years = first_cost
            .zip(room.site.tariff_per_j.as_ref())
            .map(|(cost, tariff)| cost + COST_YEARS * 365.0 * units_j_per_day * tariff.value);
        Self {
            first_cost,
            over_years,
            units_j_per_day,
        }
    }

    /// What all of these have.
    fn known_of(all: impl Iterator<Item = Self> + Clone) -> OrderedBy {
        if all.clone().all(|c| c.over_years.is_some()) {
            OrderedBy::CostOverYears
        } else if all.clone().all(|c| c.first_cost.is_some()) {
            OrderedBy::FirstCost
        } else {
            OrderedBy::Electricity
        }
    }

    fn by(&self, by: OrderedBy) -> f64 {
        match by {
            OrderedBy::CostOverYears => self.over_years.unwrap_or(f64::INFINITY),
            OrderedBy::FirstCost => self.first_cost.unwrap_or(f64::INFINITY),
            OrderedBy::Electricity => self.units_j_per_day,
        }
    }
}

impl From<&Candidate> for Costs {
    fn from(c: &Candidate) -> Self {
        Self {
            first_cost: c.first_cost,
            over_years: c.cost_over_years,
            units_j_per_day: c.judged.units_j_per_day.likely,
        }
    }
}

/// First cost of a set: the room's prices stand above the records'.
fn first_cost(room: &Room, catalog: &Catalog, set: &UnitSet) -> Option<f64> {
    set.groups()
        .iter()
        .map(|(code, count)| {
            let surveyed = room
                .selection
                .prices
                .iter()
                .find(|p| p.model.value == *code);
            let recorded = || catalog.dehumidifiers.get(code)?.first_cost;
            let one = surveyed.map(|p| p.first_cost.value).or_else(recorded)?;
            Some(one * f64::from(*count))
        })
        .sum()
}

/// Highest relative humidity that a typical drawn day reaches with a set.
fn wettest(candidate: &Candidate, credit: CoilCredit) -> f64 {
    let periods = candidate.counted(credit).highest_rel_humidity;
    let likely = periods.iter().flatten().map(|b| b.likely);
    likely.fold(0.0, f64::max)
}

/// Orders candidates: those that meet the wish first, by cost if all have one,
/// else by electricity; then the others by days held and by how wet it gets;
/// equal ones by fewer units.
fn order(room: &Room, candidates: &mut [Candidate]) -> OrderedBy {
    let by = Costs::known_of(candidates.iter().filter(|c| c.meets).map(Costs::from));
    let key = |c: &Candidate| Costs::from(c).by(by);
    let credit = room.selection.coil_credit.value;
    candidates.sort_by(|a, b| {
        b.meets
            .cmp(&a.meets)
            .then_with(|| {
                if a.meets {
                    key(a).total_cmp(&key(b))
                } else {
                    let held = |c: &Candidate| c.counted(credit).held_days;
                    held(b)
                        .cmp(&held(a))
                        .then_with(|| wettest(a, credit).total_cmp(&wettest(b, credit)))
                }
            })
            .then_with(|| a.judged.units.count().cmp(&b.judged.units.count()))
            .then_with(|| a.judged.units.cmp(&b.judged.units))
    });
    by
}
