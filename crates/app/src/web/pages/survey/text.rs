//! A file of the survey as its text, with the same errors by line.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use fields::Problem;
use maud::{Markup, html};
use serde::Deserialize;

use super::super::super::app::App;
use super::super::super::gate::Session;
use super::super::super::refused::Refused;
use super::super::super::server::Visitor;
use super::super::super::view::layout::{Page, Place, job_href, page, sheet_href};
use super::super::super::work::busy;
use super::file::SurveyFile;

/// What the editor sends.
#[derive(Deserialize)]
pub(super) struct Sent {
    text: String,
    base: String,
    /// Saved although it has problems.
    anyway: Option<String>,
}

pub(super) async fn room(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
) -> Result<Markup, Refused> {
    busy(move || {
        let file = SurveyFile::room(&app, &job, &room)?;
        let problems = file.problems(&file.version.text);
        Ok(editor(
            &visitor.session,
            (&job, Some(&room)),
            &file,
            &file.version.text,
            &file.version.hash,
            &problems,
        ))
    })
    .await
}

pub(super) async fn site(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path(job): Path<String>,
) -> Result<Markup, Refused> {
    busy(move || {
        let file = SurveyFile::site(&app, &job)?;
        let problems = file.problems(&file.version.text);
        Ok(editor(
            &visitor.session,
            (&job, None),
            &file,
            &file.version.text,
            &file.version.hash,
            &problems,
        ))
    })
    .await
}

pub(super) async fn save_room(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    Form(sent): Form<Sent>,
) -> Result<Response, Refused> {
    busy(move || {
        let file = SurveyFile::room(&app, &job, &room)?;
        save(&visitor.session, (&job, Some(&room)), &file, &sent)
    })
    .await
}

pub(super) async fn save_site(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path(job): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, Refused> {
    busy(move || {
        let file = SurveyFile::site(&app, &job)?;
        save(&visitor.session, (&job, None), &file, &sent)
    })
    .await
}

fn save(
    session: &Session,
    of: (&str, Option<&str>),
    file: &SurveyFile,
    sent: &Sent,
) -> Result<Response, Refused> {
    // A browser sends Windows line ends; the file keeps its own.
    let plain = sent.text.replace("\r\n", "\n");
    let text = if file.version.text.contains("\r\n") {
        plain.replace('\n', "\r\n")
    } else {
        plain
    };
    let problems = file.problems(&text);
    if !problems.is_empty() && sent.anyway.is_none() {
        return Ok((
            StatusCode::UNPROCESSABLE_ENTITY,
            editor(session, of, file, &text, &sent.base, &problems),
        )
            .into_response());
    }
    file.save(&text, &sent.base)?;
    Ok(Redirect::to(&href(of)).into_response())
}

fn href((job, room): (&str, Option<&str>)) -> String {
    room.map_or_else(
        || format!("{}/site/text", job_href(job)),
        |room| sheet_href(job, room, "text"),
    )
}

fn editor(
    session: &Session,
    of: (&str, Option<&str>),
    file: &SurveyFile,
    text: &str,
    base: &str,
    problems: &[Problem],
) -> Markup {
    let name = file.name();
    let lines = text.lines().count().clamp(12, 60);
    let body = html! {
        h1 { (name) }
        @if !problems.is_empty() {
            div.problem #problems tabindex="-1" {
                div role="alert" {
                    h2 { "There is a problem" }
                    ul {
                        @for p in problems {
                            li { a href="#text" data-line=(p.line) data-column=(p.column) { (p.to_string()) } }
                        }
                    }
                }
            }
        }
        form.editor method="post" action=(href(of)) data-draft {
            input type="hidden" name="base" value=(base);
            div.field {
                label for="text" { "Text of the file" }
                p.help { "A quantity is written with its unit, metric or US. Comments stay." }
                textarea #text name="text" rows=(lines) spellcheck="false" autocomplete="off"
                    autocapitalize="off" wrap="off" { (text) }
                p.help #caret aria-live="off" {}
            }
            button.main { "Save" }
            @if !problems.is_empty() {
                button name="anyway" value="yes" { "Save it with its problems" }
            }
        }
    };
    let place = match of {
        (job, Some(room)) => Place::Room {
            job,
            room,
            sheet: "survey",
            stamp: "",
        },
        (job, None) => Place::Job { job },
    };
    page(
        &Page {
            title: if problems.is_empty() {
                name
            } else {
                format!("Error: {name}")
            },
            place,
            session,
            scripts: &["survey.js"],
        },
        &body,
    )
}
