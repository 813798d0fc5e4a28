//! Which cause is likely, by what was seen and what tests said.

use quantity::Text;
use thiserror::Error;

use super::implied::{Implied, by_record};
use super::knowledge::{Cause, Knowledge, Trait};

/// Weight of a cause that the list does not hold, over all weights.
const UNLISTED_SHARE: f64 = 0.02;
/// Probability that a symptom is seen under a cause that the list does not
/// hold; outcomes of a test are all alike there.
pub(super) const UNLISTED_SEEN: f64 = 0.25;
/// A cause this likely is taken as found. **Assumed**.
pub const FOUND_AT: f64 = 0.9;
/// Up to this share of the unlisted cause what is known explains what was
/// seen. **Assumed**.
const EXPLAINED_UP_TO: f64 = 0.5;

/// Something known about the case.
#[derive(Clone, Debug, PartialEq)]
pub enum Known {
    /// A symptom that is seen or not seen.
    Symptom {
        /// Its id.
        id: String,
        /// Whether it is seen.
        seen: bool,
    },
    /// A test that came out as one of its outcomes.
    Outcome {
        /// Its id.
        test: String,
        /// Place of the outcome in its list.
        outcome: usize,
    },
    /// A reading that says with what probability each outcome of a test holds;
    /// those of a symptom are that it is seen and that it is not.
    Reading {
        /// Id of the test or symptom that it answers.
        of: String,
        /// Probability of the reading under each outcome, up to a factor.
        weights: Vec<f64>,
        /// What was read against what, in a sentence.
        said: Text,
    },
}

impl Known {
    /// Id of the symptom or test that it is about.
    pub fn about(&self) -> &str {
        match self {
            Self::Symptom { id, .. } => id,
            Self::Outcome { test, .. } => test,
            Self::Reading { of, .. } => of,
        }
    }
}

/// Something said of a case that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum BadCase {
    /// No symptom or test has this id.
    #[error("{said:?} is neither a symptom nor a test of this list")]
    Unknown {
        /// What was said.
        said: String,
    },
    /// The test has no such outcome.
    #[error("{of:?} has {there} outcomes, numbered from 1")]
    NoSuchOutcome {
        /// The test or symptom.
        of: String,
        /// How many it has.
        there: usize,
    },
    /// Two answers to one question.
    #[error("{0:?} is answered twice, and differently: keep one of the two")]
    Contradicts(String),
}

/// How much one thing known speaks for or against a cause.
#[derive(Clone, Debug, PartialEq)]
pub struct Speaks {
    /// What is known.
    pub known: Known,
    /// Binary logarithm of its probability under the cause over that under all
    /// causes together; above 0 speaks for it.
    pub bits: f64,
}

/// A cause with its probability.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranked<'a> {
    /// The cause; `None`: one that the list does not hold.
    pub cause: Option<&'a Cause>,
    /// Its probability, 0 to 1.
    pub probability: f64,
    /// What speaks for and against it, most telling first.
    pub why: Vec<Speaks>,
}

/// The causes by what is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranking<'a> {
    /// The most likely first.
    pub causes: Vec<Ranked<'a>>,
    /// Whether a cause of the list explains what was seen; where not, what was
    /// said does not go together, or the cause is one that the list does not
    /// hold.
    pub explained: bool,
    /// What the record of the unit excludes, with the trait that it would need;
    /// it does not count.
    pub excluded: Vec<(Known, Trait)>,
    /// The cause that would come first, did the record of the unit not exclude
    /// it.
    pub ruled_out: Option<&'a Cause>,
    /// What is seen of the unit that cannot be so at one time.
    pub clashes: Vec<Known>,
}

impl<'a> Ranking<'a> {
    /// The cause that is taken as found.
    pub fn found(&self) -> Option<&'a Cause> {
        let first = self.causes.first()?;
        first.cause.filter(|_| FOUND_AT <= first.probability)
    }
}

/// Causes with their probabilities, in the order of the list, the unlisted one
/// last.
#[derive(Clone)]
pub(super) struct Belief<'a> {
    pub(super) knowledge: &'a Knowledge,
    /// Probability of each; adds up to 1.
    pub(super) of: Vec<f64>,
}

/// Probability of something known under a cause of the list.
fn likelihood(knowledge: &Knowledge, known: &Known, cause: &Cause) -> f64 {
    match known {
        Known::Symptom { id, seen } => {
            let p = knowledge
                .symptom(id)
                .map_or(0.5, |s| s.probability(&cause.id));
            if *seen { p } else { 1.0 - p }
        }
        Known::Outcome { test, outcome } => knowledge
            .test(test)
            .and_then(|t| t.probabilities(&cause.id).get(*outcome).copied())
            .unwrap_or(1.0),
        Known::Reading { of, weights, .. } => {
            let mixed = |ps: &[f64]| ps.iter().zip(weights).map(|(p, w)| p * w).sum();
            if let Some(t) = knowledge.test(of) {
                mixed(t.probabilities(&cause.id))
            } else if let Some(s) = knowledge.symptom(of) {
                let p = s.probability(&cause.id);
                mixed(&[p, 1.0 - p])
            } else {
                1.0
            }
        }
    }
}

/// The same under a cause that the list does not hold: nothing is usual there.
fn unlisted(knowledge: &Knowledge, known: &Known) -> f64 {
    match known {
        Known::Symptom { seen: true, .. } => UNLISTED_SEEN,
        Known::Symptom { seen: false, .. } => 1.0 - UNLISTED_SEEN,
        Known::Outcome { test, .. } => {
            let count = knowledge.test(test).map_or(1, |t| t.outcomes.len());
            1.0 / count.max(1) as f64
        }
        Known::Reading { of, weights, .. } => match (knowledge.symptom(of), &weights[..]) {
            (Some(_), [seen, not]) => UNLISTED_SEEN * seen + (1.0 - UNLISTED_SEEN) * not,
            _ => weights.iter().sum::<f64>() / weights.len().max(1) as f64,
        },
    }
}

fn likelihoods(knowledge: &Knowledge, known: &Known) -> Vec<f64> {
    let listed = knowledge
        .causes
        .iter()
        .map(|c| likelihood(knowledge, known, c));
    listed
        .chain(std::iter::once(unlisted(knowledge, known)))
        .collect()
}

impl<'a> Belief<'a> {
    /// Before anything is known. Causes that need a trait which `traits` does
    /// not hold are left out; without traits all are possible.
    pub(super) fn prior(knowledge: &'a Knowledge, traits: Option<&[Trait]>) -> Self {
        let possible = |c: &Cause| match (c.only, traits) {
            (Some(only), Some(traits)) => traits.contains(&only),
            _ => true,
        };
        let weights: Vec<f64> = knowledge
            .causes
            .iter()
            .map(|c| if possible(c) { c.weight } else { 0.0 })
            .collect();
        let sum: f64 = weights.iter().sum();
        let unlisted = UNLISTED_SHARE * sum.max(1.0);
        let all = weights.into_iter().chain(std::iter::once(unlisted));
        Self {
            knowledge,
            of: normalised(all.collect()),
        }
    }

    pub(super) fn learn(&mut self, known: &Known) {
        self.weigh(&likelihoods(self.knowledge, known));
    }

    fn weigh(&mut self, likelihoods: &[f64]) {
        let product = self.of.iter().zip(likelihoods).map(|(p, l)| p * l);
        self.of = normalised(product.collect());
    }
}

/// Adds up to 1; all alike where nothing is left.
fn normalised(mut ps: Vec<f64>) -> Vec<f64> {
    let sum: f64 = ps.iter().sum();
    if sum.is_finite() && 0.0 < sum {
        ps.iter_mut().for_each(|p| *p /= sum);
    } else {
        let alike = 1.0 / ps.len().max(1) as f64;
        ps.fill(alike);
    }
    ps
}

/// Holds what was said against the list, and drops what was said twice.
fn checked(knowledge: &Knowledge, said: &[Known]) -> Result<Vec<Known>, BadCase> {
    let mut kept: Vec<Known> = Vec::new();
    for known in said {
        let unknown = || BadCase::Unknown {
            said: known.about().to_owned(),
        };
        let wrong = |there: usize| BadCase::NoSuchOutcome {
            of: known.about().to_owned(),
            there,
        };
        match known {
            Known::Symptom { id, .. } => {
                knowledge.symptom(id).ok_or_else(unknown)?;
            }
            Known::Outcome { test, outcome } => {
                let there = knowledge.test(test).ok_or_else(unknown)?.outcomes.len();
                if there <= *outcome {
                    return Err(wrong(there));
                }
            }
            Known::Reading { of, weights, .. } => {
                let there = match knowledge.test(of) {
                    Some(test) => test.outcomes.len(),
                    None => knowledge.symptom(of).map(|_| 2).ok_or_else(unknown)?,
                };
                if there != weights.len() {
                    return Err(wrong(there));
                }
            }
        }
        match kept.iter().find(|k| k.about() == known.about()) {
            None => kept.push(known.clone()),
            Some(same) if same == known => {}
            Some(_) => return Err(BadCase::Contradicts(known.about().to_owned())),
        }
    }
    Ok(kept)
}

/// Ranks the causes by what is known, in any order. One cause is thought to be
/// at work; what is known is thought independent under it, but for what follows
/// from what is seen of the unit: that says nothing anew and does not count.
///
/// ```text
/// P(cause | known) ∝ weight(cause) · Π P(known_i | cause)
/// ```
///
/// - `traits`: of the unit, where its model is known
///
/// # Errors
/// A symptom, test or outcome that is not there; two answers to one question.
pub fn rank<'a>(
    knowledge: &'a Knowledge,
    traits: Option<&[Trait]>,
    said: &[Known],
) -> Result<Ranking<'a>, BadCase> {
    let (all, excluded) = by_record(knowledge, traits, checked(knowledge, said)?);
    let implied = Implied::by(knowledge, &all);
    let known: Vec<&Known> = all.iter().filter(|k| implied.counts(k)).collect();
    let prior = Belief::prior(knowledge, traits);
    let speaks: Vec<(&Known, Vec<f64>, f64)> = known
        .iter()
        .map(|k| {
            let ls = likelihoods(knowledge, k);
            let of_all = ls.iter().zip(&prior.of).map(|(l, p)| l * p).sum();
            (*k, ls, of_all)
        })
        .collect();
    let mut belief = prior.clone();
    for (_, ls, _) in &speaks {
        belief.weigh(ls);
    }
    let mut causes: Vec<Ranked> = belief
        .of
        .iter()
        .enumerate()
        .filter(|(i, _)| 0.0 < prior.of[*i])
        .map(|(i, probability)| {
            let mut why: Vec<Speaks> = speaks
                .iter()
                .map(|(k, ls, of_all)| Speaks {
                    known: (*k).clone(),
                    bits: (ls[i] / of_all).log2(),
                })
                .collect();
            why.sort_by(|a, b| b.bits.abs().total_cmp(&a.bits.abs()));
            Ranked {
                cause: knowledge.causes.get(i),
                probability: *probability,
                why,
            }
        })
        .collect();
    // Equal ones stay in the order of the list.
    causes.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    let unlisted = belief.of.last().copied().unwrap_or(0.0);
    let mut of_any_unit = Belief::prior(knowledge, None);
    speaks.iter().for_each(|(_, ls, _)| of_any_unit.weigh(ls));
    let likeliest =
        (0..of_any_unit.of.len()).max_by(|a, b| of_any_unit.of[*a].total_cmp(&of_any_unit.of[*b]));
    let ruled_out = likeliest
        .filter(|i| prior.of[*i] <= 0.0)
        .and_then(|i| knowledge.causes.get(i));
    let tells_state = |k: &&Known| {
        matches!(k, Known::Symptom { id, seen: true }
            if knowledge.symptom(id).is_some_and(|s| s.states().is_some()))
    };
    let clashes = match implied.clashes() {
        true => all.iter().filter(tells_state).cloned().collect(),
        false => Vec::new(),
    };
    Ok(Ranking {
        causes,
        explained: unlisted <= EXPLAINED_UP_TO,
        excluded,
        ruled_out,
        clashes,
    })
}
