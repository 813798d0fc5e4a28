//! Where a start-up stands, from what is recorded.

use std::collections::BTreeMap;

use quantity::{Finding, Severity};

use super::Plan;
use super::accept::{Entered, Taken, judge};
use super::step::{Kind, Step, Wait, WaitFrom};
use crate::acceptance::{Judgement, Verdict};
use crate::record::{
    Basis, Body, Event, FindingClosed, Hash, Kept, Moment, StepDone, elapsed, in_force,
};

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
    },
}

impl Standing {
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
    /// What was entered last, corrections applied; without readings that went
    /// before.
    pub done: Option<StepDone>,
    /// Hash of the event that did it or left it out, to correct it by.
    pub event: Option<Hash>,
    /// Who did it or left it out.
    pub by: Option<String>,
    /// When.
    pub at: Option<Moment>,
    /// Whether what was entered was corrected.
    pub corrections: usize,
    /// How far the clock was set while it waited, as far as can be told \[ms\];
    /// 0: not at all.
    pub clock_set_ms: i64,
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
    /// Findings that were closed, with what was done about them.
    pub closed: Vec<(Finding, FindingClosed)>,
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
    state
        .findings
        .sort_by_key(|f| std::cmp::Reverse(f.severity));
    state
}

struct Folding<'a> {
    kept: &'a [Kept<'a>],
    now: &'a Moment,
    /// When each step was done or left out, and by which event.
    done_at: BTreeMap<&'a str, (usize, &'a Moment)>,
    /// Steps that keep others closed.
    blocks: Vec<&'a str>,
    state: State,
}

/// What was last recorded to have been done about a step.
enum Last<'a> {
    Done(usize, &'a StepDone),
    Skipped(usize, &'a str),
}

impl<'a> Folding<'a> {
    fn add(&mut self, plan: &'a Plan, step: &'a Step) {
        let mut this = StepState {
            id: step.id.clone(),
            standing: Standing::Open,
            judgement: None,
            done: None,
            event: None,
            by: None,
            at: None,
            corrections: 0,
            clock_set_ms: 0,
        };
        match self.last(step) {
            Some(Last::Done(place, done)) => {
                let judgement = judge(step, &self.entered(plan, step, place));
                this.standing = match judgement.verdict {
                    Verdict::Pass => Standing::Done,
                    Verdict::NotProven => Standing::NotProven,
                    Verdict::Fail => Standing::Failed,
                };
                self.recorded(&mut this, step, place);
                this.done = Some(done.clone());
                if self.sort_findings(&judgement, place) {
                    self.blocks.push(&step.id);
                }
                this.judgement = Some(judgement);
            }
            Some(Last::Skipped(place, reason)) => {
                this.standing = Standing::Skipped {
                    reason: reason.to_owned(),
                };
                self.recorded(&mut this, step, place);
            }
            None => self.not_done(step, &mut this),
        }
        self.state.steps.push(this);
    }

    fn recorded(&mut self, this: &mut StepState, step: &'a Step, place: usize) {
        let kept = &self.kept[place];
        this.event = Some(kept.first.hash);
        this.by = Some(kept.first.writer.person.clone());
        this.at = Some(kept.first.at.clone());
        this.corrections = kept.corrections.len();
        self.done_at.insert(&step.id, (place, &kept.first.at));
    }

    fn last(&self, step: &Step) -> Option<Last<'a>> {
        let places = self.kept.iter().enumerate().rev();
        for (place, kept) in places {
            match kept.holds {
                Some(Body::StepDone(done)) if done.step == step.id => {
                    return Some(Last::Done(place, done));
                }
                Some(Body::StepSkipped(skipped)) if skipped.step == step.id => {
                    return Some(Last::Skipped(place, &skipped.reason));
                }
                _ => {}
            }
        }
        None
    }

    /// What was entered for a step that was done at `place`: what came with it,
    /// and what was read since it was done the time before.
    fn entered(&self, plan: &Plan, step: &Step, place: usize) -> Entered<'a> {
        let is_done =
            |k: &Kept<'_>| matches!(k.holds, Some(Body::StepDone(d)) if d.step == step.id);
        let since = self.kept[..place]
            .iter()
            .rposition(is_done)
            .map_or(0, |before| before + 1);
        let done = &self.kept[place].first.at;
        let mut entered = Entered {
            readings: Vec::new(),
            answers: Vec::new(),
            begun: None,
            done,
            runs_since: None,
        };
        let mut begun_place = place;
        for (i, kept) in self.kept.iter().enumerate().take(place + 1).skip(since) {
            let Some(body) = kept.holds.filter(|b| b.step() == Some(step.id.as_str())) else {
                continue;
            };
            let at = &kept.first.at;
            entered
                .readings
                .extend(body.readings().iter().map(|reading| Taken { at, reading }));
            match body {
                Body::StepDone(d) => entered.answers.extend(
                    d.answers
                        .iter()
                        .map(|a| (a.entry.as_str(), a.said.as_str())),
                ),
                Body::TimerStarted(_) => {
                    entered.begun = Some(at);
                    begun_place = i;
                }
                _ => {}
            }
        }
        entered.runs_since = self.runs_since(plan, step, begun_place);
        entered
    }

    /// When the unit of a step last began to run before an event: when it was
    /// seen to run, or back after a test that stopped it.
    fn runs_since(&self, plan: &Plan, step: &Step, before: usize) -> Option<&'a Moment> {
        let tag = step.unit.as_deref()?;
        let starts: Vec<&str> = plan
            .of_unit(tag)
            .filter(|s| matches!(s.kind, Kind::Running | Kind::Overflow | Kind::Restart))
            .map(|s| s.id.as_str())
            .collect();
        let started = |k: &&Kept<'_>| matches!(k.holds, Some(Body::StepDone(d)) if starts.contains(&d.step.as_str()));
        let last = self.kept[..before].iter().rev().find(started)?;
        Some(&last.first.at)
    }

    /// Puts findings where they belong; whether an open one says stop.
    fn sort_findings(&mut self, judgement: &Judgement, place: usize) -> bool {
        let mut stops = false;
        for finding in &judgement.findings {
            let closing = self.kept[place..].iter().find_map(|k| match k.holds {
                Some(Body::FindingClosed(c))
                    if c.check == finding.check && c.place == finding.place.0 =>
                {
                    Some(c)
                }
                _ => None,
            });
            match closing {
                Some(closed) => self.state.closed.push((finding.clone(), closed.clone())),
                None => {
                    stops |= finding.severity == Severity::Stop;
                    self.state.findings.push(finding.clone());
                }
            }
        }
        stops
    }

    fn not_done(&mut self, step: &'a Step, this: &mut StepState) {
        let waits_for: Vec<String> = step
            .needs
            .iter()
            .filter(|n| !self.done_at.contains_key(n.as_str()) || self.blocks.contains(&n.as_str()))
            .cloned()
            .collect();
        if !waits_for.is_empty() {
            this.standing = Standing::Closed { waits_for };
            return;
        }
        let Some(wait) = &step.wait else { return };
        let Some((place, from)) = self.waits_from(step, wait) else {
            return;
        };
        let passed = elapsed(from, self.now);
        this.clock_set_ms = passed.set_ms;
        let left_ms = (1_000.0 * wait.lasts_s).round() as i64 - passed.ms;
        if 0 < left_ms {
            this.standing = Standing::Waiting {
                until_utc_ms: self.now.utc_ms.saturating_add(left_ms),
                left_ms,
            };
        } else if step.entries.is_empty() {
            // Nothing is left to say: the time is over.
            this.standing = Standing::Done;
            this.at = Some(from.clone());
            self.done_at.insert(&step.id, (place, from));
        }
    }

    /// From when a step's waiting time counts, and by which event; `None`: it
    /// was not begun.
    fn waits_from(&self, step: &Step, wait: &Wait) -> Option<(usize, &'a Moment)> {
        let is_timer =
            |k: &Kept<'_>| matches!(k.holds, Some(Body::TimerStarted(t)) if t.step == step.id);
        let timer = self
            .kept
            .iter()
            .rposition(is_timer)
            .map(|place| (place, &self.kept[place].first.at));
        let done = match &wait.from {
            WaitFrom::Hand => None,
            WaitFrom::Step(id) => self.done_at.get(id.as_str()).copied(),
        };
        [done, timer]
            .into_iter()
            .flatten()
            .max_by_key(|(place, _)| *place)
    }
}
