//! A file of the survey as its text, with the same errors by line.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use fields::Problem;
use maud::{Markup, html};
use serde::Deserialize;

use super::file::{FileAt, SurveyFile};
use crate::web::app::App;
use crate::web::gate::Session;
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::store::Version;
use crate::web::view::layout::{Page, page};
use crate::web::work::busy;

/// What the editor sends.
#[derive(Deserialize)]
pub(super) struct Sent {
    text: String,
    base: String,
    /// Saved although it has problems.
    anyway: Option<String>,
}

pub(super) async fn show(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path(at): Path<FileAt>,
) -> Result<Markup, Refused> {
    busy(move || {
        let file = at.file(&app)?;
        let Version { text, hash } = &file.version;
        let problems = file.problems(text);
        Ok(editor(&visitor.session, &at, (text, hash), &problems))
    })
    .await
}

pub(super) async fn save(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path(at): Path<FileAt>,
    Form(sent): Form<Sent>,
) -> Result<Response, Refused> {
    busy(move || saved(&visitor.session, &at, &at.file(&app)?, &sent)).await
}

fn saved(
    session: &Session,
    at: &FileAt,
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
            editor(session, at, (&text, &sent.base), &problems),
        )
            .into_response());
    }
    file.save(&text, &sent.base)?;
    Ok(Redirect::to(&at.href("text")).into_response())
}

/// `base` is the version that the text was made from.
fn editor(
    session: &Session,
    at: &FileAt,
    (text, base): (&str, &str),
    problems: &[Problem],
) -> Markup {
    let name = at.name();
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
        form.editor method="post" action=(at.href("text")) data-draft {
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
        p { a href=(at.href("older")) { "Older copies of this file" } }
    };
    page(
        &Page {
            title: if problems.is_empty() {
                name
            } else {
                format!("Error: {name}")
            },
            place: at.place(),
            session,
            scripts: &["survey.js"],
        },
        &body,
    )
}
