//! Which test tells most for the time that it takes.

use super::implied::{Implied, by_record, lacked};
use super::knowledge::{Danger, Knowledge, Symptom, Test, Trait};
use super::rank::{Belief, Known, UNLISTED_SEEN};

/// Time to ask whether a symptom is seen \[min\].
const ASK_MIN: f64 = 0.5;
/// What any test costs beside its own time \[min\]: to explain and to answer.
const TALK_MIN: f64 = 1.0;
/// A test that promises less tells nothing \[bit\]. **Assumed**.
const LEAST_BITS: f64 = 0.02;

/// A question or a test that is still open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Question<'a> {
    /// Is this seen?
    Symptom(&'a Symptom),
    /// What does this test say?
    Test(&'a Test),
}

/// An open question with what it promises.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Next<'a> {
    /// The question.
    pub question: Question<'a>,
    /// What its answer is expected to tell \[bit\].
    pub bits: f64,
    /// What it takes \[min\].
    pub minutes: f64,
}

impl Next<'_> {
    /// What it tells per minute \[bit/min\].
    pub fn bits_per_min(&self) -> f64 {
        self.bits / self.minutes
    }

    /// Id of the symptom or test.
    pub fn id(&self) -> &str {
        match self.question {
            Question::Symptom(s) => &s.id,
            Question::Test(t) => &t.id,
        }
    }

    /// What can hurt.
    pub const fn danger(&self) -> Danger {
        match self.question {
            Question::Symptom(_) => Danger::Look,
            Question::Test(t) => t.danger,
        }
    }
}

/// Uncertainty of a choice among probabilities \[bit\].
fn entropy_bits(ps: impl Iterator<Item = f64>) -> f64 {
    ps.filter(|p| 0.0 < *p).map(|p| -p * p.log2()).sum()
}

/// What an answer is expected to tell about the cause \[bit\]: the mutual
/// information of cause and outcome, never below 0.
///
/// - `belief`: probability of each cause
/// - `outcomes`: for each cause, probability of each outcome
///
/// **Source** Shannon 1948, A mathematical theory of communication, section 6.
fn told_bits(belief: &[f64], outcomes: &[Vec<f64>]) -> f64 {
    let count = outcomes.first().map_or(0, Vec::len);
    let mixed = (0..count).map(|o| belief.iter().zip(outcomes).map(|(p, ps)| p * ps[o]).sum());
    let within: f64 = belief
        .iter()
        .zip(outcomes)
        .map(|(p, ps)| p * entropy_bits(ps.iter().copied()))
        .sum();
    (entropy_bits(mixed) - within).max(0.0)
}

/// Open questions, the one that tells most per minute first; empty where
/// nothing open tells anything.
///
/// - `known`: as it was ranked by; what is answered there is not asked again,
///   nor what follows from it or cannot be at this unit
pub fn next<'a>(
    knowledge: &'a Knowledge,
    traits: Option<&[Trait]>,
    known: &[Known],
) -> Vec<Next<'a>> {
    let mut belief = Belief::prior(knowledge, traits);
    let (all, _) = by_record(knowledge, traits, known.to_vec());
    let implied = Implied::by(knowledge, &all);
    let counted = all.iter().filter(|k| implied.counts(k));
    counted.for_each(|k| belief.learn(k));
    let open = |id: &str| !known.iter().any(|k| k.about() == id);
    let causes = &knowledge.causes;
    let symptoms = knowledge.symptoms.iter().filter(|s| open(&s.id)).map(|s| {
        let seen = |p: f64| vec![p, 1.0 - p];
        let listed = causes.iter().map(|c| seen(s.probability(&c.id)));
        let all: Vec<Vec<f64>> = listed.chain(std::iter::once(seen(UNLISTED_SEEN))).collect();
        Next {
            question: Question::Symptom(s),
            bits: told_bits(&belief.of, &all),
            minutes: ASK_MIN,
        }
    });
    let can = |t: &&Test| open(&t.id) && lacked(t, traits).is_none();
    let tests = knowledge.tests.iter().filter(can).map(|t| {
        let listed = causes.iter().map(|c| t.probabilities(&c.id).to_vec());
        let alike = vec![1.0 / t.outcomes.len() as f64; t.outcomes.len()];
        let all: Vec<Vec<f64>> = listed.chain(std::iter::once(alike)).collect();
        Next {
            question: Question::Test(t),
            bits: told_bits(&belief.of, &all),
            minutes: TALK_MIN + t.minutes,
        }
    });
    let mut next: Vec<Next> = symptoms
        .chain(tests)
        .filter(|n| LEAST_BITS <= n.bits && implied.leaves_open(n.question))
        .collect();
    next.sort_by(|a, b| b.bits_per_min().total_cmp(&a.bits_per_min()));
    next
}
