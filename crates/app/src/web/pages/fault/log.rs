//! Logs of the room on the page of a call: which count, a new one put in.

use std::sync::Arc;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Path, State};
use axum::response::Redirect;
use axum::routing::post;
use maud::{Markup, html};

use super::super::logs::{Open, SentLog, file_field, sent};
use super::{Asked, carried};
use crate::web::app::App;
use crate::web::refused::Refused;
use crate::web::store::JobFolder;
use crate::web::upload::{MOST, Upload};
use crate::web::view::layout::{encoded, sheet_href};
use crate::web::work::busy;

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new()
        .route("/fault/log", post(add_log_of_room).layer(limit()))
        .route(
            "/jobs/{job}/rooms/{room}/fault/log",
            post(add_log).layer(limit()),
        )
}

fn limit() -> DefaultBodyLimit {
    DefaultBodyLimit::max(MOST)
}

pub(super) fn logs_of(asked: &Asked) -> Vec<&str> {
    let yes = asked.iter().filter(|(_, v)| v.as_str() == "yes");
    yes.filter_map(|(k, _)| k.strip_prefix("log.")).collect()
}

pub(super) fn open(asked: &Asked) -> Open {
    let mut open = Open::default();
    for (key, said) in asked {
        open.set(key, said.clone());
    }
    open
}

/// Logs that are kept beside the rooms, to choose which count.
pub(super) fn kept_logs(folder: &JobFolder, asked: &Asked) -> Markup {
    let logs = folder.logs();
    let chosen = logs_of(asked);
    html! {
        @if !logs.is_empty() {
            details open[!chosen.is_empty()] {
                summary { "Logs of the room" }
                p { "What a log shows of the fault counts beside what is told; each line of it is shown below." }
                @for log in &logs {
                    label.pick {
                        input type="checkbox" name={ "log." (log.as_str()) } value="yes" checked[chosen.contains(&log.as_str())];
                        " " (log.as_str())
                    }
                }
                (open(asked).fields())
            }
        }
    }
}

/// A log is judged by its room: on the page without a room, it is chosen.
pub(super) fn log_of_room(app: &App, asked: &Asked) -> Markup {
    let rooms: Vec<String> = app
        .jobs
        .list()
        .iter()
        .flat_map(|job| {
            let of = job.rooms();
            of.iter()
                .map(|r| format!("{}/{r}", job.name))
                .collect::<Vec<_>>()
        })
        .collect();
    html! {
        @if rooms.is_empty() {
            p { "A log is judged by its room: make or open its job first." }
        } @else {
            form method="post" action="/fault/log" enctype="multipart/form-data" {
                (carried(asked))
                div.field {
                    label for="room" { "Room that the log is of" }
                    select #room name="room" {
                        @for room in &rooms { option value=(room) { (room) } }
                    }
                }
                (file_field())
                button { "Put it in, and let it count" }
            }
        }
    }
}

async fn add_log(
    State(app): State<Arc<App>>,
    Path((job, room)): Path<(String, String)>,
    Upload(form): Upload,
) -> Result<Redirect, Refused> {
    let log = sent(form).await?;
    keep(app, &job, &room, log).await
}

async fn add_log_of_room(
    State(app): State<Arc<App>>,
    Upload(form): Upload,
) -> Result<Redirect, Refused> {
    let log = sent(form).await?;
    let named = log.with.get("room").cloned().unwrap_or_default();
    let Some((job, room)) = named.split_once('/') else {
        return Err(Refused::BadRequest("Say which room the log is of.".into()));
    };
    keep(app, job, room, log).await
}

/// Keeps a log beside its room, and goes on with the call by it.
async fn keep(app: Arc<App>, job: &str, room: &str, log: SentLog) -> Result<Redirect, Refused> {
    let folder = app.jobs.job(job)?;
    folder.room_file(room)?;
    // Only what tells of the call goes into the address.
    let told = |k: &str| {
        ["seen.", "test.", "read.", "log."]
            .iter()
            .any(|p| k.starts_with(p))
            || ["unit", "dates", "zone", "columns"].contains(&k)
    };
    let mut asked = log.with;
    asked.retain(|k, _| told(k));
    asked.insert(format!("log.{}", log.name), "yes".into());
    let query: Vec<String> = asked
        .iter()
        .map(|(k, v)| format!("{}={}", encoded(k), encoded(v)))
        .collect();
    let to = format!("{}?{}", sheet_href(job, room, "fault"), query.join("&"));
    busy(move || {
        folder.add_log(&log.name, &log.bytes)?;
        Ok(Redirect::to(&to))
    })
    .await
}

/// The form that puts in a log of this room.
pub(super) fn of_this_room(job: &str, room: &str, asked: &Asked) -> Markup {
    html! {
        form method="post" action={ (sheet_href(job, room, "fault")) "/log" } enctype="multipart/form-data" {
            (carried(asked))
            (file_field())
            button { "Put it in, and let it count" }
        }
    }
}
