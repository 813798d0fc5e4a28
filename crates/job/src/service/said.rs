//! What is known, and what follows from it, in words.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};

use super::knowledge::Knowledge;
use super::rank::{Known, Ranking, Speaks};
use crate::finding::Said;

/// All figures of the list.
const SOURCE: Source =
    Source::common_practice("list of causes with orders of magnitude, one cause at a time");
/// Speaks so strongly for or against a cause that it is worth saying \[bit\].
const TELLING_BITS: f64 = 0.5;

impl Known {
    /// It in words.
    pub fn words(&self, knowledge: &Knowledge) -> Text {
        match self {
            Self::Symptom { id, seen } => {
                let what = knowledge.symptom(id).map_or(id.as_str(), |s| &s.words);
                if *seen {
                    what.to_owned().into()
                } else {
                    format!("not seen: {what}").into()
                }
            }
            Self::Outcome { test, outcome } => match knowledge.test(test) {
                Some(t) => {
                    let said = t.outcomes.get(*outcome).map_or("", String::as_str);
                    format!("{} {said}", t.ask).into()
                }
                None => test.clone().into(),
            },
            Self::Reading { said, .. } => said.clone(),
        }
    }
}

/// What speaks for a cause, and what against it, most telling first.
pub fn for_and_against(why: &[Speaks], knowledge: &Knowledge) -> [Vec<Text>; 2] {
    let of = |wanted: fn(f64) -> bool| {
        why.iter()
            .filter(|s| TELLING_BITS <= s.bits.abs() && wanted(s.bits))
            .map(|s| s.known.words(knowledge))
            .collect()
    };
    [of(|bits| 0.0 < bits), of(|bits| bits < 0.0)]
}

/// Judgements of a call: the cause where one is as good as found, or that what
/// was said does not go together.
pub fn findings(knowledge: &Knowledge, ranking: &Ranking<'_>, place: &Place) -> Vec<Finding> {
    let Some(first) = ranking.causes.first() else {
        return Vec::new();
    };
    let likely = Value::new(first.probability, Dim::Fraction).digits(2);
    if !ranking.explained {
        return vec![
            Said {
                check: "not_explained",
                severity: Severity::Fix,
                step: Step::Service,
                place: place.clone(),
                what: Text::from(
                    "no cause of the list explains what was seen together; that it is another one has a probability of ",
                )
                .value(likely),
                why: "an answer may be wrong, two causes may be at work at once, or it is one that the list does not hold",
                remedy: "ask again for what surprises most, or take the unit's own instructions and a licensed technician".into(),
                source: SOURCE,
            }
            .finding(),
        ];
    }
    let Some(cause) = ranking.found() else {
        return Vec::new();
    };
    let [speaks_for, _] = for_and_against(&first.why, knowledge);
    let what = Text::from(cause.name.clone())
        .words(", probability ")
        .value(likely);
    let what = match speaks_for.first() {
        Some(most) => what.words("; most telling: ").and(most),
        None => what,
    };
    vec![
        Said {
            check: "cause_found",
            severity: Severity::Fix,
            step: Step::Service,
            place: place.clone(),
            what,
            why: "what was seen and measured fits it far better than the others of the list",
            remedy: cause.remedy.clone().into(),
            source: SOURCE,
        }
        .finding(),
    ]
}
