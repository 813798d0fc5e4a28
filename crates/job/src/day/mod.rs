//! Step 4: the day, minute by minute, with the units that the room has or
//! shall have.
//!
//! One typical drawn day is kept whole; all drawn days are judged; what
//! happens on a bad day (a unit out, a power cut, winter) is tried once.

mod checks;
mod workings;

use equipment::Catalog;
use quantity::{Band, Dim, Finding, Text, Value};
use rayon::prelude::*;
use room::{Room, UnitState};
use roomsim::setup::{Event, Setup};
use roomsim::{Outcome, Period, Record, Series, Summary};

use crate::airs::Season;
use crate::error::JobError;
use crate::load::Load;
use crate::placement::Placement;
use crate::selection::Selection;
use crate::simulate::{HoldRule, Judged, ONE_DAY, Start, run_day, sum_up};
use crate::stats;
use crate::uncertain::Draw;
use crate::units::{UnitAir, UnitSet};
use crate::zone::{Circumstances, Compiled};

pub use workings::{path_word, workings};

/// Drawn days from which the spread over the hours is taken.
const DAYS_FOR_SPREAD: usize = 40;
/// Time between the points of that spread \[s\].
pub const SPREAD_STEP_S: f64 = 600.0;
/// Length of the power cut that is tried \[s\].
pub const POWER_CUT_S: f64 = 1800.0;

/// What step 4 found.
#[derive(Clone, Debug)]
pub struct Day {
    /// The units simulated.
    pub units: UnitSet,
    /// Those of them that have a place, in the order of their tags; none before
    /// there are places.
    pub in_place: Vec<InPlace>,
    /// What selection said of them; `None` where there was none before.
    pub before_places: Option<BeforePlaces>,
    /// The typical day, minute by minute from midnight.
    pub series: Series,
    /// The typical day in sums.
    pub summary: Summary,
    /// How well water and energy closed.
    pub balance: roomsim::Balance,
    /// All drawn days.
    pub judged: Judged,
    /// Spread over the draws, every [`SPREAD_STEP_S`] from midnight.
    pub spread: DaySpread,
    /// Days that go wrong.
    pub scenarios: Vec<Scenario>,
    /// Judgements.
    pub findings: Vec<Finding>,
}

/// Spread of the air over the draws.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DaySpread {
    /// Dry bulb \[°C\].
    pub dry_bulb_c: Vec<Band>,
    /// Relative humidity, 0 to 1.
    pub rel_humidity: Vec<Band>,
    /// VPD of the air \[Pa\].
    pub vpd_pa: Vec<Band>,
}

/// Something that goes wrong, or another season.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ScenarioKind {
    /// The first unit stops for good at midnight before the day.
    OneUnitOut,
    /// The power is cut for half an hour, a quarter of an hour after
    /// lights-off.
    PowerCut,
    /// The same at three in the night, where lights never burn or never go out.
    PowerCutAtThree,
    /// The winter design day.
    Winter,
}

impl ScenarioKind {
    /// Whether the power is cut in it.
    pub const fn is_power_cut(self) -> bool {
        matches!(self, Self::PowerCut | Self::PowerCutAtThree)
    }

    /// The words for it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::OneUnitOut => "one unit out",
            Self::PowerCut => "power cut of 30 min just after lights-off",
            Self::PowerCutAtThree => "power cut of 30 min at 03:00",
            Self::Winter => "winter design day",
        }
    }
}

/// A typical day under a scenario.
#[derive(Clone, Debug)]
pub struct Scenario {
    /// Which.
    pub kind: ScenarioKind,
    /// Whether each period holds by the rule.
    pub holds: [bool; 3],
    /// The day in sums.
    pub summary: Summary,
}

impl Scenario {
    /// Whether the whole day holds.
    pub fn holds_all(&self) -> bool {
        self.holds.iter().all(|h| *h)
    }
}

/// A unit with the air of its place.
#[derive(Clone, Debug, PartialEq)]
pub struct InPlace {
    /// Its tag.
    pub tag: String,
    /// Code of its model.
    pub model: String,
    /// Its air.
    pub air: UnitAir,
}

impl InPlace {
    /// Its air in words.
    pub fn words(&self) -> Text {
        let share = Value::new(self.air.short_circuit, Dim::Fraction).digits(2);
        let text = Text::from(format!("{} breathes ", self.tag)).value(share);
        match self.air.ducted_m3_per_s {
            None => text,
            Some(moved) => text
                .words(" and moves ")
                .value(Value::new(moved, Dim::AirFlow).digits(2))
                .words(" through its ducts"),
        }
    }
}

/// What selection held with the same units, before they had places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BeforePlaces {
    /// Drawn days that held.
    pub held_days: usize,
    /// Drawn days simulated.
    pub days: usize,
    /// Short-circuit share of every unit, assumed.
    pub short_circuit: f64,
}

impl BeforePlaces {
    /// What selection said of the units that it came to; `None` where it came
    /// to none.
    pub fn of(room: &Room, selection: &Selection) -> Option<Self> {
        selection.design_candidate().map(|c| Self {
            held_days: c.judged.held_days,
            days: c.judged.days,
            short_circuit: room.selection.short_circuit.value,
        })
    }

    /// Share of the drawn days that held, 0 to 1.
    pub fn held_share(&self) -> f64 {
        if self.days == 0 {
            return 0.0;
        }
        self.held_days as f64 / self.days as f64
    }
}

/// Simulates the room with these units, wherever they stand: each breathes the
/// share of dried air that the room file assumes.
///
/// # Errors
/// An unknown model or a room that cannot be run.
pub fn prove(
    room: &Room,
    load: &Load,
    catalog: &Catalog,
    units: &UnitSet,
) -> Result<Day, JobError> {
    run(room, load, catalog, units, (None, Vec::new()))
}

/// Simulates the room with these units in their places: each breathes its own
/// share of dried air and moves what its ducts leave it. Units without a place
/// keep the share that was assumed, and units that do not run have no part in
/// it. `before` is what selection said of them, if it was asked.
///
/// # Errors
/// An unknown model or a room that cannot be run.
pub fn prove_placed(
    room: &Room,
    load: &Load,
    catalog: &Catalog,
    (units, placement): (&UnitSet, &Placement),
    before: Option<BeforePlaces>,
) -> Result<Day, JobError> {
    let idle = |tag: &str| {
        let of_tag = room.units.iter().find(|u| u.tag.value == tag);
        of_tag.is_some_and(|u| u.state.value != UnitState::InUse)
    };
    let in_place = placement
        .units
        .iter()
        .filter(|unit| !idle(&unit.tag))
        .map(|unit| InPlace {
            tag: unit.tag.clone(),
            model: unit.model.clone(),
            air: unit.air(),
        })
        .collect();
    run(room, load, catalog, units, (before, in_place))
}

fn run(
    room: &Room,
    load: &Load,
    catalog: &Catalog,
    units: &UnitSet,
    (before_places, in_place): (Option<BeforePlaces>, Vec<InPlace>),
) -> Result<Day, JobError> {
    let rule = HoldRule::DEFAULT;
    let models = || units.groups().iter().map(|(m, _)| m.as_str());
    let design = Circumstances {
        nodes: load.effort.nodes(),
        ..Circumstances::DESIGN
    };
    let compiled = |now: Circumstances| {
        let airs = in_place.iter().map(|u| (u.model.as_str(), u.air));
        Compiled::new(room, catalog, models(), now)?.in_place(airs)
    };
    let summer = compiled(design)?;
    let winter = compiled(Circumstances {
        season: Season::Winter,
        ..design
    })?;
    let typical = setup(&summer, &load.typical, units, &[])?;
    let Outcome {
        summary,
        series,
        balance,
    } = roomsim::run(&typical, Record::Minutes);
    let scenario = |kind, compiled, events: &[Event]| -> Result<Scenario, JobError> {
        let outcome = roomsim::run(
            &setup(compiled, &load.typical, units, events)?,
            Record::Summary,
        );
        Ok(Scenario {
            kind,
            holds: Period::ALL.map(|p| rule.holds(&outcome.summary, p)),
            summary: outcome.summary,
        })
    };
    let mut scenarios = Vec::new();
    if 0 < units.count() {
        let out = Event::DehumidifierFails {
            at_s: 0.0,
            dehumidifier: 0,
        };
        scenarios.push(scenario(ScenarioKind::OneUnitOut, &summer, &[out])?);
        let (kind, at_s) = power_cut(room);
        let cut = Event::PowerCut {
            at_s,
            lasts_s: POWER_CUT_S,
        };
        let mut cut_short = scenario(kind, &summer, &[cut])?;
        // Late lights-off leaves an hour of the day: the room is watched through
        // the next one, so that coming back after midnight is seen.
        let mut longer = setup(&summer, &load.typical, units, &[cut])?;
        longer.run.days = 2;
        cut_short.summary.recoveries = roomsim::run(&longer, Record::Summary).summary.recoveries;
        scenarios.push(cut_short);
    }
    scenarios.push(scenario(ScenarioKind::Winter, &winter, &[])?);
    let drawn = drawn_days(&summer, units, load)?;
    let mut day = Day {
        units: units.clone(),
        in_place,
        before_places,
        series: series.unwrap_or_default(),
        summary,
        balance,
        judged: sum_up(
            units,
            &drawn.iter().map(|o| &o.summary).collect::<Vec<_>>(),
            rule,
        ),
        spread: spread(&drawn),
        scenarios,
        findings: Vec::new(),
    };
    day.findings = checks::findings(room, &day);
    Ok(day)
}

fn setup(
    compiled: &Compiled<'_>,
    draw: &Draw,
    units: &UnitSet,
    events: &[Event],
) -> Result<Setup, JobError> {
    let mut setup = compiled.setup(draw, units, ONE_DAY)?;
    setup.events = events.to_vec();
    Ok(setup)
}

/// A quarter of an hour after lights-off, the worst time; at 3 o'clock where
/// the lights never go out or never burn.
fn power_cut(room: &Room) -> (ScenarioKind, f64) {
    const NIGHT_S: f64 = 3.0 * 3600.0;
    const AFTER_S: f64 = 900.0;
    const DAY_S: f64 = 86_400.0;
    room.light
        .as_ref()
        .filter(|l| 0.0 < l.photoperiod_s.value && l.photoperiod_s.value < DAY_S)
        .map_or((ScenarioKind::PowerCutAtThree, NIGHT_S), |l| {
            let off_s = (f64::from(l.on_s.value) + l.photoperiod_s.value).rem_euclid(DAY_S);
            // Late enough in the day to see the room come back before it ends.
            let at_s = (off_s + AFTER_S).min(DAY_S - 3.0 * POWER_CUT_S);
            (ScenarioKind::PowerCut, at_s)
        })
}

/// The day of each draw, its minutes kept for those of the spread.
fn drawn_days(
    compiled: &Compiled<'_>,
    units: &UnitSet,
    load: &Load,
) -> Result<Vec<Outcome>, JobError> {
    // Draws of equal weight come ordered by nothing, but resampled ones stand
    // together: take them evenly.
    let stride = load.draws.len().div_ceil(DAYS_FOR_SPREAD).max(1);
    let settled = Start::of(load).settled(compiled, units)?;
    load.draws
        .par_iter()
        .enumerate()
        .map(|(i, draw)| {
            let record = if i.is_multiple_of(stride) {
                Record::Minutes
            } else {
                Record::Summary
            };
            run_day(compiled, draw, units, settled.as_ref(), record)
        })
        .collect()
}

fn spread(drawn: &[Outcome]) -> DaySpread {
    let days: Vec<&Series> = drawn.iter().filter_map(|o| o.series.as_ref()).collect();
    let Some(first) = days.first() else {
        return DaySpread::default();
    };
    let every = (SPREAD_STEP_S / first.step_s).round().max(1.0) as usize;
    let even = vec![1.0; days.len()];
    let over = |pick: &dyn Fn(&Series) -> &[f64]| -> Vec<Band> {
        (0..first.len())
            .skip(every - 1)
            .step_by(every)
            .map(|i| {
                let values: Vec<f64> = days.iter().map(|d| pick(d)[i]).collect();
                stats::band(&values, &even)
            })
            .collect()
    };
    DaySpread {
        dry_bulb_c: over(&|s| &s.dry_bulb_c),
        rel_humidity: over(&|s| &s.rel_humidity),
        vpd_pa: over(&|s| &s.vpd_pa),
    }
}
