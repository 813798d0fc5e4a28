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
