//! Every finding of a room, worst first, each with a way to where it is
//! mended; and what was assumed.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::routing::get;
use axum::{Extension, Router};
use maud::{Markup, html};
use quantity::{Finding, Step};
use sheet::Block;
use sheet::report::Assumption;
use sheet::shown::worst_first;

use super::mend;
use super::survey::SurveyFile;
use crate::web::app::App;
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::view::blocks::{blocks, findings_with};
use crate::web::view::layout::{Page, Place, page, sheet_href};
use crate::web::view::tally::Tally;
use crate::web::work::answer_for;

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new().route("/jobs/{job}/rooms/{room}/findings", get(show))
}

/// Steps in the order of the job: name, sheet on which it is mended, and what
/// is done there.
const STEPS: &[(Step, &str, &str, &str)] = &[
    (Step::Survey, "Survey", "survey", "See the survey"),
    (Step::Load, "Load", "load", "See the load"),
    (Step::Selection, "Units", "units", "See the units"),
    (Step::Placement, "Plan", "plan", "Move it on the plan"),
    (Step::Day, "Day", "day", "See the day"),
    (Step::Hanging, "Hanging", "hanging", "See the hanging"),
    (Step::Drain, "Drain", "drain", "See the drain"),
    (Step::Power, "Power", "power", "See the circuits"),
    (Step::Control, "Control", "control", "See the control"),
];

async fn show(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
) -> Result<Markup, Refused> {
    let answer = answer_for(&app, &job, &room).await?;
    let file = SurveyFile::room(&app, &job, &room)?;
    let written = file.written(&file.version.text).unwrap_or_default();
    let units = answer.units(&visitor.session);
    let all: Vec<Finding> = answer.design.findings().into_iter().cloned().collect();
    let assumptions: Vec<Assumption> = answer
        .project
        .room
        .assumptions
        .iter()
        .map(|a| Assumption {
            what: a.key.clone().into(),
            keys: String::new(),
            taken: a.taken.clone(),
            source: a.source.clone(),
        })
        .collect();
    let body = html! {
        h1 { "Findings" }
        p.lead { (Tally::of(&answer.design).line()) }
        @for (step, name, sheet, words) in STEPS {
            @let here: Vec<Finding> = all.iter().filter(|f| f.step == *step).cloned().collect();
            @if !here.is_empty() {
                h2 { (name) }
                (findings_with(&worst_first(&here, units), |f| html! {
                    @if let Some(field) = mend::field((&job, &room), &f.check, &f.place, &written) {
                        p.mend { a href=(field.href) { "Mend it in the survey, " (field.words) } }
                    }
                }))
                p { a.button href=(sheet_href(&job, &room, sheet)) { (words) } }
            }
        }
        h2 { "Assumed" }
        p { "What nobody surveyed and that counts. Each is said in the survey instead." }
        (blocks(vec![Block::Assumptions(assumptions)], units))
    };
    Ok(page(
        &Page {
            title: "Findings".into(),
            place: Place::Room {
                job: &job,
                room: &room,
                sheet: "findings",
                stamp: &answer.stamp(),
            },
            session: &visitor.session,
            scripts: &[],
        },
        &body,
    ))
}
