//! Places written into the room file: units that stand in it get their place,
//! those that were only chosen are written in with their model.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use fields::edit::{Change, Written};
use job::PlacedUnit;

use super::super::survey::SurveyFile;
use super::places::{Spot, spots};
use super::{Asked, page_of};
use crate::web::app::App;
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::view::layout::sheet_href;
use crate::web::work::{answer_for, busy};

/// Section of a unit in a room file.
const UNIT: &str = "unit";

/// Saves over the version that the form was drawn from, or not at all. A form
/// with a field that cannot be read comes back as it was.
pub(super) async fn save(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    Form(sent): Form<Asked>,
) -> Result<Response, Refused> {
    let answer = answer_for(&app, &job, &room).await?;
    busy(move || {
        let placed = &answer.design.placement.units;
        let wanted = spots(placed, &sent, answer.units(&visitor.session));
        if wanted.iter().any(Spot::is_wrong) {
            let page = page_of(&app, &answer, &visitor, (&job, &room), &sent)?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
        let file = SurveyFile::room(&app, &job, &room)?;
        let sections = file.written(&file.version.text).map_err(Refused::Job)?;
        let text = file
            .changed(&changes(&sections, placed, &wanted))
            .map_err(Refused::BadRequest)?;
        let problems = file.new_problems(&text);
        if !problems.is_empty() {
            let all: Vec<String> = problems.iter().map(ToString::to_string).collect();
            return Err(Refused::BadRequest(all.join("\n")));
        }
        file.save(&text, sent.get("base").map_or("", String::as_str))?;
        Ok(Redirect::to(&sheet_href(&job, &room, "plan")).into_response())
    })
    .await
}

/// What to write: a place that was surveyed and not moved stays as it is
/// written.
fn changes(sections: &[Written], placed: &[PlacedUnit], wanted: &[Spot]) -> Vec<Change> {
    let there: Vec<&Written> = sections.iter().filter(|w| w.section == UNIT).collect();
    let mut next = there.len();
    let mut all = Vec::new();
    for spot in wanted {
        let stands = there.iter().find(|w| w.keys.get("tag") == Some(&spot.tag));
        let (nth, mut keys) = match stands {
            Some(written) => (written.nth, Vec::new()),
            None => {
                next += 1;
                let new = [("tag", spot.tag.clone()), ("model", spot.model.clone())];
                (next - 1, new.to_vec())
            }
        };
        let was = placed.iter().find(|u| u.tag == spot.tag).map(|u| u.frame);
        let is_written = |key: &str| stands.is_some_and(|w| w.keys.contains_key(key));
        if !is_written("at") || was.is_none_or(|w| w.at_m != spot.frame.at_m) {
            keys.push(("at", spot.typed.join(", ")));
        }
        if !is_written("facing") || was.is_none_or(|w| w.facing != spot.frame.facing) {
            keys.push(("facing", spot.frame.facing.word().to_owned()));
        }
        all.extend(keys.into_iter().map(|(key, typed)| Change::Set {
            section: UNIT.to_owned(),
            nth,
            key: key.to_owned(),
            typed,
        }));
    }
    all
}
