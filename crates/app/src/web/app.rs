//! What all handlers share.

use super::answers::Answers;
use super::gate::Gate;
use super::runs::Runs;
use super::store::Jobs;

/// What all handlers share.
pub(super) struct App {
    /// The folder of jobs.
    pub(super) jobs: Jobs,
    /// Who is let in.
    pub(super) gate: Gate,
    /// What was computed, by what it was computed from.
    pub(super) answers: Answers,
    /// Full runs.
    pub(super) runs: Runs,
}

impl App {
    pub(super) fn new(jobs: Jobs, port: u16) -> Self {
        let gate = Gate::open(jobs.root(), port);
        Self {
            jobs,
            gate,
            answers: Answers::default(),
            runs: Runs::default(),
        }
    }
}
