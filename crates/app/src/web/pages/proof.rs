//! What the logs say: logs put beside the rooms, read, and the room judged by
//! them.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use axum::extract::{DefaultBodyLimit, Path, Query, State};
use axum::response::Redirect;
use axum::routing::{get, post};
use axum::{Extension, Form, Router};
use clap::ValueEnum as _;
use fields::edit::{Change, changed};
use job::Silent;
use job::proof::Proposal;
use maud::{Markup, html};
use sheet::sheets::proof::{LogRead, blocks as proof_blocks};

use super::super::app::App;
use super::super::refused::Refused;
use super::super::server::Visitor;
use super::super::store::{JobFolder, LARGEST, Name, Version};
use super::super::upload::Upload;
use super::super::view::blocks::blocks;
use super::super::view::layout::{Page, Place, encoded, page, sheet_href};
use super::super::work::{busy, read_project};
use crate::cli::{Dates, ProveArgs};
use crate::commands::prove::proved;

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new()
        .route(
            "/jobs/{job}/rooms/{room}/proof",
            get(show)
                .post(add)
                .layer(DefaultBodyLimit::max(LARGEST + 1024 * 1024)),
        )
        .route("/jobs/{job}/rooms/{room}/proof/found", post(take))
}

/// What the address asks.
#[derive(Default)]
struct Asked {
    logs: Vec<String>,
    dates: String,
    zone: String,
    columns: String,
}

impl Asked {
    fn of(pairs: Vec<(String, String)>) -> Self {
        let mut asked = Self::default();
        for (key, value) in pairs {
            match key.as_str() {
                "log" => asked.logs.push(value),
                "dates" => asked.dates = value,
                "zone" => asked.zone = value.trim().to_owned(),
                "columns" => asked.columns = value,
                _ => {}
            }
        }
        asked
    }

    /// The same as the command line would have it.
    fn args(&self, room: PathBuf, logs: Vec<PathBuf>) -> ProveArgs {
        ProveArgs {
            room,
            logs,
            dates: Dates::from_str(&self.dates, true).ok(),
            zone: Some(self.zone.clone()).filter(|z| !z.is_empty()),
            delimiter: None,
            decimal: None,
            columns: self
                .columns
                .lines()
                .map(str::trim)
                .filter(|l| !l.is_empty())
                .map(str::to_owned)
                .collect(),
            out: None,
            paper: None,
            thorough: false,
        }
    }
}

async fn show(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    Query(pairs): Query<Vec<(String, String)>>,
) -> Result<Markup, Refused> {
    let asked = Asked::of(pairs);
    let folder = app.jobs.job(&job)?;
    let file = folder.room_file(&room)?;
    busy(move || {
        let project = read_project(&file)?;
        // Of the text that is judged here.
        let version = Version::of(project.inputs(&[]).room).hash;
        let at = sheet_href(&job, &room, "proof");
        let units = visitor.session.units_or(project.room.site.display.value);
        let logs: Vec<PathBuf> = asked
            .logs
            .iter()
            .map(|name| folder.log_file(name))
            .collect::<Result<_, _>>()?;
        let proof = (!logs.is_empty()).then(|| proved(&project, &asked.args(file, logs), &Silent));
        let wrong = proof.as_ref().and_then(|p| p.as_ref().err());
        let body = html! {
            h1 { "Proof from logs" }
            @if let Some(error) = wrong {
                div.problem tabindex="-1" {
                    div role="alert" { h2 { "There is a problem" } p { (format!("{error:#}")) } }
                }
            }
            (form(&folder, &asked))
            @if let Some(Ok((proof, taken))) = &proof {
                @let read: Vec<LogRead<'_>> = asked.logs.iter().zip(taken).map(|(file, taken)| LogRead { file, taken }).collect();
                (blocks(proof_blocks(&project.room, proof, &read, units), units))
                @if !proof.proposals.is_empty() { (take_over(&proof.proposals, &at, &version)) }
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
                scripts: &["chart.js"],
            },
            &body,
        ))
    })
    .await
}

/// Logs to choose from, what a person says about them, and the way in for more.
fn form(folder: &JobFolder, asked: &Asked) -> Markup {
    let logs = folder.logs();
    html! {
        @if logs.is_empty() {
            p { "No log is here yet. Tables that loggers write can be put in as they are: any delimiter, decimal comma, °F or °C." }
        } @else {
            form method="get" {
                fieldset {
                    legend { "Logs to read" }
                    @for log in &logs {
                        label.pick {
                            input type="checkbox" name="log" value=(log.as_str()) checked[asked.logs.iter().any(|l| l == log.as_str())];
                            " " (log.as_str())
                        }
                    }
                }
                details open[!asked.dates.is_empty() || !asked.zone.is_empty() || !asked.columns.is_empty()] {
                    summary { "What the logs leave open" }
                    div.field {
                        label for="dates" { "Order of day, month and year" }
                        select #dates name="dates" {
                            @for (value, words) in [("", "as the logs show"), ("dmy", "day, month, year"), ("mdy", "month, day, year"), ("ymd", "year, month, day")] {
                                option value=(value) selected[asked.dates == value] { (words) }
                            }
                        }
                    }
                    div.field {
                        label for="zone" { "Zone of the logs' clocks" }
                        p.help #zone-help { "such as America/Denver or -07:00" }
                        input #zone name="zone" type="text" autocomplete="off" spellcheck="false" value=(asked.zone) aria-describedby="zone-help";
                    }
                    div.field {
                        label for="columns" { "What a column is, one a line" }
                        p.help #columns-help { "such as NAME=dry bulb °C, or #3=ignore" }
                        textarea #columns name="columns" rows="4" spellcheck="false" aria-describedby="columns-help" { (asked.columns) }
                    }
                }
                button.main { "Judge the room by these logs" }
            }
        }
        form method="post" enctype="multipart/form-data" {
            div.field {
                label for="log" { "Put in a log" }
                input #log name="log" type="file" accept=".csv,.txt,.tsv,text/csv,text/plain";
            }
            button { "Put it in" }
        }
    }
}

/// Marks an edit in a form: `set.SECTION.KEY`.
const SET: &str = "set.";

/// The form that writes what was found into the room file.
fn take_over(proposals: &[Proposal], at: &str, version: &str) -> Markup {
    html! {
        form method="post" action={ (at) "/found" } {
            input type="hidden" name="base" value=(version);
            @for p in proposals {
                input type="hidden" name={ (SET) (p.section) "." (p.key) } value=(p.typed);
            }
            p { "What was found would replace these lines of the room file; the file as it is stays among its older copies." }
            ul {
                @for p in proposals {
                    li { (p.what) ": " code { "[" (p.section) "] " (p.key) " = \"" (p.typed) "\"" } }
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
            let (section, key) = name.strip_prefix(SET)?.rsplit_once('.')?;
            Some(Change::Set {
                section: section.to_owned(),
                nth: 0,
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

async fn add(
    State(app): State<Arc<App>>,
    Path((job, room)): Path<(String, String)>,
    Upload(mut form): Upload,
) -> Result<Redirect, Refused> {
    let folder = app.jobs.job(&job)?;
    folder.room_file(&room)?;
    let mut log = None;
    while let Some(field) = form.next_field().await.map_err(Refused::upload)? {
        if field.name() == Some("log") {
            let name = field.file_name().unwrap_or_default().to_owned();
            log = Some((name, field.bytes().await.map_err(Refused::upload)?));
        }
    }
    let Some((name, bytes)) = log.filter(|(_, bytes)| !bytes.is_empty()) else {
        return Err(Refused::BadRequest(
            "No log was chosen, or it is empty.".into(),
        ));
    };
    let name = Name::new(&name).map_err(Refused::BadRequest)?;
    let back = sheet_href(&job, &room, "proof");
    busy(move || {
        folder.add_log(&name, &bytes)?;
        Ok(Redirect::to(&format!(
            "{back}?log={}",
            encoded(name.as_str())
        )))
    })
    .await
}
