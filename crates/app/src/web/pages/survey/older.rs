//! The older copies that are kept of a file: what each differs in from the
//! text of now, and the way back to it.

use std::sync::Arc;
use std::time::SystemTime;

use axum::extract::{Path, State};
use axum::response::Redirect;
use axum::{Extension, Form};
use maud::{Markup, html};
use serde::Deserialize;

use super::file::{FileAt, SurveyFile};
use crate::web::app::App;
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::store::OlderCopy;
use crate::web::view::diff;
use crate::web::view::layout::{Page, page};
use crate::web::work::busy;

/// The copy that shall be the file again.
#[derive(Deserialize)]
pub(super) struct Sent {
    number: u32,
    base: String,
}

pub(super) async fn show(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path(at): Path<FileAt>,
) -> Result<Markup, Refused> {
    busy(move || {
        let file = at.file(&app)?;
        let copies = file.older();
        let title = format!("Older copies of {}", at.name());
        let body = html! {
            h1 { (title) }
            p { "The last ten texts that a save replaced, the newest first. Putting one back is a save like any other: what stands now becomes the newest copy." }
            @if copies.is_empty() { p { "None yet: this file was not saved over." } }
            @for copy in &copies { (one(&at, &file, copy)) }
            p { a href=(at.href("text")) { "The file as text" } }
        };
        Ok(page(
            &Page {
                title,
                place: at.place(),
                session: &visitor.session,
                scripts: &[],
            },
            &body,
        ))
    })
    .await
}

fn one(at: &FileAt, file: &SurveyFile, copy: &OlderCopy) -> Markup {
    let (then, now) = (&copy.version.text, &file.version.text);
    let (put_in, taken_out) = diff::counts(then, now);
    html! {
        section.copy aria-label={ "Copy " (copy.number) } {
            h2 { "Copy " (copy.number) }
            p {
                @if let Some(words) = copy.replaced.and_then(ago) { "Replaced " (words) ". " }
                @if (put_in, taken_out) == (0, 0) { "The same as the file of now." }
                @else { "Since then: " (put_in) " lines put in, " (taken_out) " taken out." }
            }
            @if 0 < put_in + taken_out {
                details { summary { "What differs: the copy −, the file of now +" } (diff::lines(then, now)) }
                form method="post" action=(at.href("older")) {
                    input type="hidden" name="base" value=(file.version.hash);
                    button name="number" value=(copy.number) { "Put this copy back" }
                }
            }
        }
    }
}

/// How long ago, in the largest whole unit; nothing where the clock was set
/// back since.
fn ago(then: SystemTime) -> Option<String> {
    let s = SystemTime::now().duration_since(then).ok()?.as_secs();
    let (n, unit) = match s {
        0..60 => return Some("less than a minute ago".into()),
        60..3600 => (s / 60, "minute"),
        3600..86_400 => (s / 3600, "hour"),
        _ => (s / 86_400, "day"),
    };
    Some(format!("{n} {unit}{} ago", if n == 1 { "" } else { "s" }))
}

pub(super) async fn restore(
    State(app): State<Arc<App>>,
    Path(at): Path<FileAt>,
    Form(sent): Form<Sent>,
) -> Result<Redirect, Refused> {
    busy(move || {
        let file = at.file(&app)?;
        let copy = file.older().into_iter().find(|c| c.number == sent.number);
        let copy = copy
            .ok_or_else(|| Refused::NotFound(format!("Copy {} of {}", sent.number, at.name())))?;
        file.save(&copy.version.text, &sent.base)?;
        Ok(Redirect::to(&at.href("older")))
    })
    .await
}
