//! A start-up as JSON.

use quantity::UnitSystem;
use schemars::JsonSchema;
use serde::Serialize;

use super::{FindingResult, findings};

/// Where a start-up stands.
#[derive(Serialize, JsonSchema)]
pub(crate) struct StartResult {
    schema: &'static str,
    room: String,
    design_id: String,
    /// "files" or "record": where the room is from; from the record where its
    /// files cannot be read.
    room_from: &'static str,
    /// Why the files could not be read.
    files_unread: Option<String>,
    /// "not started", "same" or "other": whether the record was begun against
    /// the files as they are.
    basis: &'static str,
    record_is_whole: bool,
    chain_hash: String,
    steps: Vec<StartStepResult>,
    /// Units that are left out as a whole.
    units_left_out: Vec<UnitLeftOutResult>,
    findings: Vec<FindingResult>,
}

/// A unit that is left out as a whole.
#[derive(Serialize, JsonSchema)]
struct UnitLeftOutResult {
    unit: String,
    reason: String,
    by: String,
    at_utc_ms: i64,
    /// The events that say so.
    events: Vec<String>,
}

/// A step as it stands. Readings are in SI, °C for temperatures.
#[derive(Serialize, JsonSchema)]
struct StartStepResult {
    id: String,
    unit: Option<String>,
    title: String,
    /// "closed", "open", "waiting", "done", "not proven", "failed", "left out".
    standing: &'static str,
    waits_for: Vec<String>,
    left_s: Option<f64>,
    reason: Option<String>,
    /// How it is done, where the title does not say it all.
    how: Option<String>,
    /// What speaks against doing it now.
    caution: Option<String>,
    /// What it asks for.
    entries: Vec<EntryResult>,
    readings: Vec<ReadingResult>,
    said: Option<String>,
    event: Option<String>,
    by: Option<String>,
    at_utc_ms: Option<i64>,
}

/// What a step asks for.
#[derive(Serialize, JsonSchema)]
struct EntryResult {
    id: String,
    title: String,
    /// Words to choose from; none where a number is asked for.
    words: Vec<String>,
    /// Unit of a number that is entered without one; none where no number is
    /// asked for, empty where it has none.
    unit: Option<&'static str>,
    /// Least and greatest likely number, with their units.
    likely: Option<[String; 2]>,
    must_be: bool,
    /// How often it is read at least.
    times: usize,
}

impl EntryResult {
    fn new(entry: &job::startup::Entry, units: UnitSystem) -> Self {
        use job::startup::{Asks, Must, Often, YES};
        Self {
            id: entry.id.clone(),
            title: entry.title.show(UnitSystem::Metric),
            words: match &entry.asks {
                Asks::Quantity(_) => Vec::new(),
                Asks::YesNo(_) => vec![YES.into(), "no".into()],
                Asks::Choice(words) => words.iter().map(|w| (*w).to_owned()).collect(),
            },
            unit: entry.quantity().map(|q| q.unit(units)),
            likely: entry.quantity().map(|q| {
                q.plausible
                    .map(|si| quantity::Value::new(si, q.dim).show_on_site(q.plausible[1], units))
            }),
            must_be: entry.must == Must::Be,
            times: match entry.often {
                Often::Once => 1,
                Often::Series(least) => least,
            },
        }
    }
}

/// A reading in the SI unit of its kind.
#[derive(Serialize, JsonSchema)]
struct ReadingResult {
    entry: String,
    si: f64,
    typed: Option<String>,
}

impl StartResult {
    pub(crate) fn new(
        start: &crate::startup::Start,
        stands: &crate::startup::Stands,
        units: UnitSystem,
        files_unread: Option<&str>,
    ) -> Self {
        use job::startup::{BasisIs, Standing};
        let state = &stands.state;
        Self {
            schema: "drywright/start/1",
            room: start.project.room.name.value.clone(),
            design_id: start.plan.design_id.clone(),
            room_from: if files_unread.is_some() {
                "record"
            } else {
                "files"
            },
            files_unread: files_unread.map(str::to_owned),
            basis: match state.basis {
                BasisIs::NotStarted => "not started",
                BasisIs::Same => "same",
                BasisIs::Other => "other",
            },
            record_is_whole: stands.read.is_whole(),
            chain_hash: stands.read.report.chain_hash().to_string(),
            steps: start
                .plan
                .steps
                .iter()
                .zip(&state.steps)
                .map(|(step, at)| StartStepResult {
                    id: step.id.clone(),
                    unit: step.unit.clone(),
                    title: step.title.show(UnitSystem::Metric),
                    standing: at.standing.word(),
                    waits_for: match &at.standing {
                        Standing::Closed { waits_for } => waits_for.clone(),
                        _ => Vec::new(),
                    },
                    left_s: match &at.standing {
                        Standing::Waiting { left_ms, .. } => Some(*left_ms as f64 / 1_000.0),
                        _ => None,
                    },
                    reason: match &at.standing {
                        Standing::Skipped { reason, .. } => Some(reason.clone()),
                        _ => None,
                    },
                    how: (!step.how.is_empty()).then(|| step.how.show(UnitSystem::Metric)),
                    caution: at.caution.as_ref().map(|c| c.show(UnitSystem::Metric)),
                    entries: step
                        .entries
                        .iter()
                        .map(|e| EntryResult::new(e, units))
                        .collect(),
                    readings: at
                        .readings
                        .iter()
                        .map(|(_, r)| ReadingResult {
                            entry: r.entry.clone(),
                            si: r.value.si,
                            typed: r.typed.clone(),
                        })
                        .collect(),
                    said: at
                        .judgement
                        .as_ref()
                        .map(|j| j.said.show(UnitSystem::Metric)),
                    event: at.event.map(|h| h.to_string()),
                    by: at.by.clone(),
                    at_utc_ms: at.at.as_ref().map(|m| m.utc_ms),
                })
                .collect(),
            units_left_out: state
                .units_left_out
                .iter()
                .map(|u| UnitLeftOutResult {
                    unit: u.unit.clone(),
                    reason: u.reason.clone(),
                    by: u.by.clone(),
                    at_utc_ms: u.at.utc_ms,
                    events: u.events.iter().map(ToString::to_string).collect(),
                })
                .collect(),
            findings: findings(&state.findings),
        }
    }
}
