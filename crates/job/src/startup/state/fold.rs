//! One step after the other, from what holds in the record.

use std::collections::BTreeMap;

use quantity::{Finding, Severity, Text};

use super::{Attempt, Standing, State, StepState, UnitLeftOut, With};
use crate::acceptance::{Judgement, Verdict};
use crate::record::{
    Body, FindingClosed, Hash, Kept, Moment, Reading, StepDone, UnitSkipped, elapsed,
};
use crate::startup::Plan;
use crate::startup::accept::{Entered, Taken, judge};
use crate::startup::step::{Kind, Step, Wait, WaitFrom};

pub(super) struct Folding<'a> {
    pub(super) kept: &'a [Kept<'a>],
    pub(super) now: &'a Moment,
    /// When each step was done or left out, and by which event.
    pub(super) done_at: BTreeMap<&'a str, (usize, Moment)>,
    /// Steps that keep others closed.
    pub(super) blocks: Vec<&'a str>,
    pub(super) state: State,
}

/// What was last recorded to have been done about a step.
enum Last<'a> {
    Done(usize, &'a StepDone),
    Skipped(usize, &'a str, With),
}

impl<'a> Folding<'a> {
    pub(super) fn add(&mut self, plan: &'a Plan, step: &'a Step) {
        let earlier = self.earlier(plan, step);
        let mut this = StepState {
            id: step.id.clone(),
            standing: Standing::Open,
            judgement: None,
            readings: Vec::new(),
            answers: Vec::new(),
            notes: self.notes(step),
            photos: self.photos(step),
            begun: None,
            event: None,
            by: None,
            at: None,
            corrections: Vec::new(),
            before: Vec::new(),
            earlier: self.attempts(&earlier),
            caution: None,
            clock_set_ms: 0,
        };
        match self.last(step) {
            Some(Last::Done(place, done)) => {
                let entered = self.entered(plan, step, place);
                let judgement = judge(step, &entered);
                this.readings = with_instants(&entered.readings);
                this.answers = done.answers.clone();
                this.standing = match judgement.verdict {
                    Verdict::Pass => Standing::Done,
                    Verdict::NotProven => Standing::NotProven,
                    Verdict::Fail => Standing::Failed,
                };
                self.recorded(&mut this, step, place);
                if self.sort_findings(&judgement, place) {
                    self.blocks.push(&step.id);
                }
                let by = &self.kept[place].first.writer.person;
                let how = format!("done again by {by}: {}", judgement.verdict.word());
                self.put_right(&earlier, &judgement.findings, &how);
                this.judgement = Some(judgement);
            }
            Some(Last::Skipped(place, reason, with)) => {
                this.standing = Standing::Skipped {
                    reason: reason.to_owned(),
                    with,
                };
                self.put_right(&earlier, &[], &format!("step left out: {reason}"));
                self.recorded(&mut this, step, place);
                if with == With::Unit {
                    // Nothing of this one step is there to correct.
                    (this.event, this.corrections) = (None, Vec::new());
                }
            }
            None => {
                let (readings, begun) = self.going_on(step);
                this.readings = with_instants(&readings);
                this.begun = begun.cloned();
                self.not_done(step, &mut this);
            }
        }
        this.caution = self.caution(plan, step);
        self.state.steps.push(this);
    }

    /// What is recorded of a step, with its places.
    fn of_step<'s>(
        &'s self,
        step: &'s Step,
    ) -> impl Iterator<Item = (&'a Kept<'a>, &'a Body)> + 's {
        self.kept.iter().filter_map(|k| {
            let body = k.holds.filter(|b| b.step() == Some(step.id.as_str()))?;
            Some((k, body))
        })
    }

    fn notes(&self, step: &Step) -> Vec<(String, String)> {
        self.of_step(step)
            .filter_map(|(kept, body)| {
                let text = match body {
                    Body::StepDone(d) => d.note.as_ref()?,
                    Body::Measured(m) => m.note.as_ref()?,
                    Body::Note(n) => &n.text,
                    Body::Photo(p) => p.caption.as_ref()?,
                    _ => return None,
                };
                Some((kept.first.writer.person.clone(), text.clone()))
            })
            .collect()
    }

    fn photos(&self, step: &Step) -> Vec<Hash> {
        let mut all: Vec<Hash> = Vec::new();
        for (_, body) in self.of_step(step) {
            let hashes: &[Hash] = match body {
                Body::StepDone(d) => &d.photos,
                Body::Photo(p) => std::slice::from_ref(&p.hash),
                _ => &[],
            };
            for hash in hashes {
                if !all.contains(hash) {
                    all.push(*hash);
                }
            }
        }
        all
    }

    /// Readings of a step that was not yet done, and when its time was started.
    fn going_on(&self, step: &Step) -> (Vec<Taken<'a>>, Option<&'a Moment>) {
        let mut readings = Vec::new();
        let mut begun = None;
        for (kept, body) in self.of_step(step) {
            let at = &kept.first.at;
            if matches!(body, Body::TimerStarted(_)) {
                begun = Some(at);
            }
            readings.extend(body.readings().iter().map(|reading| Taken { at, reading }));
        }
        (readings, begun)
    }

    fn recorded(&mut self, this: &mut StepState, step: &'a Step, place: usize) {
        let kept = &self.kept[place];
        this.event = Some(kept.first.hash);
        this.by = Some(kept.first.writer.person.clone());
        this.at = Some(kept.first.at.clone());
        this.corrections = kept
            .corrections
            .iter()
            .filter_map(|e| match &e.body {
                Body::Correction(c) => Some((e.writer.person.clone(), c.reason.clone())),
                _ => None,
            })
            .collect();
        if !kept.corrections.is_empty() {
            this.before = kept.first.body.readings().to_vec();
        }
        self.done_at
            .insert(&step.id, (place, kept.first.at.clone()));
    }

    fn last(&self, step: &Step) -> Option<Last<'a>> {
        let places = self.kept.iter().enumerate().rev();
        for (place, kept) in places {
            match kept.holds {
                Some(Body::StepDone(done)) if done.step == step.id => {
                    return Some(Last::Done(place, done));
                }
                Some(Body::StepSkipped(skipped)) if skipped.step == step.id => {
                    return Some(Last::Skipped(place, &skipped.reason, With::Itself));
                }
                _ => {}
            }
        }
        // What somebody did or said of the very step holds, whichever of two
        // devices was first.
        let unit = step.unit.as_deref()?;
        let (place, skipped) = unit_skips(self.kept, unit).last()?;
        Some(Last::Skipped(place, &skipped.reason, With::Unit))
    }

    /// What came of a step each time that it was done, but for the last, and
    /// by which event.
    fn earlier(&self, plan: &'a Plan, step: &Step) -> Vec<(usize, Judgement)> {
        let mut all: Vec<(usize, Judgement)> = (0..self.kept.len())
            .filter(|place| is_done(&self.kept[*place], step))
            .map(|place| (place, judge(step, &self.entered(plan, step, place))))
            .collect();
        // A step that was left out later counts as left out; all came before.
        if matches!(self.last(step), Some(Last::Done(..))) {
            all.pop();
        }
        all
    }

    fn attempts(&self, earlier: &[(usize, Judgement)]) -> Vec<Attempt> {
        let attempt = |(place, judgement): &(usize, Judgement)| Attempt {
            verdict: judgement.verdict,
            said: judgement.said.clone(),
            by: self.kept[*place].first.writer.person.clone(),
            at: self.kept[*place].first.at.clone(),
        };
        earlier.iter().map(attempt).collect()
    }

    /// Findings of earlier times that are not found any more: closed as it was
    /// said, else by how the step stands now.
    fn put_right(&mut self, earlier: &[(usize, Judgement)], now: &[Finding], how: &str) {
        let same = |a: &Finding, b: &Finding| a.check == b.check && a.place == b.place;
        for (place, judgement) in earlier.iter().rev() {
            for finding in &judgement.findings {
                let told = self.state.closed.iter().any(|(c, _)| same(c, finding));
                if told || now.iter().any(|n| same(n, finding)) {
                    continue;
                }
                let closed = closing(&self.kept[*place..], finding).cloned();
                let closed = closed.unwrap_or_else(|| FindingClosed {
                    check: finding.check.to_string(),
                    place: finding.place.0.to_string(),
                    how: how.to_owned(),
                });
                self.state.closed.push((finding.clone(), closed));
            }
        }
    }

    /// What was entered for a step that was done at `place`: what came with it,
    /// and what was read since it was done the time before.
    fn entered(&self, plan: &'a Plan, step: &Step, place: usize) -> Entered<'a> {
        let since = self.kept[..place]
            .iter()
            .rposition(|k| is_done(k, step))
            .map_or(0, |before| before + 1);
        let done = &self.kept[place].first.at;
        let mut entered = Entered {
            readings: Vec::new(),
            answers: Vec::new(),
            begun: None,
            done,
            runs_since: None,
            spoiled_by: Vec::new(),
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
        let meanwhile = if entered.begun.is_some() {
            begun_place..place
        } else {
            since..place
        };
        entered.spoiled_by = self.spoiled_by(plan, step, meanwhile);
        entered
    }

    /// Whether water is being caught that this step would spoil.
    fn caution(&self, plan: &Plan, step: &Step) -> Option<Text> {
        let may_spoil = |other: &&Step| {
            other.kind == Kind::Condensate && (step.unit.is_none() || step.unit == other.unit)
        };
        let catching = |other: &&Step| {
            let of = self.of_step(other).map(|(_, body)| body);
            let last = of
                .filter(|b| {
                    matches!(
                        b,
                        Body::TimerStarted(_) | Body::StepDone(_) | Body::StepSkipped(_)
                    )
                })
                .last();
            matches!(last, Some(Body::TimerStarted(_)))
        };
        if !step.kind.spoils_a_catch() {
            return None;
        }
        let caught = plan.steps.iter().filter(may_spoil).find(catching)?;
        Some(
            Text::from(format!("water is being caught ({}): ", caught.place().0))
                .and(&step.title)
                .words(" stops the unit or adds water, and the catch would prove nothing; finish or start it anew"),
        )
    }

    /// Steps that were done meanwhile and spoil a catch of water of this
    /// unit's: its own, and those of the whole room and of its controller.
    fn spoiled_by(
        &self,
        plan: &'a Plan,
        step: &Step,
        places: std::ops::Range<usize>,
    ) -> Vec<(&'a Step, &'a Moment)> {
        self.kept[places]
            .iter()
            .filter_map(|k| match k.holds {
                Some(Body::StepDone(d)) => Some((plan.step(&d.step)?, &k.first.at)),
                _ => None,
            })
            .filter(|(other, _)| {
                other.kind.spoils_a_catch() && (other.unit.is_none() || other.unit == step.unit)
            })
            .collect()
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
            match closing(&self.kept[place..], finding) {
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
        let passed = elapsed(&from, self.now);
        this.clock_set_ms = passed.set_ms;
        let left_ms = (1_000.0 * wait.lasts_s).round() as i64 - passed.ms;
        if 0 < left_ms {
            this.standing = Standing::Waiting {
                until_utc_ms: self.now.utc_ms.saturating_add(left_ms),
                left_ms,
            };
        } else if step.entries.is_empty() {
            // Nothing is left to say: the time is over, since it ran out or
            // since the last of what is needed before was done.
            let needed = step
                .needs
                .iter()
                .filter_map(|n| self.done_at.get(n.as_str()));
            let over = needed
                .map(|(_, at)| at.clone())
                .chain([from.later(wait.lasts_s)])
                .max_by_key(|at| at.utc_ms);
            this.standing = Standing::Done;
            this.at.clone_from(&over);
            self.done_at.insert(&step.id, (place, over.unwrap_or(from)));
        }
    }

    /// From when a step's waiting time counts, and by which event; `None`: it
    /// was not begun.
    fn waits_from(&self, step: &Step, wait: &Wait) -> Option<(usize, Moment)> {
        let is_timer =
            |k: &Kept<'_>| matches!(k.holds, Some(Body::TimerStarted(t)) if t.step == step.id);
        let timer = self
            .kept
            .iter()
            .rposition(is_timer)
            .map(|place| (place, self.kept[place].first.at.clone()));
        let done = match &wait.from {
            WaitFrom::Hand => None,
            WaitFrom::Steps(ids) => ids
                .iter()
                .filter_map(|id| self.done_at.get(id.as_str()).cloned())
                .max_by_key(|(place, _)| *place),
        };
        [done, timer]
            .into_iter()
            .flatten()
            .max_by_key(|(place, _)| *place)
    }
}

/// Events that leave a unit out as a whole, with their places.
fn unit_skips<'a>(
    kept: &'a [Kept<'a>],
    unit: &str,
) -> impl Iterator<Item = (usize, &'a UnitSkipped)> {
    kept.iter()
        .enumerate()
        .filter_map(move |(place, k)| match k.holds {
            Some(Body::UnitSkipped(skipped)) if skipped.unit == unit => Some((place, skipped)),
            _ => None,
        })
}

/// Units that are left out as a whole.
pub(super) fn units_left_out(plan: &Plan, kept: &[Kept<'_>]) -> Vec<UnitLeftOut> {
    plan.units()
        .into_iter()
        .flatten()
        .filter_map(|unit| {
            let all: Vec<(usize, &UnitSkipped)> = unit_skips(kept, unit).collect();
            let (place, skipped) = all.last()?;
            let first = kept[*place].first;
            Some(UnitLeftOut {
                unit: unit.to_owned(),
                reason: skipped.reason.clone(),
                by: first.writer.person.clone(),
                at: first.at.clone(),
                events: all
                    .iter()
                    .map(|(place, _)| kept[*place].first.hash)
                    .collect(),
            })
        })
        .collect()
}

fn is_done(kept: &Kept<'_>, step: &Step) -> bool {
    matches!(kept.holds, Some(Body::StepDone(d)) if d.step == step.id)
}

/// What closed a finding, among what came after it.
pub(super) fn closing<'a>(after: &[Kept<'a>], finding: &Finding) -> Option<&'a FindingClosed> {
    after.iter().find_map(|k| match k.holds {
        Some(Body::FindingClosed(c)) if c.check == finding.check && c.place == finding.place.0 => {
            Some(c)
        }
        _ => None,
    })
}

fn with_instants(readings: &[Taken<'_>]) -> Vec<(Moment, Reading)> {
    readings
        .iter()
        .map(|t| (t.at.clone(), t.reading.clone()))
        .collect()
}
