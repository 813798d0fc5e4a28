//! Logs that lie beside the rooms, as pages ask for them: which to read, what
//! they leave open, a new one put in; and what they show of a fault,
//! remembered.

use std::collections::{BTreeMap, VecDeque};
use std::path::{MAIN_SEPARATOR, PathBuf};
use std::sync::{Mutex, PoisonError};

use axum::body::Bytes;
use axum::extract::Multipart;
use clap::ValueEnum as _;
use job::service::log::Line;
use maud::{Markup, html};

use crate::cli::{AsWritten, Dates, Decimal};
use crate::web::refused::Refused;
use crate::web::store::{Logs, Name};

/// What a person says about the logs, by names of fields.
#[derive(Clone, Debug, Default)]
pub(super) struct Open {
    pub(super) dates: String,
    pub(super) zone: String,
    pub(super) decimal: String,
    pub(super) delimiter: String,
    pub(super) columns: String,
    pub(super) start: String,
}

impl Open {
    /// Takes a field of the form; others are none of these.
    pub(super) fn set(&mut self, field: &str, said: String) {
        match field {
            "dates" => self.dates = said,
            "zone" => said.trim().clone_into(&mut self.zone),
            "decimal" => self.decimal = said,
            "delimiter" => self.delimiter = said,
            "columns" => self.columns = said,
            "start" => said.trim().clone_into(&mut self.start),
            _ => {}
        }
    }

    /// Fields and what they hold.
    pub(super) fn pairs(&self) -> [(&'static str, &String); 6] {
        [
            ("dates", &self.dates),
            ("zone", &self.zone),
            ("decimal", &self.decimal),
            ("delimiter", &self.delimiter),
            ("columns", &self.columns),
            ("start", &self.start),
        ]
    }

    pub(super) fn as_written(&self) -> AsWritten {
        let zone = self.zone.trim();
        AsWritten {
            dates: Dates::from_str(&self.dates, true).ok(),
            decimal: Decimal::from_str(&self.decimal, true).ok(),
            delimiter: Some(&self.delimiter).filter(|d| !d.is_empty()).cloned(),
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
        }
    }

    /// The fields that ask it; unfolded where something was said, or is asked.
    pub(super) fn fields(&self, asked: bool) -> Markup {
        let said = self.pairs().iter().any(|(_, said)| !said.is_empty());
        html! {
            details open[asked || said] {
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
                    label for="decimal" { "Mark before decimals" }
                    select #decimal name="decimal" {
                        @for (value, words) in [("", "as the logs show"), ("point", "point: 23.5"), ("comma", "comma: 23,5")] {
                            option value=(value) selected[self.decimal == value] { (words) }
                        }
                    }
                }
                div.field {
                    label for="delimiter" { "Sign between cells" }
                    select #delimiter name="delimiter" {
                        @for (value, words) in [("", "as the logs show"), (",", "comma"), (";", "semicolon"), ("tab", "tab"), ("|", "upright stroke")] {
                            option value=(value) selected[self.delimiter == value] { (words) }
                        }
                    }
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

/// What a log was refused for, as a page says it: logs by their names alone, and
/// the page's fields where it names options of the command line.
pub(super) fn for_page(words: &str, logs: &Logs) -> String {
    const FIELDS: [(&str, &str); 6] = [
        ("--dates", "“Order of day, month and year”:"),
        ("--zone", "“Zone of the logs' clocks”"),
        ("--decimal", "“Mark before decimals”:"),
        ("--delimiter", "“Sign between cells”"),
        ("--column", "“What a column is”:"),
        ("--start", "“When a log began that counts from its start”:"),
    ];
    let folder = format!("{}{MAIN_SEPARATOR}", logs.folder().display());
    let named = words.replace(&folder, "");
    let fields = FIELDS.iter();
    fields.fold(named, |words, (option, field)| words.replace(option, field))
}

/// The field that takes a log.
pub(super) fn file_field() -> Markup {
    html! {
        div.field {
            label for="log" { "Put in logs" }
            input #log name="log" type="file" multiple accept=".csv,.txt,.tsv,text/csv,text/plain";
        }
    }
}

/// Logs that were sent.
pub(super) struct SentLogs {
    pub(super) logs: Vec<(Name, Bytes)>,
    /// The other fields of the form.
    pub(super) with: BTreeMap<String, String>,
}

impl SentLogs {
    /// Puts them in.
    ///
    /// # Errors
    /// One of a name under which others lie there, or the disk said no; those
    /// before it are in.
    pub(super) fn keep(&self, folder: &Logs) -> Result<(), Refused> {
        let mut all = self.logs.iter();
        all.try_for_each(|(name, bytes)| folder.add(name, bytes))
    }
}

/// Takes logs from a form.
pub(super) async fn sent(mut form: Multipart) -> Result<SentLogs, Refused> {
    let mut sent = SentLogs {
        logs: Vec::new(),
        with: BTreeMap::new(),
    };
    while let Some(field) = form.next_field().await.map_err(Refused::upload)? {
        let key = field.name().unwrap_or_default().to_owned();
        if key == "log" {
            let name = field.file_name().unwrap_or_default().to_owned();
            let bytes = field.bytes().await.map_err(Refused::upload)?;
            if !bytes.is_empty() {
                let name = Name::new(&name).map_err(Refused::BadRequest)?;
                sent.logs.push((name, bytes));
            }
        } else {
            sent.with
                .insert(key, field.text().await.map_err(Refused::upload)?);
        }
    }
    if sent.logs.is_empty() {
        return Err(Refused::BadRequest(
            "No log was chosen, or it is empty.".into(),
        ));
    }
    Ok(sent)
}

/// What logs show of a fault: its lines, and the units that the logs name where
/// no room does.
#[derive(Clone, Default)]
pub(super) struct LogShows {
    pub(super) lines: Vec<Line>,
    pub(super) units: Vec<String>,
}

/// What logs show of faults, by what it was made from; the latest asked last.
#[derive(Default)]
pub(crate) struct Shown(Mutex<VecDeque<(String, LogShows)>>);

impl Shown {
    /// Kept; older ones go.
    const KEPT: usize = 16;

    /// What logs show, made anew only where it is not remembered.
    ///
    /// - `about`: what it depends on beside the logs
    ///
    /// # Errors
    /// Those of `make`.
    pub(super) fn of(
        &self,
        about: &str,
        (logs, open): (&[PathBuf], &Open),
        make: impl FnOnce(&AsWritten) -> anyhow::Result<LogShows>,
    ) -> anyhow::Result<LogShows> {
        let seen: Vec<_> = logs
            .iter()
            .map(|f| {
                let meta = std::fs::metadata(f).ok();
                (f, meta.map(|m| (m.len(), m.modified().ok())))
            })
            .collect();
        let key = format!("{about} {seen:?} {open:?}");
        let lock = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, shows)) = lock().iter().find(|(k, _)| *k == key) {
            return Ok(shows.clone());
        }
        let shows = make(&open.as_written())?;
        let mut kept = lock();
        kept.push_back((key, shows.clone()));
        while Self::KEPT < kept.len() {
            kept.pop_front();
        }
        Ok(shows)
    }
}
