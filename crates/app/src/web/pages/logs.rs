//! Logs that lie beside the rooms, as pages ask for them: which to read, what
//! they leave open, a new one put in; and what they show of a fault,
//! remembered.

use std::collections::{BTreeMap, VecDeque};
use std::path::PathBuf;
use std::sync::{Mutex, PoisonError};

use axum::body::Bytes;
use axum::extract::Multipart;
use clap::ValueEnum as _;
use job::service::log::{Line, from_log};
use job::{Effort, Silent};
use maud::{Markup, html};

use crate::cli::{AsWritten, Dates};
use crate::commands::prove::proved;
use crate::web::answers::Answer;
use crate::web::refused::Refused;
use crate::web::store::Name;

/// What a person says about the logs, by names of fields.
#[derive(Clone, Debug, Default)]
pub(super) struct Open {
    pub(super) dates: String,
    pub(super) zone: String,
    pub(super) columns: String,
    pub(super) start: String,
}

impl Open {
    /// Takes a field of the form; others are none of these.
    pub(super) fn set(&mut self, field: &str, said: String) {
        match field {
            "dates" => self.dates = said,
            "zone" => said.trim().clone_into(&mut self.zone),
            "columns" => self.columns = said,
            "start" => said.trim().clone_into(&mut self.start),
            _ => {}
        }
    }

    /// Fields and what they hold.
    pub(super) fn pairs(&self) -> [(&'static str, &String); 4] {
        [
            ("dates", &self.dates),
            ("zone", &self.zone),
            ("columns", &self.columns),
            ("start", &self.start),
        ]
    }

    pub(super) fn as_written(&self) -> AsWritten {
        let zone = self.zone.trim();
        AsWritten {
            dates: Dates::from_str(&self.dates, true).ok(),
            zone: (!zone.is_empty()).then(|| zone.to_owned()),
            columns: self
                .columns
                .lines()
                .map(str::trim)
                .filter(|l| !l.is_empty())
                .map(str::to_owned)
                .collect(),
            start: Some(&self.start)
                .filter(|s| !s.is_empty())
                .cloned()
                .into_iter()
                .collect(),
            ..AsWritten::default()
        }
    }

    /// The fields that ask it.
    pub(super) fn fields(&self) -> Markup {
        html! {
            details open[self.pairs().iter().any(|(_, said)| !said.is_empty())] {
                summary { "What the logs leave open" }
                div.field {
                    label for="dates" { "Order of day, month and year" }
                    select #dates name="dates" {
                        @for (value, words) in [("", "as the logs show"), ("dmy", "day, month, year"), ("mdy", "month, day, year"), ("ymd", "year, month, day")] {
                            option value=(value) selected[self.dates == value] { (words) }
                        }
                    }
                }
                div.field {
                    label for="zone" { "Zone of the logs' clocks" }
                    p.help #zone-help { "such as America/Denver or -07:00" }
                    input #zone name="zone" type="text" autocomplete="off" spellcheck="false" value=(self.zone) aria-describedby="zone-help";
                }
                div.field {
                    label for="start" { "When a log began that counts from its start" }
                    p.help #start-help { "such as 2026-03-01 06:00, by the clock on the wall" }
                    input #start name="start" type="text" autocomplete="off" spellcheck="false" value=(self.start) aria-describedby="start-help";
                }
                div.field {
                    label for="columns" { "What a column is, one a line" }
                    p.help #columns-help { "such as NAME=dry bulb °C, or #3=ignore" }
                    textarea #columns name="columns" rows="4" spellcheck="false" aria-describedby="columns-help" { (self.columns) }
                }
            }
        }
    }
}

/// The field that takes a log.
pub(super) fn file_field() -> Markup {
    html! {
        div.field {
            label for="log" { "Put in a log" }
            input #log name="log" type="file" accept=".csv,.txt,.tsv,text/csv,text/plain";
        }
    }
}

/// A log that was sent.
pub(super) struct SentLog {
    pub(super) name: Name,
    pub(super) bytes: Bytes,
    /// The other fields of the form.
    pub(super) with: BTreeMap<String, String>,
}

/// Takes a log from a form.
pub(super) async fn sent(mut form: Multipart) -> Result<SentLog, Refused> {
    let mut log = None;
    let mut with = BTreeMap::new();
    while let Some(field) = form.next_field().await.map_err(Refused::upload)? {
        let key = field.name().unwrap_or_default().to_owned();
        if key == "log" {
            let name = field.file_name().unwrap_or_default().to_owned();
            log = Some((name, field.bytes().await.map_err(Refused::upload)?));
        } else {
            with.insert(key, field.text().await.map_err(Refused::upload)?);
        }
    }
    let Some((name, bytes)) = log.filter(|(_, bytes)| !bytes.is_empty()) else {
        return Err(Refused::BadRequest(
            "No log was chosen, or it is empty.".into(),
        ));
    };
    let name = Name::new(&name).map_err(Refused::BadRequest)?;
    Ok(SentLog { name, bytes, with })
}

/// What logs show of a fault, by what it was made from; the latest asked last.
#[derive(Default)]
pub(crate) struct Shown(Mutex<VecDeque<(String, Vec<Line>)>>);

impl Shown {
    /// Kept; older ones go.
    const KEPT: usize = 16;

    /// What logs of a room show of a unit's fault.
    ///
    /// # Errors
    /// A log that cannot be read, with the reason in words.
    pub(super) fn of(
        &self,
        answer: &Answer,
        tag: Option<&str>,
        logs: &[PathBuf],
        open: &Open,
    ) -> anyhow::Result<Vec<Line>> {
        let project = &answer.project;
        let seen: Vec<_> = logs
            .iter()
            .map(|f| {
                let meta = std::fs::metadata(f).ok();
                (f, meta.map(|m| (m.len(), m.modified().ok())))
            })
            .collect();
        let key = format!("{} {tag:?} {seen:?} {open:?}", project.key);
        let lock = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, lines)) = lock().iter().find(|(k, _)| *k == key) {
            return Ok(lines.clone());
        }
        let written = open.as_written();
        let (proof, _) = proved(project, (logs, &written), Effort::Preview, &Silent)?;
        let lines = from_log(&project.room, &project.catalog, &proof, tag);
        let mut kept = lock();
        kept.push_back((key, lines.clone()));
        while Self::KEPT < kept.len() {
            kept.pop_front();
        }
        Ok(lines)
    }
}
