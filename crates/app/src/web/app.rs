//! What all handlers share.

use super::answers::Answers;
use super::drawn::Drawn;
use super::gate::{Gate, Names};
use super::pages::{Dossier, LogsShown, Proved, Starts};
use super::runs::Runs;
use super::server::Sharing;
use super::store::Jobs;

/// What all handlers share.
pub(super) struct App {
    /// The folder of jobs.
    pub(super) jobs: Jobs,
    /// Who is let in.
    pub(super) gate: Gate,
    /// Whether the app is offered on the local network.
    pub(super) sharing: Sharing,
    /// What was computed, by what it was computed from.
    pub(super) answers: Answers,
    /// What was drawn of it.
    pub(super) drawn: Drawn,
    /// Full runs of the design.
    pub(super) dossiers: Runs<Dossier>,
    /// Rooms judged by their logs.
    pub(super) proofs: Runs<Proved>,
    /// Steps of start-ups, by what they were made from.
    pub(super) starts: Starts,
    /// What logs show of faults, by what it was made from.
    pub(super) logs_shown: LogsShown,
}

impl App {
    pub(super) fn new(jobs: Jobs, names: Names, sharing: Sharing) -> Self {
        let gate = Gate::open(jobs.root(), names);
        Self {
            jobs,
            gate,
            sharing,
            answers: Answers::default(),
            drawn: Drawn::default(),
            dossiers: Runs::keeping(64),
            // A log of two years takes a hundred megabytes.
            proofs: Runs::keeping(4),
            starts: Starts::default(),
            logs_shown: LogsShown::default(),
        }
    }
}
