//! What the program judges.

use std::borrow::Cow;

use serde::Serialize;

use crate::{Place, Source, Text, Value};

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// Worth knowing.
    Note,
    /// Put right before hand-over.
    Fix,
    /// Do not go on.
    Stop,
}

/// The step of the job that a finding belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Step {
    /// Reading the survey.
    Survey,
    /// Water and heat.
    Load,
    /// Which units, how many.
    Selection,
    /// Where they go.
    Placement,
    /// The simulated day.
    Day,
    /// Hanging.
    Hanging,
    /// Drain.
    Drain,
    /// Power.
    Power,
    /// Control.
    Control,
    /// Start-up.
    Startup,
    /// Proof from logs.
    Proof,
    /// Service.
    Service,
}

/// A judgement: what is so, why it matters, what to do about it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// Name of the check that found it, after the fault ("night_too_wet").
    pub check: Cow<'static, str>,
    /// How much it matters.
    pub severity: Severity,
    /// Step of the job.
    pub step: Step,
    /// What it is about.
    pub place: Place,
    /// What is so, with the numbers.
    pub what: Text,
    /// The number that was compared, if one was.
    pub measured: Option<Value>,
    /// The limit that it was compared with, if there is one.
    pub limit: Option<Value>,
    /// Why it matters.
    pub why: Text,
    /// What to do about it.
    pub remedy: Text,
    /// What the limit or rule rests on.
    pub source: Source,
}

impl Finding {
    /// Findings that say the same of several places, as one that names them
    /// all; each where its first stood.
    pub fn together<'a>(findings: impl IntoIterator<Item = &'a Self>) -> Vec<Self> {
        let mut all: Vec<(Self, Vec<Place>)> = Vec::new();
        for finding in findings {
            let place = finding.place.clone();
            let alike = all.iter_mut().find(|(first, _)| {
                *first
                    == Self {
                        place: first.place.clone(),
                        ..finding.clone()
                    }
            });
            match alike {
                Some((_, places)) if places.contains(&place) => {}
                Some((_, places)) => places.push(place),
                None => all.push((finding.clone(), vec![place])),
            }
        }
        all.into_iter()
            .map(|(finding, places)| Self {
                place: joined(&places),
                ..finding
            })
            .collect()
    }
}

/// "unit D1", "unit D2" as "unit D1, D2"; others with commas.
fn joined(places: &[Place]) -> Place {
    let first = places.first().map_or("", |p| p.0.as_ref());
    let head = first.rfind(' ').map_or("", |i| &first[..=i]);
    let shared = places.iter().all(|p| {
        p.0.strip_prefix(head)
            .is_some_and(|tail| !tail.is_empty() && !tail.contains(' '))
    });
    let rest = places.iter().skip(1).map(|p| {
        if shared {
            p.0.strip_prefix(head).unwrap_or(&p.0)
        } else {
            &p.0
        }
    });
    let all: Vec<&str> = std::iter::once(first).chain(rest).collect();
    Place::new(all.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn finding(place: &'static str, what: &'static str) -> Finding {
        Finding {
            check: "a".into(),
            severity: Severity::Fix,
            step: Step::Drain,
            place: Place::new(place),
            what: what.into(),
            measured: None,
            limit: None,
            why: "b".into(),
            remedy: "c".into(),
            source: Source::assumed("d"),
        }
    }

    #[test]
    fn what_is_said_of_several_places_is_said_once() {
        let all = [
            finding("unit D1", "wet"),
            finding("panel LP", "full"),
            finding("unit D2", "wet"),
            finding("unit D2", "wet"),
            finding("unit D3", "dry"),
            finding("roof beam", "wet"),
        ];
        let together = Finding::together(&all);
        let places: Vec<&str> = together.iter().map(|f| f.place.0.as_ref()).collect();
        assert_eq!(
            places,
            ["unit D1, unit D2, roof beam", "panel LP", "unit D3"]
        );
        let units = Finding::together(&all[..4]);
        assert_eq!(units[0].place.0, "unit D1, D2");
    }
}
