//! The folder of jobs, and one job with its rooms.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::routing::get;
use axum::{Extension, Router};
use maud::{Markup, html};

use super::super::app::App;
use super::super::refused::Refused;
use super::super::server::Visitor;
use super::super::view::layout::{Page, Place, job_href, page, sheet_href};

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new()
        .route("/", get(all))
        .route("/jobs/{job}", get(one))
}

async fn all(State(app): State<Arc<App>>, Extension(visitor): Extension<Visitor>) -> Markup {
    let jobs = app.jobs.list();
    let body = html! {
        h1 { "Jobs" }
        @if jobs.is_empty() { p { "No job in this folder yet." } }
        ul.entries {
            @for job in &jobs {
                li {
                    a href=(job_href(job.name.as_str())) { (job.name.as_str()) }
                    " " span.remark { (count(job.rooms().len())) }
                }
            }
        }
    };
    page(
        &Page {
            title: "Jobs".into(),
            place: Place::Folder,
            session: &visitor.session,
            scripts: &[],
        },
        &body,
    )
}

async fn one(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path(name): Path<String>,
) -> Result<Markup, Refused> {
    let job = app.jobs.job(&name)?;
    let body = html! {
        h1 { (job.name.as_str()) }
        ul.entries {
            @for room in job.rooms() {
                li { a href=(sheet_href(&name, room.as_str(), "survey")) { (room.as_str()) } }
            }
        }
    };
    Ok(page(
        &Page {
            title: job.name.to_string(),
            place: Place::Job { job: &name },
            session: &visitor.session,
            scripts: &[],
        },
        &body,
    ))
}

fn count(rooms: usize) -> String {
    match rooms {
        1 => "1 room".into(),
        n => format!("{n} rooms"),
    }
}
