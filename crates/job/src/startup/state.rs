//! Where a start-up stands, from what is recorded.

mod fold;
mod service;

use std::collections::BTreeMap;

use quantity::{Finding, Text};

use super::Plan;
use crate::acceptance::{Judgement, Verdict};
use crate::design::{Inputs, design_id};
use crate::record::{Answer, Basis, Body, Event, FindingClosed, Hash, Moment, Reading, in_force};
use fold::Folding;

/// How a step stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Steps before it are not done.
    Closed {
        /// Their ids.
        waits_for: Vec<String>,
    },
    /// It can be done.
    Open,
    /// Its time is not over.
    Waiting {
        /// When it is, by the present time of day \[ms since 1970\].
        until_utc_ms: i64,
        /// How long still \[ms\].
        left_ms: i64,
    },
    /// Done, and as it shall be.
    Done,
    /// Done; what was measured does not decide.
    NotProven,
    /// Done, and not as it shall be.
    Failed,
    /// Left out.
    Skipped {
        /// Why.
        reason: String,
        /// Whether by itself or with its unit.
        with: With,
    },
}

/// How a step was left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum With {
    /// By itself.
    Itself,
    /// With its whole unit.
    Unit,
}

/// A unit that was left out as a whole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnitLeftOut {
    /// Its tag.
    pub unit: String,
    /// Why, as it was said last.
    pub reason: String,
    /// Who said so last.
    pub by: String,
    /// When.
    pub at: Moment,
    /// Hashes of the events that say so, to correct them by: several where
    /// several devices did.
    pub events: Vec<Hash>,
}

impl Standing {
    /// Whether there is nothing left to do about it: done, well or not yet
    /// proven, or left out.
    pub const fn is_dealt_with(&self) -> bool {
        matches!(self, Self::Done | Self::NotProven | Self::Skipped { .. })
    }

    /// The word for it.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Closed { .. } => "closed",
            Self::Open => "open",
            Self::Waiting { .. } => "waiting",
            Self::Done => "done",
            Self::NotProven => "not proven",
            Self::Failed => "failed",
            Self::Skipped { .. } => "left out",
        }
    }
}

/// A step as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct StepState {
    /// Its id.
    pub id: String,
    /// How it stands.
    pub standing: Standing,
    /// What it was judged by, once done.
    pub judgement: Option<Judgement>,
    /// What was read for it, corrections applied, with when.
    pub readings: Vec<(Moment, Reading)>,
    /// What was answered.
    pub answers: Vec<Answer>,
    /// What was remarked, by whom.
    pub notes: Vec<(String, String)>,
    /// Photos, by their hashes.
    pub photos: Vec<Hash>,
    /// When its time was started by hand since it was last done.
    pub begun: Option<Moment>,
    /// Hash of the event that did it or left it out, to correct it by.
    pub event: Option<Hash>,
    /// Who did it or left it out.
    pub by: Option<String>,
    /// When.
    pub at: Option<Moment>,
    /// Corrections of what was entered: by whom and why.
    pub corrections: Vec<(String, String)>,
    /// What was read before it was corrected.
    pub before: Vec<Reading>,
    /// Attempts before the one that counts.
    pub earlier: Vec<Attempt>,
    /// What speaks against doing it now, although it can be done.
    pub caution: Option<Text>,
    /// How far the clock was set while it waited, as far as can be told \[ms\];
    /// 0: not at all.
    pub clock_set_ms: i64,
}

impl StepState {
    /// The word for how it stands; what works and is not as drawn is said.
    pub fn word(&self) -> &'static str {
        let findings = self.judgement.as_ref().map_or(0, |j| j.findings.len());
        match self.standing {
            Standing::Done if 0 < findings => "done, with a finding",
            _ => self.standing.word(),
        }
    }
}

/// A step that was done, and done again later.
#[derive(Clone, Debug, PartialEq)]
pub struct Attempt {
    /// What it came to.
    pub verdict: Verdict,
    /// What was measured against what then.
    pub said: Text,
    /// Who did it.
    pub by: String,
    /// When.
    pub at: Moment,
}

/// How many steps stand how.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Done, and as they shall be.
    pub done: usize,
    /// Done, not decided.
    pub not_proven: usize,
    /// Failed.
    pub failed: usize,
    /// Left out.
    pub skipped: usize,
    /// Open or waiting.
    pub open: usize,
    /// Closed.
    pub closed: usize,
}

/// Where a start-up stands.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// Steps in the order of the plan.
    pub steps: Vec<StepState>,
    /// Findings that are open, worst first.
    pub findings: Vec<Finding>,
    /// Findings that were closed, with what was done about them; those of a
    /// step that was done again or left out since are among them.
    pub closed: Vec<(Finding, FindingClosed)>,
    /// Units that are left out as a whole, in the order of the plan.
    pub units_left_out: Vec<UnitLeftOut>,
    /// Whether the plan was made from another design than the record last
    /// names: the room file was changed since.
    pub basis: BasisIs,
}

/// How plan and record go together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BasisIs {
    /// The record names no design yet.
    NotStarted,
    /// It names the design of the plan.
    Same,
    /// It names another.
    Other,
}

impl State {
    /// A step by its id.
    pub fn step(&self, id: &str) -> Option<&StepState> {
        self.steps.iter().find(|s| s.id == id)
    }

    /// A unit's leaving out as a whole.
    pub fn unit_left_out(&self, unit: &str) -> Option<&UnitLeftOut> {
        self.units_left_out.iter().find(|u| u.unit == unit)
    }

    /// How many steps stand how.
    pub fn tally(&self) -> Tally {
        let mut tally = Tally::default();
        for step in &self.steps {
            *match &step.standing {
                Standing::Done => &mut tally.done,
                Standing::NotProven => &mut tally.not_proven,
                Standing::Failed => &mut tally.failed,
                Standing::Skipped { .. } => &mut tally.skipped,
                Standing::Open | Standing::Waiting { .. } => &mut tally.open,
                Standing::Closed { .. } => &mut tally.closed,
            } += 1;
        }
        tally
    }
}

/// What the record was last started or changed against.
pub fn started_against(events: &[Event]) -> Option<&Basis> {
    in_force(events).iter().rev().find_map(|e| match e.holds {
        Some(Body::Started(basis) | Body::RoomChanged(basis)) => Some(basis),
        _ => None,
    })
}

/// What must be recorded before anything else is, so that the record says what
/// it was started against: the start itself, or that the files have changed
/// since. `None`: it is recorded.
pub fn to_record_first(events: &[Event], inputs: &Inputs) -> Option<Body> {
    match started_against(events) {
        None => Some(Body::Started(Basis::of(inputs))),
        Some(basis) if basis.design_id == design_id(inputs) => None,
        Some(_) => Some(Body::RoomChanged(Basis::of(inputs))),
    }
}

/// Where a start-up stands now. A step that failed with a finding that says
/// stop keeps those that need it closed until it is done again, left out, or
/// the finding is closed.
///
/// - `events`: those of this room, in the order of [`crate::record::ordered`]
/// - `now`: the present instant of the device that asks
pub fn state(plan: &Plan, events: &[Event], now: &Moment) -> State {
    let kept = in_force(events);
    let mut folding = Folding {
        kept: &kept,
        now,
        done_at: BTreeMap::new(),
        blocks: Vec::new(),
        state: State {
            steps: Vec::with_capacity(plan.steps.len()),
            findings: Vec::new(),
            closed: Vec::new(),
            units_left_out: fold::units_left_out(plan, &kept),
            basis: match started_against(events) {
                None => BasisIs::NotStarted,
                Some(basis) if basis.design_id == plan.design_id => BasisIs::Same,
                Some(_) => BasisIs::Other,
            },
        },
    };
    for step in &plan.steps {
        folding.add(plan, step);
    }
    let mut state = folding.state;
    service::add_faults(&kept, &mut state);
    state
        .findings
        .sort_by_key(|f| std::cmp::Reverse(f.severity));
    state
}
