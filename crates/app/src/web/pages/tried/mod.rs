//! Trials: a room text with edits that are not saved. A trial is carried in
//! the address (`try.…=`); its figures stand beside the saved ones, and it is
//! saved when asked.

mod beside;
mod edits;
mod form;
mod save;

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Router;
use axum::routing::post;

use super::survey::SurveyFile;
use crate::project::Texts;
use crate::web::answers::Answer;
use crate::web::app::App;
use crate::web::refused::Refused;
use crate::web::view::form::Filled;
use crate::web::work::texts;

pub(super) use beside::{SAVED, TRIED, differing, panel, sides, tables};
pub(super) use edits::Trial;
pub(super) use form::form;

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new().route("/jobs/{job}/rooms/{room}/try", post(save::save))
}

/// What a visitor asks for by the address.
pub(super) type Asked = BTreeMap<String, String>;

/// A room as it is saved, and as it is tried.
pub(super) struct Trying {
    /// The room's file.
    pub(super) file: SurveyFile,
    /// What differs from the file.
    pub(super) trial: Trial,
    /// Whether the address held more than what differs.
    pub(super) is_wordy: bool,
    /// What the form shows.
    pub(super) filled: Filled,
    /// What the steps say of the file.
    pub(super) saved: Arc<Answer>,
    /// What they say of the trial; none where nothing is tried or what is
    /// tried cannot be read.
    pub(super) tried: Option<Arc<Answer>>,
}

impl Trying {
    /// Computes both. Runs on a thread that may be kept busy.
    pub(super) fn new(app: &App, job: &str, room: &str, asked: &Asked) -> Result<Self, Refused> {
        let path = app.jobs.job(job)?.room_file(room)?;
        let saved = app.answers.best(texts(&path)?)?;
        let file = SurveyFile::room(app, job, room)?;
        let sections = file.written(&file.version.text).map_err(Refused::Job)?;
        let asked = Trial::of(asked);
        let trial = asked.differing(&sections);
        let mut filled = trial.filled(&sections);
        let mut tried = None;
        if !trial.is_empty() {
            match trial.text(&file, &sections) {
                Ok(text) => match app
                    .answers
                    .best(Texts::in_folder(&path, text).map_err(Refused::Disk)?)
                {
                    Ok(answer) => tried = Some(answer),
                    Err(Refused::Problems(all)) => {
                        filled.others = all.iter().map(ToString::to_string).collect();
                    }
                    Err(Refused::Job(words)) => filled.others = vec![words],
                    Err(other) => return Err(other),
                },
                Err(wrong) => {
                    filled.errors = wrong.by_input;
                    filled.others = wrong.others;
                }
            }
        }
        Ok(Self {
            is_wordy: asked != trial,
            file,
            trial,
            filled,
            saved,
            tried,
        })
    }

    /// What was changed: label, what the file says, what is tried.
    fn said(&self) -> Vec<(&'static str, String, String)> {
        let sections = self.file.written(&self.file.version.text);
        self.trial.said(&sections.unwrap_or_default())
    }

    /// What the sheet shows: the trial where there is one.
    pub(super) fn shown(&self) -> &Arc<Answer> {
        self.tried.as_ref().unwrap_or(&self.saved)
    }
}
