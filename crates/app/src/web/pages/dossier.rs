//! The dossier: choose what goes in, start the full run, watch it, stop it,
//! take what it made.

use std::path::PathBuf;
use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Extension, Form, Json, Router};
use maud::{Markup, html};
use quantity::UnitSystem;
use serde::{Deserialize, Serialize};
use sheet::dossier::Workings;

use super::super::app::App;
use super::super::refused::Refused;
use super::super::runs::{Run, Runs, State as At, Task};
use super::super::server::Visitor;
use super::super::view::layout::{Page, Place, encoded, page, sheet_href};
use super::super::work::{busy, read_project};
use crate::commands::design::Wanted;

pub(super) fn routes() -> Router<Arc<App>> {
    let at = |more: &str| format!("/jobs/{{job}}/rooms/{{room}}/dossier{more}");
    Router::new()
        .route(&at(""), get(show).post(start))
        .route(&at("/stop"), post(stop))
        .route(&at("/progress"), get(progress))
        .route(&at("/files/{file}"), get(file))
}

/// Endings of the files that a run makes, with their kinds.
const KINDS: [(&str, &str, &str); 5] = [
    (".pdf", "application/pdf", "Paper"),
    (".svg", "image/svg+xml", "Drawings (SVG)"),
    (".dxf", "image/vnd.dxf", "Plans at 1:1 (DXF)"),
    (".csv", "text/csv; charset=utf-8", "Parts list (CSV)"),
    (".json", "application/json", "Numbers (JSON)"),
];

/// What the form asks for.
#[derive(Deserialize)]
struct Choice {
    paper: Option<String>,
    workings: Option<String>,
}

async fn show(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
) -> Result<Markup, Refused> {
    let run = app.runs.of(&job, &room);
    let at = sheet_href(&job, &room, "dossier");
    let made = made(&app, &job, &room)?;
    let state = run.as_ref().map(|r| r.state());
    let open = state.as_ref().is_some_and(At::is_open);
    let us = visitor.session.units_or(UnitSystem::Metric) == UnitSystem::Us;
    let body = html! {
        h1 { "Dossier" }
        p {
            "The full run draws every uncertain input many times, proves the day with the chosen units, "
            "and makes the dossier, the drawings, the parts list and the numbers. "
            "It goes on when this page is closed; stopping the program ends it."
        }
        @if let (Some(run), Some(state)) = (&run, &state) { (panel(&at, run, state)) }
        @if !open {
            form.order method="post" action=(at) {
                fieldset {
                    legend { "Paper" }
                    @for (word, name) in [("a4", "A4"), ("letter", "Letter")] {
                        label.pick {
                            input type="radio" name="paper" value=(word) checked[us == (word == "letter")];
                            " " (name)
                        }
                    }
                }
                fieldset {
                    legend { "Workings" }
                    label.pick { input type="radio" name="workings" value="in" checked; " in an appendix" }
                    label.pick { input type="radio" name="workings" value="out"; " left out; they stay in the numbers" }
                }
                button.main { "Make the dossier" }
            }
        }
        @if !made.is_empty() {
            h2 { "Made" }
            @for (ending, _, name) in KINDS {
                @let of_kind: Vec<&String> = made.iter().filter(|f| f.ends_with(ending)).collect();
                @if !of_kind.is_empty() {
                    h3 { (name) }
                    ul.entries {
                        @for f in of_kind { li { a href={ (at) "/files/" (encoded(f)) } download { (f) } } }
                    }
                }
            }
            p.remark { "Paper is stale when its design number differs from that of the sheets here; what was read off a first look is provisional, the full run may choose other units." }
        }
    };
    Ok(page(
        &Page {
            title: "Dossier".into(),
            place: Place::Room {
                job: &job,
                room: &room,
                sheet: "dossier",
                stamp: "",
            },
            session: &visitor.session,
            scripts: &["dossier.js"],
        },
        &body,
    ))
}

/// Where the run is, and the way to stop it.
fn panel(at: &str, run: &Run, state: &At) -> Markup {
    html! {
        section.run data-progress={ (at) "/progress" } data-open=(state.is_open()) aria-label="The full run" {
            p.state role="status" { (words(state, run)) }
            @if let At::At { done, of, .. } = state {
                progress max=(of) value=(done) aria-label="How far this step is" {}
            }
            @if state.is_open() {
                noscript { p { a.button href=(at) { "Look again" } } }
                form method="post" action={ (at) "/stop" } { button.grave { "Stop this run" } }
            }
        }
    }
}

fn words(state: &At, run: &Run) -> String {
    match state {
        At::Waiting => "Waiting for another run to end.".into(),
        At::At { doing, done, of } if 1 < *of => {
            format!("At {doing}: {done} of {of}, for {} s.", run.for_s())
        }
        At::At { doing, .. } => format!("At {doing}, for {} s.", run.for_s()),
        At::Done { design_id, files } => format!(
            "Done: {} files of design {}.",
            files.len(),
            design_id.chars().take(8).collect::<String>()
        ),
        At::Stopped => "Stopped; files made earlier are as they were.".into(),
        At::Failed(why) => format!("Not finished: {why}"),
    }
}

/// Where a run is, for the script.
#[derive(Serialize)]
struct Progressed {
    number: u64,
    open: bool,
    words: String,
    done: usize,
    of: usize,
}

async fn progress(
    State(app): State<Arc<App>>,
    Path((job, room)): Path<(String, String)>,
) -> Result<Response, Refused> {
    let run = app
        .runs
        .of(&job, &room)
        .ok_or_else(|| Refused::NotFound("A run of this room".into()))?;
    let state = run.state();
    let (done, of) = match &state {
        At::At { done, of, .. } => (*done, *of),
        _ => (0, 0),
    };
    Ok(Json(Progressed {
        number: run.number,
        open: state.is_open(),
        words: words(&state, &run),
        done,
        of,
    })
    .into_response())
}

async fn start(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    Form(choice): Form<Choice>,
) -> Result<Redirect, Refused> {
    let folder = app.jobs.job(&job)?;
    let file = folder.room_file(&room)?;
    let project = busy(move || read_project(&file)).await?;
    let units = visitor.session.units_or(project.room.site.display.value);
    let wanted = Wanted {
        units,
        paper: match choice.paper.as_deref() {
            Some("letter") => sheet::Paper::Letter,
            _ => sheet::Paper::A4,
        },
        workings: match choice.workings.as_deref() {
            Some("out") => Workings::LeftOut,
            _ => Workings::Appended,
        },
    };
    let back = sheet_href(&job, &room, "dossier");
    let out = folder.path().join("out").join(&room);
    Runs::start(
        &app,
        Task {
            project,
            job,
            room,
            out,
            wanted,
        },
    )?;
    Ok(Redirect::to(&back))
}

async fn stop(State(app): State<Arc<App>>, Path((job, room)): Path<(String, String)>) -> Redirect {
    if let Some(run) = app.runs.of(&job, &room) {
        run.stop();
    }
    Redirect::to(&sheet_href(&job, &room, "dossier"))
}

/// Folder of what was made of a room; the room is looked up first.
fn out_folder(app: &App, job: &str, room: &str) -> Result<PathBuf, Refused> {
    let folder = app.jobs.job(job)?;
    folder.room_file(room)?;
    Ok(folder.path().join("out").join(room))
}

/// Names of the files made, in order; links are left out.
fn made(app: &App, job: &str, room: &str) -> Result<Vec<String>, Refused> {
    let Ok(entries) = std::fs::read_dir(out_folder(app, job, room)?) else {
        return Ok(Vec::new());
    };
    let mut names: Vec<String> = entries
        .filter_map(Result::ok)
        .filter(|e| e.file_type().is_ok_and(|t| t.is_file()))
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .filter(|n| KINDS.iter().any(|(ending, ..)| n.ends_with(ending)))
        .collect();
    names.sort();
    Ok(names)
}

async fn file(
    State(app): State<Arc<App>>,
    Path((job, room, name)): Path<(String, String, String)>,
) -> Result<Response, Refused> {
    if !made(&app, &job, &room)?.contains(&name) {
        return Err(Refused::NotFound(format!("The file \"{name}\"")));
    }
    let path = out_folder(&app, &job, &room)?.join(&name);
    let bytes = busy(move || std::fs::read(&path).map_err(|e| Refused::Disk(e.into()))).await?;
    let kind = KINDS
        .iter()
        .find(|(ending, ..)| name.ends_with(ending))
        .map_or("application/octet-stream", |(_, kind, _)| kind);
    let stem: String = format!("{room}-{name}")
        .chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() || "-_.".contains(c) {
                c
            } else {
                '-'
            }
        })
        .collect();
    let mut response = bytes.into_response();
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
    if let Ok(value) = HeaderValue::from_str(&format!("attachment; filename=\"{stem}\"")) {
        headers.insert(header::CONTENT_DISPOSITION, value);
    }
    // A drawing that is opened as a document runs nothing.
    headers.insert(
        header::CONTENT_SECURITY_POLICY,
        HeaderValue::from_static("sandbox; default-src 'none'; style-src 'unsafe-inline'"),
    );
    Ok(response)
}
