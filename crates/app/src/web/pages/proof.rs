//! What the logs say: logs put beside the rooms, read, and the room judged by
//! them.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use anyhow::anyhow;
use axum::extract::{DefaultBodyLimit, Path, Query, State};
use axum::response::{Redirect, Response};
use axum::routing::{get, post};
use axum::{Extension, Form, Router};
use fields::edit::{Change, changed};
use job::Effort;
use job::proof::{Proof, Proposal};
use maud::{Markup, html};
use quantity::UnitSystem;
use readings::{Ask, Taken, Told, Zone};
use serde::Deserialize;
use sheet::charts::Hours;
use sheet::sheets::proof::{LogRead, blocks as proof_blocks, series, series_caption};

use super::logs::{Open, by_fields, field, file_field, sent};
use crate::commands::prove::proved;
use crate::kept;
use crate::logs::asks_zone;
use crate::project::Project;
use crate::web::app::App;
use crate::web::refused::Refused;
use crate::web::runs::State as At;
use crate::web::server::Visitor;
use crate::web::store::{JobFolder, TAKEN_OUT, Version};
use crate::web::upload::{MOST, Upload};
use crate::web::view::blocks::{sheet, zoomed};
use crate::web::view::layout::{Page, Place, encoded, page, sheet_href};
use crate::web::view::{run, zoom};
use crate::web::work::{busy, read_project};

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new()
        .route(
            "/jobs/{job}/rooms/{room}/proof",
            get(show).post(add).layer(DefaultBodyLimit::max(MOST)),
        )
        .route("/jobs/{job}/rooms/{room}/proof/log-out", post(take_out))
        .route("/jobs/{job}/rooms/{room}/proof/run", post(start))
        .route("/jobs/{job}/rooms/{room}/proof/stop", post(stop))
        .route("/jobs/{job}/rooms/{room}/proof/progress", get(progress))
        .route("/jobs/{job}/rooms/{room}/proof/found", post(take))
        .route("/jobs/{job}/rooms/{room}/proof/keep", post(keep))
}

/// What the form asks; the address carries it, so that the form shows it again.
#[derive(Clone, Default)]
struct Asked {
    logs: Vec<String>,
    open: Open,
}

impl Asked {
    fn of(pairs: Vec<(String, String)>) -> Self {
        let mut asked = Self::default();
        for (key, value) in pairs {
            match key.as_str() {
                "log" => asked.logs.push(value),
                _ => asked.open.set(&key, value),
            }
        }
        asked
    }

    /// As the query of an address; empty for nothing.
    fn query(&self) -> String {
        let logs = self.logs.iter().map(|log| ("log", log));
        let typed = self
            .open
            .pairs()
            .into_iter()
            .filter(|(_, text)| !text.is_empty());
        let pairs: Vec<String> = logs
            .chain(typed)
            .map(|(key, text)| format!("{key}={}", encoded(text)))
            .collect();
        match pairs.is_empty() {
            true => String::new(),
            false => format!("?{}", pairs.join("&")),
        }
    }
}

/// A room as it was judged by logs.
pub(crate) struct Proved {
    project: Project,
    asked: Asked,
    proof: Proof,
    taken: Vec<Taken>,
}

impl Proved {
    /// Files of its logs.
    fn log_files(&self, folder: &JobFolder) -> Result<Vec<PathBuf>, Refused> {
        let names = self.asked.logs.iter();
        names.map(|name| folder.logs().file(name)).collect()
    }

    /// Whether it is what is kept for the dossier.
    fn is_kept(&self, folder: &JobFolder) -> bool {
        let open = self.asked.open.as_written();
        self.log_files(folder)
            .is_ok_and(|logs| kept::is_this_kept(&self.project, (&logs, &open)))
    }

    fn words(&self) -> String {
        format!("Judged by {}.", self.asked.logs.join(", "))
    }

    /// Version of the room file that was judged.
    fn version(&self) -> String {
        Version::of(self.project.inputs(&[]).room).hash
    }

    /// What was found; the log over a part of its time.
    fn shown(&self, part: Option<Hours>, query: &str, units: UnitSystem) -> Markup {
        let room = &self.project.room;
        let files = self.asked.logs.iter().zip(&self.taken);
        let read: Vec<LogRead<'_>> = files.map(|(file, taken)| LogRead { file, taken }).collect();
        let log = series(&self.proof, part, units);
        html! {
            h2 { "The log as it ran" }
            (zoomed(&log, series_caption(&self.proof), "chart-log", query, units))
            @if asks_zone(&self.proof, &self.taken) {
                p.remark { "The zone of a log's clock is told under " (field(&Ask::new(Told::Zone, Zone::SUCH_AS))) "." }
            }
            (sheet(proof_blocks(room, &self.proof, &read, units), self.proof.workings.clone(), None, units))
        }
    }
}

async fn show(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    Query(pairs): Query<Vec<(String, String)>>,
) -> Result<Markup, Refused> {
    let part = zoom::asked(pairs.iter().map(|(k, v)| (k.as_str(), v.as_str())));
    let just_kept = pairs.iter().find(|(k, _)| k == KEPT);
    let just_kept: Option<u64> = just_kept.and_then(|(_, run)| run.parse().ok());
    let asked = Asked::of(pairs);
    let folder = app.jobs.job(&job)?;
    let file = folder.room_file(&room)?;
    for log in &asked.logs {
        folder.logs().file(log)?;
    }
    busy(move || {
        let run = app.proofs.of(&job, &room);
        let state = run.as_ref().map(|run| run.state());
        let at = sheet_href(&job, &room, "proof");
        let site = read_project(&file)?.room.site.display.value;
        let units = visitor.session.units_or(site);
        let wrong = match &state {
            Some(At::Failed(why)) => Some(why),
            _ => None,
        };
        let body = html! {
            h1 { "Proof from logs" }
            @if let (Some(run), Some(At::Done(proved))) = (&run, &state) {
                @if just_kept == Some(run.number) && proved.is_kept(&folder) {
                    (kept_words(&proved.project, &job, &room))
                }
            }
            @match (&run, &wrong) {
                (_, Some(why)) => {
                    div.problem tabindex="-1" {
                        div role="alert" { h2 { "There is a problem" } p { (why) } }
                    }
                }
                (Some(run), None) => { (run::panel(&at, "Judging the room by logs", run, Proved::words)) }
                (None, None) => {}
            }
            @if !state.as_ref().is_some_and(At::is_open) { (form(&folder, &asked, &at, wrong.is_some())) }
            @if let Some(At::Done(proved)) = &state {
                @let version = proved.version();
                @if folder.read(&file)?.hash != version {
                    p.remark { "The room file was changed since; judge the room again to see what the logs say of it now." }
                }
                (proved.shown(part, &asked.query(), units))
                @if let Some(run) = &run { (keep_form(&at, run.number, kept::is_kept(&proved.project))) }
                @if !proved.proof.proposals.is_empty() { (take_over(&proved.proof.proposals, &at, &version)) }
            }
        };
        let title = if wrong.is_some() { "Error: Proof from logs" } else { "Proof from logs" };
        Ok(page(
            &Page {
                title: title.into(),
                place: Place::Room {
                    job: &job,
                    room: &room,
                    sheet: "proof",
                    stamp: "",
                },
                session: &visitor.session,
                scripts: &["chart.js", "run.js"],
            },
            &body,
        ))
    })
    .await
}

async fn start(
    State(app): State<Arc<App>>,
    Path((job, room)): Path<(String, String)>,
    Form(pairs): Form<Vec<(String, String)>>,
) -> Result<Redirect, Refused> {
    let asked = Asked::of(pairs);
    let folder = app.jobs.job(&job)?;
    let file = folder.room_file(&room)?;
    let logs: Vec<PathBuf> = asked
        .logs
        .iter()
        .map(|name| folder.logs().file(name))
        .collect::<Result<_, _>>()?;
    if logs.is_empty() {
        return Err(Refused::BadRequest("Choose at least one log.".into()));
    }
    let there = format!("{}{}", sheet_href(&job, &room, "proof"), asked.query());
    let project = busy(move || read_project(&file)).await?;
    app.proofs.start(job, room, move |run| {
        let (proof, taken) = proved(
            &project,
            (&logs, &asked.open.as_written()),
            Effort::Draft,
            run,
        )
        .map_err(|e| anyhow!(by_fields(&e)))?;
        Ok(Proved {
            project,
            asked,
            proof,
            taken,
        })
    })?;
    Ok(Redirect::to(&there))
}

async fn stop(State(app): State<Arc<App>>, Path((job, room)): Path<(String, String)>) -> Redirect {
    if let Some(run) = app.proofs.of(&job, &room) {
        run.stop();
    }
    Redirect::to(&sheet_href(&job, &room, "proof"))
}

async fn progress(
    State(app): State<Arc<App>>,
    Path((job, room)): Path<(String, String)>,
) -> Result<Response, Refused> {
    let run = app.proofs.of(&job, &room);
    let run = run.ok_or_else(|| Refused::NotFound("A run of this room".into()))?;
    Ok(run::progress(&run, Proved::words))
}

/// Logs to choose from, what a person says about them, and the way in for more.
fn form(folder: &JobFolder, asked: &Asked, at: &str, failed: bool) -> Markup {
    let logs = folder.logs().names();
    html! {
        @if logs.is_empty() {
            p { "No log is here yet. Tables that loggers write can be put in as they are: any delimiter, decimal comma, °F or °C." }
        } @else {
            form method="post" action={ (at) "/run" } {
                fieldset {
                    legend { "Logs to read" }
                    @for log in &logs {
                        label.pick {
                            input type="checkbox" name="log" value=(log.as_str()) checked[logs.len() == 1 || asked.logs.iter().any(|l| l == log.as_str())];
                            " " (log.as_str())
                        }
                    }
                }
                (asked.open.fields(failed))
                button.main { "Judge the room by these logs" }
            }
        }
        form method="post" action=(at) enctype="multipart/form-data" {
            (file_field())
            button { "Put it in" }
        }
        @if !logs.is_empty() {
            details {
                summary { "Take a log out" }
                form method="post" action={ (at) "/log-out" } {
                    p { "Its file is moved to " code { "logs/" (TAKEN_OUT) } " in the job folder; nothing is deleted." }
                    div.field {
                        label for="out" { "Log" }
                        select #out name="name" {
                            @for log in &logs { option value=(log.as_str()) { (log.as_str()) } }
                        }
                    }
                    button.grave { "Take it out" }
                }
            }
        }
    }
}

/// Says in the address which run was just kept, by its number.
const KEPT: &str = "kept";

/// What was written and where it will be read.
fn kept_words(project: &Project, job: &str, room: &str) -> Markup {
    html! {
        p.done role="status" {
            "Kept as " code { (project.stem()) ".proof.json" } " beside the room file, the logs with it in " code { "logs" } ". "
            "It stands in the " a href=(sheet_href(job, room, "dossier")) { "dossier" }
            " from its next full run on, as the chapter “Proof from logs”, made again from these logs with the room as it is then. "
            "It goes with the job folder; the record of what happened on site has no entry of it."
        }
    }
}

/// The form that keeps what was judged.
fn keep_form(at: &str, number: u64, is_kept: bool) -> Markup {
    html! {
        form method="post" action={ (at) "/keep" } {
            input type="hidden" name="run" value=(number);
            p {
                "Keep it to have it in the dossier: which logs, and how they were read."
                @if is_kept { " An earlier one is kept for this room; this one takes its place." }
            }
            button { "Keep this proof" }
        }
    }
}

#[derive(Deserialize)]
struct KeepForm {
    run: u64,
}

async fn keep(
    State(app): State<Arc<App>>,
    Path((job, room)): Path<(String, String)>,
    Form(form): Form<KeepForm>,
) -> Result<Redirect, Refused> {
    let folder = app.jobs.job(&job)?;
    folder.room_file(&room)?;
    let run = app.proofs.of(&job, &room);
    // Another run may have ended since the page was drawn.
    let Some(At::Done(proved)) = run.filter(|r| r.number == form.run).map(|r| r.state()) else {
        return Err(Refused::BadRequest(
            "What this page showed is not at hand any more: judge the room by its logs again, then keep it.".into(),
        ));
    };
    let query = proved.asked.query();
    let sign = if query.is_empty() { "?" } else { "&" };
    let to = format!(
        "{}{query}{sign}{KEPT}={}",
        sheet_href(&job, &room, "proof"),
        form.run
    );
    busy(move || {
        let logs = proved.log_files(&folder)?;
        kept::keep(&proved.project, (&logs, &proved.asked.open.as_written()))
            .map_err(Refused::Disk)?;
        Ok(Redirect::to(&to))
    })
    .await
}

/// Marks an edit in a form: `set.SECTION.KEY`, or `set.SECTION.NTH.KEY` of one of
/// several sections.
const SET: &str = "set.";

/// The form that writes what was found into the room file.
fn take_over(proposals: &[Proposal], at: &str, version: &str) -> Markup {
    html! {
        form method="post" action={ (at) "/found" } {
            input type="hidden" name="base" value=(version);
            @for p in proposals {
                input type="hidden" name={ (SET) (p.section) "." (p.nth) "." (p.key) } value=(p.typed);
            }
            p { "What was found would replace these lines of the room file; the file as it is stays among its older copies." }
            ul {
                @for p in proposals {
                    li {
                        (p.what) ": " code { "[" (p.section) "] " (p.key) " = \"" (p.typed) "\"" }
                        @if let Some(cut) = p.cut {
                            " (" (cut.words(p.unit)) "; the log gives " (p.in_file(cut.found)) ")"
                        }
                    }
                }
            }
            button { "Write what was found into the room file" }
        }
    }
}

async fn take(
    State(app): State<Arc<App>>,
    Path((job, room)): Path<(String, String)>,
    Form(sent): Form<BTreeMap<String, String>>,
) -> Result<Redirect, Refused> {
    let folder = app.jobs.job(&job)?;
    let file = folder.room_file(&room)?;
    let changes: Vec<Change> = sent
        .iter()
        .filter_map(|(name, typed)| {
            let (which, key) = name.strip_prefix(SET)?.rsplit_once('.')?;
            // Sections' own names may hold points.
            let (section, nth) = which
                .rsplit_once('.')
                .and_then(|(section, nth)| Some((section, nth.parse().ok()?)))
                .unwrap_or((which, 0));
            Some(Change::Set {
                section: section.to_owned(),
                nth,
                key: key.to_owned(),
                typed: typed.clone(),
            })
        })
        .collect();
    let base = sent.get("base").cloned().unwrap_or_default();
    let load = sheet_href(&job, &room, "load");
    busy(move || {
        let now = folder.read(&file)?;
        let text = changed(&room::ROOM_FORMAT, &now.text, &changes)
            .map_err(|e| Refused::BadRequest(e.to_string()))?;
        folder.save(&file, &text, &base)?;
        Ok(Redirect::to(&load))
    })
    .await
}

#[derive(Deserialize)]
struct OutForm {
    name: String,
}

async fn take_out(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    Form(out): Form<OutForm>,
) -> Result<Redirect, Refused> {
    visitor.session.only_here()?;
    let folder = app.jobs.job(&job)?;
    let file = folder.room_file(&room)?;
    let back = sheet_href(&job, &room, "proof");
    busy(move || {
        if file.parent().is_some_and(|f| kept::needs_log(f, &out.name)) {
            return Err(Refused::BadRequest(format!(
                "“{}” stays: a proof that is kept for the dossier was made by it. Keep another proof in its place, then take it out.",
                out.name
            )));
        }
        folder.logs().take_out(&out.name)?;
        Ok(Redirect::to(&back))
    })
    .await
}

async fn add(
    State(app): State<Arc<App>>,
    Path((job, room)): Path<(String, String)>,
    Upload(form): Upload,
) -> Result<Redirect, Refused> {
    let folder = app.jobs.job(&job)?;
    folder.room_file(&room)?;
    let sent = sent(form).await?;
    let back = sheet_href(&job, &room, "proof");
    busy(move || {
        sent.keep(&folder.logs())?;
        let names = sent.logs.into_iter().map(|(name, _)| name.to_string());
        let asked = Asked {
            logs: names.collect(),
            open: Open::default(),
        };
        Ok(Redirect::to(&format!("{back}{}", asked.query())))
    })
    .await
}
