//! Logs on the page of a call: which count, a new one put in, the way from a
//! call without a room to one with it.

use std::path::PathBuf;
use std::sync::Arc;

use axum::extract::{DefaultBodyLimit, Path, State};
use axum::response::Redirect;
use axum::routing::post;
use axum::{Form, Router};
use maud::{Markup, html};

use super::super::logs::{Open, SentLogs, file_field, sent};
use super::{Asked, carried};
use crate::web::app::App;
use crate::web::refused::Refused;
use crate::web::store::{Logs, Name};
use crate::web::upload::{MOST, Upload};
use crate::web::view::layout::{encoded, sheet_href};
use crate::web::work::busy;

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new()
        .route("/fault/log", post(add_log_of_call).layer(limit()))
        .route("/fault/room", post(to_room))
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

/// Logs that are kept, to choose which count; unfolded where what they leave
/// open is asked.
pub(super) fn kept_logs(logs: &Logs, asked: &Asked, is_refused: bool) -> Markup {
    let names = logs.names();
    let chosen = logs_of(asked);
    html! {
        @if !names.is_empty() {
            details open[!chosen.is_empty()] {
                summary { "Logs" }
                p { "What a log shows of the fault counts beside what is told; each line of it is shown below." }
                fieldset {
                    legend { "Logs that count" }
                    @for log in &names {
                        label.pick {
                            input type="checkbox" name={ "log." (log.as_str()) } value="yes" checked[chosen.contains(&log.as_str())];
                            " " (log.as_str())
                        }
                    }
                }
                (open(asked).fields(is_refused && !chosen.is_empty()))
            }
        }
    }
}

/// The files of the logs that count.
///
/// # Errors
/// One that is not kept.
pub(super) fn files(logs: &Logs, asked: &Asked) -> anyhow::Result<Vec<PathBuf>> {
    let names = logs_of(asked).into_iter();
    names
        .map(|n| {
            logs.file(n)
                .map_err(|_| anyhow::anyhow!("no log \"{n}\" is kept here"))
        })
        .collect()
}

/// What a call without a room offers: a log of its own, and the way to a room;
/// the unit goes along that is the only one of the log.
pub(super) fn without_room(app: &App, asked: &Asked, only: Option<&str>) -> Markup {
    let jobs = app.jobs.list();
    let rooms = jobs.iter().flat_map(|job| {
        let of = job.rooms().into_iter();
        of.map(|r| format!("{}/{r}", job.name)).collect::<Vec<_>>()
    });
    let rooms: Vec<String> = rooms.collect();
    html! {
        form method="post" action="/fault/log" enctype="multipart/form-data" {
            (carried(asked))
            p { "A log of air and of the unit's power or state tells much by itself; what needs the room is named in its place." }
            (file_field())
            button { "Put it in, and let it count" }
        }
        @if !rooms.is_empty() {
            h2 { "The room that it is about" }
            form method="post" action="/fault/room" {
                (carried(asked))
                @if let Some(unit) = only { input type="hidden" name="unit" value=(unit); }
                p { "With its room a log is held against the design, and the call can be written into the record of the job. What was told goes along." }
                div.field {
                    label for="room" { "Room" }
                    select #room name="room" {
                        @for room in &rooms { option value=(room) { (room) } }
                    }
                }
                button { "Go on with this room" }
            }
        }
    }
}

async fn add_log(
    State(app): State<Arc<App>>,
    Path((job, room)): Path<(String, String)>,
    Upload(form): Upload,
) -> Result<Redirect, Refused> {
    let sent = sent(form).await?;
    let folder = app.jobs.job(&job)?;
    folder.room_file(&room)?;
    let to = sheet_href(&job, &room, "fault");
    busy(move || put_in(&folder.logs(), sent, &to)).await
}

async fn add_log_of_call(
    State(app): State<Arc<App>>,
    Upload(form): Upload,
) -> Result<Redirect, Refused> {
    let sent = sent(form).await?;
    busy(move || put_in(&app.jobs.call_logs(), sent, "/fault")).await
}

/// Keeps logs, and goes on with the call by them.
fn put_in(folder: &Logs, sent: SentLogs, to: &str) -> Result<Redirect, Refused> {
    sent.keep(folder)?;
    let mut asked = sent.with;
    let names = sent.logs.iter().map(|(name, _)| name);
    asked.extend(names.map(|name| (format!("log.{name}"), "yes".into())));
    Ok(Redirect::to(&format!("{to}{}", query(&asked))))
}

/// What tells of the call, as the query of an address.
fn query(asked: &Asked) -> String {
    let open = Open::default();
    let told = |k: &str| {
        ["seen.", "test.", "read.", "meant.", "log."]
            .iter()
            .any(|p| k.starts_with(p))
            || ["unit", "model"].contains(&k)
            || open.pairs().iter().any(|(field, _)| *field == k)
    };
    let pairs: Vec<String> = asked
        .iter()
        .filter(|(k, v)| told(k) && !v.is_empty())
        .map(|(k, v)| format!("{}={}", encoded(k), encoded(v)))
        .collect();
    format!("?{}", pairs.join("&"))
}

/// Goes on with a call in a room; its logs go along, under other names where
/// theirs are taken.
async fn to_room(
    State(app): State<Arc<App>>,
    Form(asked): Form<Asked>,
) -> Result<Redirect, Refused> {
    let named = asked.get("room").cloned().unwrap_or_default();
    let Some((job, room)) = named.split_once('/') else {
        return Err(Refused::BadRequest("Say which room it is about.".into()));
    };
    let folder = app.jobs.job(job)?;
    folder.room_file(room)?;
    let to = sheet_href(job, room, "fault");
    busy(move || {
        let calls = app.jobs.call_logs();
        let mut there = asked.clone();
        there.retain(|key, _| !key.starts_with("log."));
        for name in logs_of(&asked) {
            let bytes = std::fs::read(calls.file(name)?).map_err(|e| Refused::Disk(e.into()))?;
            let name = Name::new(name).map_err(Refused::BadRequest)?;
            // The job may have another log of that name.
            let name = folder.logs().add_numbered(&name, &bytes)?;
            there.insert(format!("log.{name}"), "yes".into());
        }
        Ok(Redirect::to(&format!("{to}{}", query(&there))))
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
