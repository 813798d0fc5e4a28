//! What is known, and what follows from it, in words.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};

use super::knowledge::{Knowledge, Trait};
use super::rank::{Known, Ranking, Speaks};
use crate::finding::Said;

/// All figures of the list.
const SOURCE: Source =
    Source::common_practice("list of causes with orders of magnitude, one cause at a time");
/// Speaks so strongly for or against a cause that it is worth saying \[bit\].
const TELLING_BITS: f64 = 0.5;
/// So much of what speaks against the nearest cause is named.
const MOST_AGAINST: usize = 3;

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
    let mut all: Vec<Finding> = ranking
        .excluded
        .iter()
        .map(|(known, lacks)| excluded(knowledge, known, *lacks, place))
        .collect();
    if !ranking.explained {
        all.push(
            Said {
                check: "not_explained",
                severity: Severity::Fix,
                step: Step::Service,
                place: place.clone(),
                what: not_explained(knowledge, ranking),
                why: "an answer may be wrong, two causes may be at work at once, or it is one that the list does not hold",
                remedy: "ask again for what surprises most, or take the unit's own instructions and a licensed technician".into(),
                source: SOURCE,
            }
            .finding(),
        );
        return all;
    }
    let Some(cause) = ranking.found() else {
        return all;
    };
    let [speaks_for, _] = for_and_against(&first.why, knowledge);
    let what = Text::from(cause.name.clone())
        .words(", probability ")
        .value(likely);
    let what = match speaks_for.first() {
        Some(most) => what.words("; most telling: ").and(most),
        None => what,
    };
    all.push(
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
    );
    all
}

/// What the record of the unit excludes.
fn excluded(knowledge: &Knowledge, known: &Known, lacks: Trait, place: &Place) -> Finding {
    Said {
        check: "excluded_by_record",
        severity: Severity::Fix,
        step: Step::Service,
        place: place.clone(),
        what: known
            .words(knowledge)
            .words("; the record of the unit excludes that, and it does not count"),
        why: lacks.lacking(),
        remedy: "hold the plate of the unit against its record, then read again at the right place and with the sign that the instrument shows".into(),
        source: SOURCE,
    }
    .finding()
}

/// How likely it is that no cause of the list is at work, and which of what is
/// known makes it so.
fn not_explained(knowledge: &Knowledge, ranking: &Ranking<'_>) -> Text {
    let unlisted = ranking.causes.iter().find(|r| r.cause.is_none());
    let probability = unlisted.map_or(0.0, |r| r.probability);
    let mut what = Text::from(
        "no cause of the list explains what was seen together; that it is another one has a probability of ",
    )
    .value(Value::new(probability, Dim::Fraction).digits(2));
    let listed = |texts: &[Text]| {
        let numbered = texts.iter().enumerate();
        numbered.fold(Text::new(), |text, (i, t)| {
            if i == 0 {
                t.clone()
            } else {
                text.words("; ").and(t)
            }
        })
    };
    if !ranking.clashes.is_empty() {
        let words: Vec<Text> = ranking.clashes.iter().map(|k| k.words(knowledge)).collect();
        what = what
            .words(". These cannot be so at one time: ")
            .and(&listed(&words));
    }
    if let Some(cause) = ranking.ruled_out
        && let Some(lacks) = cause.only
    {
        what = what
            .words(". It would speak for this: ")
            .words(cause.name.clone())
            .words("; but ")
            .words(lacks.lacking());
    }
    let nearest = ranking.causes.iter().find(|r| r.cause.is_some());
    if let Some((nearest, cause)) = nearest.and_then(|r| Some((r, r.cause?))) {
        let [_, mut against] = for_and_against(&nearest.why, knowledge);
        against.truncate(MOST_AGAINST);
        if !against.is_empty() {
            what = what
                .words(". The nearest is: ")
                .words(cause.name.clone())
                .words("; against it speaks: ")
                .and(&listed(&against));
        }
    }
    what
}
