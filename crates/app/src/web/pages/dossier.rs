//! The dossier: choose what goes in, start the full run, watch it, stop it,
//! take what it made.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Extension, Form, Router};
use job::{Effort, Progress as _};
use maud::{Markup, html};
use quantity::UnitSystem;
use serde::Deserialize;
use sheet::dossier::Workings;

use super::survey::SurveyFile;
use crate::commands::design::{Wanted, outputs};
use crate::files;
use crate::project::Project;
use crate::web::answers::Answer;
use crate::web::app::App;
use crate::web::refused::Refused;
use crate::web::runs::Run;
use crate::web::server::Visitor;
use crate::web::view::layout::{Page, Place, encoded, page, sheet_href};
use crate::web::view::run;
use crate::web::work::{busy, read_project};

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
    let run = app.dossiers.of(&job, &room);
    let at = sheet_href(&job, &room, "dossier");
    let made = made(&app, &job, &room)?;
    let open = run.as_ref().is_some_and(|r| r.state().is_open());
    let of_job = SurveyFile::room(&app, &job, &room)?.display();
    let us = visitor.session.units_or(of_job) == UnitSystem::Us;
    let body = html! {
        h1 { "Dossier" }
        p {
            "The full run draws every uncertain input many times, proves the day with the chosen units, "
            "and makes the dossier, the drawings, the parts list and the numbers. "
            "It goes on when this page is closed; stopping the program ends it."
        }
        @if let Some(run) = &run { (run::panel(&at, "The full run", run, Dossier::words)) }
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
            scripts: &["run.js"],
        },
        &body,
    ))
}

/// What a full run made.
pub(crate) struct Dossier {
    design_id: String,
    files: Vec<String>,
}

impl Dossier {
    fn words(&self) -> String {
        let id: String = self.design_id.chars().take(8).collect();
        format!("Done: {} files of design {id}.", self.files.len())
    }
}

async fn progress(
    State(app): State<Arc<App>>,
    Path((job, room)): Path<(String, String)>,
) -> Result<Response, Refused> {
    let run = app.dossiers.of(&job, &room);
    let run = run.ok_or_else(|| Refused::NotFound("A run of this room".into()))?;
    Ok(run::progress(&run, Dossier::words))
}

/// The full run; what it makes lies in the job folder's `out/`.
fn full_run(
    app: &App,
    project: Project,
    out: &std::path::Path,
    wanted: &Wanted,
    run: &Run<Dossier>,
) -> anyhow::Result<Dossier> {
    let inputs = project.inputs(&project.codes_in_play());
    let design = job::design(&project.room, &project.catalog, &inputs, Effort::Full, run)?;
    run.at("sheets", 0, 1)?;
    let answer = Arc::new(Answer { project, design });
    app.answers.keep_full(answer.clone());
    let mut names = Vec::new();
    for (name, bytes) in outputs(&answer.project, &answer.design, wanted, run)? {
        run.at("files", names.len(), 1 + names.len())?;
        files::write_whole(&out.join(&name), &bytes)?;
        names.push(name);
    }
    Ok(Dossier {
        design_id: answer.design.id.clone(),
        files: names,
    })
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
    let out = folder.out_folder(&room)?;
    let computing = app.clone();
    app.dossiers.start(job, room, move |run| {
        full_run(&computing, project, &out, &wanted, run)
    })?;
    Ok(Redirect::to(&back))
}

async fn stop(State(app): State<Arc<App>>, Path((job, room)): Path<(String, String)>) -> Redirect {
    if let Some(run) = app.dossiers.of(&job, &room) {
        run.stop();
    }
    Redirect::to(&sheet_href(&job, &room, "dossier"))
}

/// Names of the files made, in order; links are left out.
fn made(app: &App, job: &str, room: &str) -> Result<Vec<String>, Refused> {
    let Ok(entries) = std::fs::read_dir(app.jobs.job(job)?.out_folder(room)?) else {
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
    let path = app.jobs.job(&job)?.out_folder(&room)?.join(&name);
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
