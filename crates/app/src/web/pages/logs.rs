//! Logs that lie beside the rooms, as pages ask for them: which to read, what
//! they leave open, a new one put in; and what they show of a fault,
//! remembered.

use std::collections::{BTreeMap, VecDeque};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use axum::body::Bytes;
use axum::extract::Multipart;
use clap::ValueEnum as _;
use job::service::log::Line;
use maud::{Markup, html};
use readings::{Ask, Told};

use crate::cli::{AsWritten, Dates, Decimal};
use crate::logs::{LogsRefused, either, no_log};
use crate::web::refused::Refused;
use crate::web::store::{Logs, Name};
use crate::web::work::busy;

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
                summary { (LEFT_OPEN) }
                (chosen("dates", Told::Dates, DATES, &self.dates))
                div.field {
                    label for="zone" { (label(Told::Zone)) }
                    p.help #zone-help { "such as America/Denver or -07:00" }
                    input #zone name="zone" type="text" autocomplete="off" spellcheck="false" value=(self.zone) aria-describedby="zone-help";
                }
                (chosen("decimal", Told::Decimal, DECIMAL, &self.decimal))
                (chosen("delimiter", Told::Delimiter, DELIMITER, &self.delimiter))
                div.field {
                    label for="start" { (label(Told::Start)) }
                    p.help #start-help { "such as 2026-03-01 06:00, by the clock on the wall" }
                    input #start name="start" type="text" autocomplete="off" spellcheck="false" value=(self.start) aria-describedby="start-help";
                }
                div.field {
                    label for="columns" { (label(Told::Column)) }
                    p.help #columns-help { "such as NAME=dry bulb °C, or #3=ignore" }
                    textarea #columns name="columns" rows="4" spellcheck="false" aria-describedby="columns-help" { (self.columns) }
                }
            }
        }
    }
}

/// What the part of the form is called that asks what logs leave open.
const LEFT_OPEN: &str = "What the logs leave open";

/// Answers to choose from: what is sent, and what is shown.
type Choices = [(&'static str, &'static str)];

const DATES: &Choices = &[
    ("", AS_SHOWN),
    ("dmy", "day, month, year"),
    ("mdy", "month, day, year"),
    ("ymd", "year, month, day"),
];
const DECIMAL: &Choices = &[
    ("", AS_SHOWN),
    ("point", "point: 23.5"),
    ("comma", "comma: 23,5"),
];
const DELIMITER: &Choices = &[
    ("", AS_SHOWN),
    (",", "comma"),
    (";", "semicolon"),
    ("tab", "tab"),
    ("|", "upright stroke"),
];
const AS_SHOWN: &str = "as the logs show";

/// What the field is called that tells it.
const fn label(told: Told) -> &'static str {
    match told {
        Told::Dates => "Order of day, month and year",
        Told::Zone => "Zone of the logs' clocks",
        Told::Decimal => "Mark before decimals",
        Told::Delimiter => "Sign between cells",
        Told::Start => "When a log began that counts from its start",
        Told::Column => "What a column is, one a line",
    }
}

/// A field that has its answers to choose from.
fn chosen(name: &str, told: Told, choices: &Choices, now: &str) -> Markup {
    html! {
        div.field {
            label for=(name) { (label(told)) }
            select id=(name) name=(name) {
                @for (value, words) in choices {
                    option value=(value) selected[now == *value] { (words) }
                }
            }
        }
    }
}

/// The field that tells it, with what would do as it stands there.
pub(super) fn field(ask: &Ask) -> String {
    let choices = match ask.told {
        Told::Dates => DATES,
        Told::Decimal => DECIMAL,
        Told::Delimiter => DELIMITER,
        Told::Zone | Told::Column | Told::Start => &[],
    };
    let shown = ask.such_as.iter().map(|answer| {
        let choice = choices.iter().find(|(value, _)| value == answer);
        format!("“{}”", choice.map_or(answer.as_str(), |(_, words)| words))
    });
    match either(shown.collect()) {
        answers if answers.is_empty() => format!("“{}”", label(ask.told)),
        answers => format!("“{}”, such as {answers}", label(ask.told)),
    }
}

/// What keeps logs from being judged, as a page says it: logs by their names
/// alone, and the fields that help.
pub(super) fn by_fields(error: &anyhow::Error) -> String {
    let Some(refused) = error.downcast_ref::<LogsRefused>() else {
        return format!("{error:#}");
    };
    let name = refused.log.as_deref().and_then(Path::file_name);
    let name = name.map_or_else(String::new, |n| format!("{} ", n.to_string_lossy()));
    let why = &refused.why;
    if refused.asks.is_empty() {
        return format!("{name}{why}.");
    }
    let fields: Vec<String> = refused.asks.iter().map(field).collect();
    let fields = fields.join("; ");
    format!("{name}{why}. Fill in under “{LEFT_OPEN}”: {fields}.")
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
                let (name, bytes) = busy(move || match no_log(&bytes) {
                    Some(why) => Err(Refused::BadRequest(format!(
                        "“{name}” was not put in: it {why}. Put in the table that the logger wrote."
                    ))),
                    None => Ok((name, bytes)),
                })
                .await?;
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logs::tests::every_refusal;

    /// A page names its fields, as the form has them, and never an option; nor
    /// where on the disk a log lies.
    #[test]
    fn every_refusal_names_the_field_that_helps() {
        let form = Open::default().fields(true).into_string();
        for refused in every_refusal() {
            let asks = refused.asks.clone();
            let folder = refused.log.as_deref().and_then(Path::parent);
            let folder = folder.map(|f| f.display().to_string());
            let words = by_fields(&refused.into());
            assert!(!words.contains("--"), "{words}");
            assert!(folder.is_none_or(|f| !words.contains(&f)), "{words}");
            assert_eq!(words.contains(LEFT_OPEN), !asks.is_empty(), "{words}");
            for ask in asks {
                let label = label(ask.told);
                assert!(words.contains(&format!("“{label}”")), "{words}");
                assert!(form.contains(&format!(">{label}</label>")), "{form}");
            }
        }
        // Choices are told as they stand there.
        let dates = field(&Ask::new(Told::Dates, ["dmy", "mdy"]));
        assert!(
            dates.ends_with("such as “day, month, year” or “month, day, year”"),
            "{dates}"
        );
    }
}
