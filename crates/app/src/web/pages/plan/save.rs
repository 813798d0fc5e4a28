//! Places that were tried, written into the room file.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use fields::edit::{Change, Written};

use super::super::super::app::App;
use super::super::super::refused::Refused;
use super::super::super::server::Visitor;
use super::super::super::view::layout::sheet_href;
use super::super::super::work::{answer_for, busy};
use super::super::survey::SurveyFile;
use super::places::{Spot, spots};
use super::{Asked, page_of};

/// Saves the places over the version that they were tried on; units that the
/// file does not name yet are put into it.
pub(super) async fn save(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    Form(sent): Form<Asked>,
) -> Result<Response, Refused> {
    let answer = answer_for(&app, &job, &room).await?;
    busy(move || {
        let units = answer.units(&visitor.session);
        let spots = spots(&answer.design.placement.units, &sent, units);
        if spots.iter().any(|s| s.errors.iter().any(Option::is_some)) {
            let page = page_of(&answer, &visitor, (&job, &room), &sent)?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
        let file = SurveyFile::room(&app, &job, &room)?;
        let sections = file.written(&file.version.text).map_err(Refused::Job)?;
        let text = file
            .changed(&changes(&sections, &spots))
            .map_err(Refused::BadRequest)?;
        file.save(&text, sent.get("base").map_or("", String::as_str))?;
        Ok(Redirect::to(&sheet_href(&job, &room, "plan")).into_response())
    })
    .await
}

/// What is written: place and direction of each unit.
fn changes(sections: &[Written], spots: &[Spot]) -> Vec<Change> {
    let there: Vec<&Written> = sections.iter().filter(|w| w.section == "unit").collect();
    let mut new = there.len()..;
    let mut all = Vec::new();
    for spot in spots {
        let known = there
            .iter()
            .find(|w| w.keys.get("tag").is_some_and(|tag| tag.trim() == spot.tag));
        let nth = known.map(|w| w.nth).or_else(|| new.next()).unwrap_or(0);
        let mut set = |key: &str, typed: &str| {
            all.push(Change::Set {
                section: "unit".into(),
                nth,
                key: key.into(),
                typed: typed.into(),
            });
        };
        if known.is_none() {
            set("tag", &spot.tag);
            set("model", &spot.model);
        }
        set("at", &spot.typed.join(", "));
        set("facing", spot.frame.facing.word());
    }
    all
}
