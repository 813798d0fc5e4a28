//! What is known of what the unit does, and what follows from that: questions
//! that cannot apply any more, and answers that say nothing new.

use super::knowledge::{Knowledge, States, Symptom, Test, Trait, UnitState};
use super::next::Question;
use super::rank::Known;

/// What the answers say of what the unit does.
pub(super) struct Implied<'a> {
    knowledge: &'a Knowledge,
    /// States that what is seen leaves; none where it does not go together.
    seen: States,
    /// States that all answers leave; all where they do not go together.
    left: States,
    /// Symptoms that are not seen.
    unseen: Vec<&'a str>,
}

fn all_states() -> States {
    [UnitState::Dark, UnitState::Waiting, UnitState::Running].into()
}

fn meet(a: &States, b: &States) -> bool {
    !a.is_disjoint(b)
}

impl<'a> Implied<'a> {
    /// Of answers in any order.
    pub(super) fn by(knowledge: &'a Knowledge, known: &'a [Known]) -> Self {
        let mut seen = all_states();
        let mut told = all_states();
        let mut unseen = Vec::new();
        for k in known {
            match k {
                Known::Symptom { id, seen: true } => {
                    if let Some(states) = knowledge.symptom(id).and_then(Symptom::states) {
                        seen.retain(|s| states.contains(s));
                    }
                }
                Known::Symptom { id, seen: false } => {
                    unseen.push(id.as_str());
                    if let Some(states) = knowledge.symptom(id).and_then(|s| s.is.as_ref()) {
                        told.retain(|s| !states.contains(s));
                    }
                }
                Known::Outcome { test, outcome } => {
                    let of = knowledge.test(test).and_then(|t| t.is.as_ref());
                    if let Some(states) = of.and_then(|is| is.get(*outcome)) {
                        told.retain(|s| states.contains(s));
                    }
                }
                Known::Reading { .. } => {}
            }
        }
        let both: States = seen.intersection(&told).copied().collect();
        let left = if both.is_empty() { all_states() } else { both };
        Self {
            knowledge,
            seen,
            left,
            unseen,
        }
    }

    /// Whether what is seen of the unit cannot be so at one time.
    pub(super) fn clashes(&self) -> bool {
        self.seen.is_empty()
    }

    /// Whether an answer says anything that what is seen has not said before it.
    pub(super) fn counts(&self, known: &Known) -> bool {
        match known {
            Known::Symptom { id, seen: false } => self.knowledge.symptom(id).is_none_or(|s| {
                let possible = s.states().is_none_or(|states| meet(states, &self.seen));
                (possible || self.clashes()) && !self.lacks_whole(s)
            }),
            Known::Outcome { test, outcome } => {
                let is = self.knowledge.test(test).and_then(|t| t.is.as_ref());
                is.and_then(|is| is.get(*outcome))
                    .is_none_or(|states| self.clashes() || !self.seen.is_subset(states))
            }
            Known::Symptom { seen: true, .. } | Known::Reading { .. } => true,
        }
    }

    fn lacks_whole(&self, symptom: &Symptom) -> bool {
        let whole = symptom.part_of.as_deref();
        whole.is_some_and(|whole| self.unseen.contains(&whole))
    }

    /// Whether a question has more than one answer still.
    pub(super) fn leaves_open(&self, question: Question<'_>) -> bool {
        let can_be = |needs: &Option<States>| needs.as_ref().is_none_or(|n| meet(n, &self.left));
        match question {
            Question::Symptom(s) => {
                let is_open = |is: &States| meet(is, &self.left) && !self.left.is_subset(is);
                can_be(&s.needs) && s.is.as_ref().is_none_or(is_open) && !self.lacks_whole(s)
            }
            Question::Test(t) => {
                let outcomes = |is: &Vec<States>| is.iter().filter(|s| meet(s, &self.left)).count();
                can_be(&t.needs) && t.is.as_ref().is_none_or(|is| 1 < outcomes(is))
            }
        }
    }
}

/// The trait that a test needs and the unit lacks by its record.
pub(super) fn lacked(test: &Test, traits: Option<&[Trait]>) -> Option<Trait> {
    let only = test.only?;
    traits
        .is_some_and(|traits| !traits.contains(&only))
        .then_some(only)
}

/// What is known, without what the record of the unit excludes; and that, with
/// the trait that it would need.
pub(super) fn by_record(
    knowledge: &Knowledge,
    traits: Option<&[Trait]>,
    known: Vec<Known>,
) -> (Vec<Known>, Vec<(Known, Trait)>) {
    let mut excluded = Vec::new();
    let kept = known.into_iter().filter_map(|k| {
        let test = knowledge.test(k.about());
        match test.and_then(|t| lacked(t, traits)) {
            Some(lacks) => {
                excluded.push((k, lacks));
                None
            }
            None => Some(k),
        }
    });
    (kept.collect(), excluded)
}
