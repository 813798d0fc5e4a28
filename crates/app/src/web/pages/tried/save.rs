//! A trial saved to the room file.

use std::sync::Arc;

use axum::Form;
use axum::extract::{Path, State};
use axum::response::Redirect;

use super::super::survey::SurveyFile;
use super::{Asked, Trial};
use crate::web::app::App;
use crate::web::refused::Refused;
use crate::web::view::layout::{SHEETS, sheet_href};
use crate::web::work::busy;

/// Saves over the version that the trial was drawn from, or not at all.
pub(super) async fn save(
    State(app): State<Arc<App>>,
    Path((job, room)): Path<(String, String)>,
    Form(sent): Form<Asked>,
) -> Result<Redirect, Refused> {
    busy(move || {
        let file = SurveyFile::room(&app, &job, &room)?;
        let sections = file.written(&file.version.text).map_err(Refused::Job)?;
        let of = |key: &str| sent.get(key).map_or("", String::as_str);
        let trial = Trial::of(&sent).differing(&sections);
        let text = trial.text(&file, &sections).map_err(|wrong| {
            let all: Vec<String> = wrong.by_input.into_values().chain(wrong.others).collect();
            Refused::BadRequest(all.join("\n"))
        })?;
        file.save(&text, of("base"))?;
        let sheet = SHEETS.iter().find(|(word, _)| *word == of("back"));
        let sheet = sheet.map_or("survey", |(word, _)| word);
        Ok(Redirect::to(&sheet_href(&job, &room, sheet)))
    })
    .await
}
