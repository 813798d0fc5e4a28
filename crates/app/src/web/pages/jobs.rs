//! The folder of jobs, and one job with its rooms: made, copied, renamed,
//! archived, downloaded and opened.

use std::sync::Arc;

use axum::extract::{DefaultBodyLimit, Path, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Extension, Form, Router};
use maud::{Markup, html};
use serde::Deserialize;

use crate::commands::demo;
use crate::web::app::App;
use crate::web::gate::Session;
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::store::{JobFolder, Name};
use crate::web::upload::{MOST, Upload};
use crate::web::view::layout::{Page, Place, encoded, job_href, page, sheet_href};
use crate::web::view::tally::Tally;
use crate::web::work::{busy, texts};

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new()
        .route("/", get(all))
        .route("/jobs", post(create))
        .route("/jobs/open", post(open).layer(DefaultBodyLimit::max(MOST)))
        .route("/jobs/bring-back", post(bring_back))
        .route("/jobs/{job}", get(one).post(change))
        .route("/jobs/{job}/zip", get(zip))
        .route("/jobs/{job}/rooms", post(change_rooms))
}

/// A room that has its first eight fields still before it.
const BLANK_ROOM: &str = "# Surveyed by …, on …\n[room]\nname = \"New room\"\n";

/// The invented rooms of the demonstration as starting points: word, what it
/// is.
const BEGINNINGS: [(&str, &str); 2] = [
    ("blank", "a blank survey with one room"),
    ("demo", "a copy of the demonstration (invented)"),
];

/// What is wrong with a form of this page, and what was typed.
#[derive(Default)]
struct Wrong {
    words: String,
    name: String,
}

async fn all(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
) -> Result<Markup, Refused> {
    busy(move || Ok(list(&app, &visitor.session, None))).await
}

/// Findings of a room, where they need not be computed.
fn known(app: &App, job: &JobFolder, room: &Name) -> Option<Tally> {
    let file = job
        .clone()
        .whole()
        .and_then(|j| j.room_file(room.as_str()))
        .ok()?;
    let answer = app.answers.known(&texts(&file).ok()?)?;
    Some(Tally::of(&answer.design))
}

fn list(app: &App, session: &Session, wrong: Option<&Wrong>) -> Markup {
    let jobs = app.jobs.list();
    let archived = app.jobs.archived();
    let typed = wrong.map_or("", |w| w.name.as_str());
    let body = html! {
        h1 { "Jobs" }
        (problem(wrong))
        @if jobs.is_empty() { p { "No job in this folder yet. Make one below, or open one that was handed to you." } }
        ul.entries {
            @for job in &jobs {
                li {
                    a href=(job_href(job.name.as_str())) { (job.name.as_str()) }
                    @let rooms = job.rooms();
                    @let tallies: Vec<Tally> = rooms.iter().filter_map(|r| known(app, job, r)).collect();
                    " " span.remark { (count(rooms.len())) }
                    @if !tallies.is_empty() {
                        " " (tallies.iter().fold(Tally::default(), |all, t| all.and(*t)).line())
                        @if tallies.len() < rooms.len() {
                            " " span.remark { "in " (tallies.len()) " of them, the others were not looked at yet" }
                        }
                    }
                }
            }
        }
        @if !app.jobs.is_one() {
            h2 { "New job" }
            form method="post" action="/jobs" {
                div.field {
                    label for="name" { "Name" }
                    p.help #name-help { "It names the folder: letters, digits, spaces, - _ and ." }
                    input #name name="name" type="text" value=(typed) autocomplete="off" aria-describedby="name-help";
                }
                fieldset {
                    legend { "Begin with" }
                    @for (i, (word, what)) in BEGINNINGS.iter().enumerate() {
                        label.pick { input type="radio" name="with" value=(word) checked[i == 0]; " " (what) }
                    }
                }
                button { "Make the job" }
            }
            h2 { "Open a zip" }
            form method="post" action="/jobs/open" enctype="multipart/form-data" {
                div.field {
                    label for="zip-name" { "Name of the job" }
                    input #zip-name name="name" type="text" autocomplete="off";
                }
                div.field {
                    label for="zip" { "Zip file of a job" }
                    input #zip name="zip" type="file" accept=".zip,application/zip";
                }
                button { "Open it as a new job" }
            }
        }
        @if !archived.is_empty() {
            h2 { "Archive" }
            @for job in &archived {
                form.line method="post" action="/jobs/bring-back" {
                    span { (job.name.as_str()) }
                    button name="name" value=(job.name.as_str()) { "Bring back" }
                }
            }
        }
    };
    page(
        &Page {
            title: titled("Jobs", wrong),
            place: Place::Folder,
            session,
            scripts: &[],
        },
        &body,
    )
}

fn titled(title: &str, wrong: Option<&Wrong>) -> String {
    match wrong {
        Some(_) => format!("Error: {title}"),
        None => title.to_owned(),
    }
}

fn problem(wrong: Option<&Wrong>) -> Markup {
    html! {
        @if let Some(wrong) = wrong {
            div.problem tabindex="-1" {
                div role="alert" { h2 { "There is a problem" } p { a href="#name" { (wrong.words) } } }
            }
        }
    }
}

fn unprocessable(page: Markup) -> Response {
    (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
}

/// A form of the list of jobs.
#[derive(Deserialize)]
struct NewJob {
    name: String,
    with: Option<String>,
}

async fn create(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Form(new): Form<NewJob>,
) -> Result<Response, Refused> {
    busy(move || {
        let made = Name::new(&new.name)
            .map_err(Refused::BadRequest)
            .and_then(|name| {
                let blank = [("room 1.room.toml", BLANK_ROOM)];
                let with = match new.with.as_deref() {
                    Some("demo") => demo::FILES,
                    _ => &blank,
                };
                app.jobs.create(&name, with).map(|()| name)
            });
        told(made, &new.name, |wrong| {
            list(&app, &visitor.session, Some(wrong))
        })
    })
    .await
}

/// Leads to the job, or shows the form again with what is wrong.
fn told(
    made: Result<Name, Refused>,
    typed: &str,
    again: impl Fn(&Wrong) -> Markup,
) -> Result<Response, Refused> {
    match made {
        Ok(name) => Ok(Redirect::to(&job_href(name.as_str())).into_response()),
        Err(Refused::BadRequest(words)) => Ok(unprocessable(again(&Wrong {
            words,
            name: typed.to_owned(),
        }))),
        Err(other) => Err(other),
    }
}

async fn open(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Upload(mut form): Upload,
) -> Result<Response, Refused> {
    let (mut name, mut bytes) = (String::new(), Vec::new());
    let broken = Refused::upload;
    while let Some(field) = form.next_field().await.map_err(broken)? {
        match field.name() {
            Some("name") => name = field.text().await.map_err(broken)?,
            Some("zip") => bytes = field.bytes().await.map_err(broken)?.to_vec(),
            _ => {}
        }
    }
    busy(move || {
        let made = Name::new(&name)
            .map_err(Refused::BadRequest)
            .and_then(|n| app.jobs.open_zip(&n, bytes).map(|()| n));
        told(made, &name, |wrong| {
            list(&app, &visitor.session, Some(wrong))
        })
    })
    .await
}

#[derive(Deserialize)]
struct Named {
    name: String,
}

async fn bring_back(
    State(app): State<Arc<App>>,
    Form(named): Form<Named>,
) -> Result<Redirect, Refused> {
    app.jobs.bring_back(&named.name)?;
    Ok(Redirect::to("/"))
}

async fn one(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path(name): Path<String>,
) -> Result<Markup, Refused> {
    busy(move || of_job(&app, &visitor.session, &name, None)).await
}

fn of_job(
    app: &App,
    session: &Session,
    name: &str,
    wrong: Option<&Wrong>,
) -> Result<Markup, Refused> {
    let job = app.jobs.job(name)?;
    let rooms = job.rooms();
    let at = job_href(name);
    let typed = wrong.map_or("", |w| w.name.as_str());
    let body = html! {
        h1 { (job.name.as_str()) }
        (problem(wrong))
        h2 { "Rooms" }
        @if rooms.is_empty() { p { "No room yet." } }
        ul.entries {
            @for room in &rooms {
                li {
                    a href=(sheet_href(name, room.as_str(), "survey")) { (room.as_str()) }
                    " "
                    @match known(app, &job, room) {
                        Some(tally) => { a.plain href=(sheet_href(name, room.as_str(), "findings")) { (tally.line()) } }
                        None => { span.remark { "not looked at yet" } }
                    }
                }
            }
        }
        ul.entries {
            li { a href={ (at) "/site" } { "Site: what the rooms share" } }
            li { a href={ (at) "/machines" } { "Machines" } }
        }
        h2 { "New room" }
        form method="post" action={ (at) "/rooms" } {
            div.field {
                label for="name" { "Name" }
                input #name name="name" type="text" value=(typed) autocomplete="off";
            }
            div.field {
                label for="like" { "Begin with" }
                select #like name="like" {
                    option value="" { "a blank survey" }
                    @for room in &rooms { option value=(room.as_str()) { "a copy of " (room.as_str()) } }
                }
            }
            button name="act" value="new" { "Make the room" }
        }
        @if !rooms.is_empty() {
            details {
                summary { "Take a room out" }
                form method="post" action={ (at) "/rooms" } {
                    p { "Its file stays among the older copies of the job; it can be brought back here." }
                    div.field {
                        label for="out" { "Room" }
                        select #out name="name" {
                            @for room in &rooms { option value=(room.as_str()) { (room.as_str()) } }
                        }
                    }
                    button.grave name="act" value="out" { "Take it out" }
                }
            }
        }
        @let retired = job.retired_rooms();
        @if !retired.is_empty() {
            h2 { "Rooms that were taken out" }
            @for room in &retired {
                form.line method="post" action={ (at) "/rooms" } {
                    span { (room.as_str()) }
                    input type="hidden" name="name" value=(room.as_str());
                    button name="act" value="back" { "Bring back" }
                }
            }
        }
        h2 { "The job" }
        p { a.button href={ (at) "/zip" } download { "Download as one zip" } }
        @if !app.jobs.is_one() {
            form method="post" action=(at) {
                div.field {
                    label for="new-name" { "Another name" }
                    input #new-name name="name" type="text" autocomplete="off";
                }
                div.acts {
                    button name="act" value="copy" { "Copy under this name" }
                    button name="act" value="rename" { "Rename" }
                }
            }
            form method="post" action=(at) {
                input type="hidden" name="name" value="";
                button.grave name="act" value="archive" { "Put into the archive" }
            }
        }
    };
    Ok(page(
        &Page {
            title: titled(name, wrong),
            place: Place::Job { job: name },
            session,
            scripts: &[],
        },
        &body,
    ))
}

/// A form of one job.
#[derive(Deserialize)]
struct Act {
    act: String,
    name: String,
    like: Option<String>,
}

async fn change(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path(job): Path<String>,
    Form(act): Form<Act>,
) -> Result<Response, Refused> {
    visitor.session.only_here()?;
    busy(move || {
        let folder = app.jobs.job(&job)?;
        if act.act == "archive" {
            app.jobs.archive(&folder)?;
            return Ok(Redirect::to("/").into_response());
        }
        let made = Name::new(&act.name)
            .map_err(Refused::BadRequest)
            .and_then(|name| {
                match act.act.as_str() {
                    "copy" => app.jobs.copy(&folder, &name),
                    "rename" => app.jobs.rename(&folder, &name),
                    other => Err(Refused::BadRequest(format!("\"{other}\" is no act"))),
                }
                .map(|()| name)
            });
        told(made, &act.name, |wrong| {
            of_job(&app, &visitor.session, &job, Some(wrong)).unwrap_or_else(|_| html! {})
        })
    })
    .await
}

async fn change_rooms(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path(job): Path<String>,
    Form(act): Form<Act>,
) -> Result<Response, Refused> {
    busy(move || {
        let folder = app.jobs.job(&job)?;
        if act.act == "out" {
            visitor.session.only_here()?;
            folder.retire_room(&act.name)?;
            return Ok(Redirect::to(&job_href(&job)).into_response());
        }
        if act.act == "back" {
            let room = folder.bring_back_room(&act.name)?;
            let there = sheet_href(&job, room.as_str(), "survey");
            return Ok(Redirect::to(&there).into_response());
        }
        let made = Name::new(&act.name)
            .map_err(Refused::BadRequest)
            .and_then(|name| {
                let text = match act.like.as_deref().filter(|l| !l.is_empty()) {
                    Some(like) => folder.read(&folder.room_file(like)?)?.text,
                    None => BLANK_ROOM.to_owned(),
                };
                folder.create_room(&name, &text).map(|()| name)
            });
        match made {
            Ok(name) => {
                Ok(Redirect::to(&sheet_href(&job, name.as_str(), "survey")).into_response())
            }
            Err(Refused::BadRequest(words)) => {
                let wrong = Wrong {
                    words,
                    name: act.name.clone(),
                };
                Ok(unprocessable(of_job(
                    &app,
                    &visitor.session,
                    &job,
                    Some(&wrong),
                )?))
            }
            Err(other) => Err(other),
        }
    })
    .await
}

async fn zip(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path(job): Path<String>,
) -> Result<Response, Refused> {
    visitor.session.only_here()?;
    let folder = app.jobs.job(&job)?;
    let bytes = busy(move || folder.zipped()).await?;
    let mut response = bytes.into_response();
    let headers = response.headers_mut();
    headers.insert(
        header::CONTENT_TYPE,
        HeaderValue::from_static("application/zip"),
    );
    if let Ok(value) = HeaderValue::from_str(&format!(
        "attachment; filename*=UTF-8''{}.zip",
        encoded(&job)
    )) {
        headers.insert(header::CONTENT_DISPOSITION, value);
    }
    Ok(response)
}

fn count(rooms: usize) -> String {
    match rooms {
        1 => "1 room".into(),
        n => format!("{n} rooms"),
    }
}
