//! A service call as it is told: symptoms, answers and readings by name, from
//! the command line or a page.

use std::path::PathBuf;

use anyhow::{Result, bail};
use equipment::Model;
use job::Progress;
use job::proof::alone;
use job::record::{FaultEntry, Mended};
use job::service::log::{self, Line, from_log_alone};
use job::service::{Against, ENTRIES, Knowledge, Known, Next, Ranking, Taken, next, rank, traits};
use job::startup::NotTaken;
use quantity::{Place, Text, UnitSystem};

use crate::cli::AsWritten;
use crate::logs::logs_read;
use crate::startup::Fault;

/// Sea level, where nothing is known of the place \[Pa\].
const SEA_LEVEL_PA: f64 = 101_325.0;

/// What was told.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Told {
    /// Ids of symptoms that are seen.
    pub(crate) seen: Vec<String>,
    /// Ids of symptoms that are not.
    pub(crate) not_seen: Vec<String>,
    /// "TEST=2": a test came out as its second outcome.
    pub(crate) answers: Vec<String>,
    /// What was measured.
    pub(crate) readings: Taken,
}

impl Told {
    /// Whether nothing was told.
    fn is_nothing(&self) -> bool {
        let named = [&self.seen, &self.not_seen, &self.answers];
        named.iter().all(|names| names.is_empty()) && self.readings == Taken::default()
    }

    /// Relative humidity that the control is set to, where it was told.
    pub(crate) fn setpoint(&self) -> Option<f64> {
        self.readings.get("setpoint")
    }
}

/// What is typed for readings.
pub(crate) struct Typed<'a> {
    /// Name and text of each.
    pub(crate) texts: Vec<(&'a str, &'a str)>,
    /// Names of those whose unusual number is meant.
    pub(crate) meant: Vec<&'a str>,
    /// In which units a bare number is.
    pub(crate) units: UnitSystem,
}

/// Readings that are not taken, all of them.
#[derive(Debug)]
pub(crate) struct NotRead(pub(crate) Vec<Fault>);

impl std::error::Error for NotRead {}

impl std::fmt::Display for NotRead {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let all: Vec<&str> = self.0.iter().map(|fault| fault.words.as_str()).collect();
        write!(f, "{}", all.join("; "))
    }
}

/// Readings as they are typed.
///
/// # Errors
/// All that cannot be taken, each with what was read and what is allowed.
pub(crate) fn readings_of(typed: &Typed<'_>, about: About<'_>) -> Result<Taken, NotRead> {
    let mut taken = Taken::default();
    let mut faults = Vec::new();
    for (name, text) in &typed.texts {
        if let Err(fault) = take(&mut taken, (name.trim(), text.trim()), typed, about) {
            faults.push(fault);
        }
    }
    if faults.is_empty() {
        Ok(taken)
    } else {
        Err(NotRead(faults))
    }
}

/// Symptoms, tests and outcomes that there are not, all of them in words.
#[derive(Debug, thiserror::Error)]
#[error("{}", .0.join("; "))]
pub(crate) struct NotKnown(pub(crate) Vec<String>);

/// A call, ranked.
pub(crate) struct Call {
    /// Causes.
    pub(crate) ranking: Ranking<'static>,
    /// Open questions.
    pub(crate) next: Vec<Next<'static>>,
    /// Readings that could not be used, and why.
    pub(crate) unused: Vec<Text>,
    /// What the room's logs show, line by line.
    pub(crate) log: Vec<Line>,
    /// What it is about.
    pub(crate) place: Place,
}

/// What logs show of a call that is about no room of which there is a file.
///
/// # Errors
/// A log that cannot be read.
pub(crate) fn shown_alone(
    (logs, written): (&[PathBuf], &AsWritten),
    told: &Told,
    about: About<'_>,
    watch: &dyn Progress,
) -> Result<(Vec<Line>, Vec<String>)> {
    let (log, _) = logs_read(logs, written, &[], watch)?;
    let pressure_pa = about.pressure_pa.unwrap_or(SEA_LEVEL_PA);
    let shown = alone(&log, pressure_pa);
    let lines = from_log_alone(
        &shown,
        (about.tag, about.model),
        told.setpoint(),
        pressure_pa,
    );
    let units = shown.units.into_iter().map(|u| u.tag).collect();
    Ok((lines, units))
}

/// The unit that a call is about, as far as it is known.
#[derive(Clone, Copy, Default)]
pub(crate) struct About<'a> {
    /// Its tag.
    pub(crate) tag: Option<&'a str>,
    /// Its record.
    pub(crate) model: Option<&'a Model>,
    /// Barometric pressure of the place \[Pa\].
    pub(crate) pressure_pa: Option<f64>,
}

/// Ranks what was told, with what logs show beside it; what a person told
/// stands before what a log shows.
///
/// # Errors
/// A name that is not there, a number that cannot be read, or two answers to
/// one question, each with what is allowed.
pub(crate) fn rank_told(told: &Told, mut log: Vec<Line>, about: About<'_>) -> Result<Call> {
    let knowledge = Knowledge::built_in();
    let mut known = named(told)?;
    let (weighed, mut unused) = told
        .readings
        .weighed(about.model, about.pressure_pa.unwrap_or(SEA_LEVEL_PA));
    known.extend(weighed);
    if told.setpoint().is_some() && log.is_empty() {
        unused.push("the setpoint needs a log that is held against it".into());
    }
    let shown = log::beside(&mut log, &known);
    known.extend(shown);
    let of_unit = about.model.map(traits);
    let ranking = rank(knowledge, of_unit.as_deref(), &known)?;
    Ok(Call {
        next: next(knowledge, of_unit.as_deref(), &known),
        ranking,
        unused,
        log,
        place: Place::new(about.tag.map_or("the unit".into(), |t| format!("unit {t}"))),
    })
}

impl Call {
    /// The call as the record keeps it; the cause only where it is as good as
    /// found.
    ///
    /// - `did`: what was done, in a person's words; empty: what the list advises
    ///
    /// # Errors
    /// Nothing was told at all, or it is mended and neither a cause is found nor
    /// said what was done.
    pub(crate) fn entry(
        &self,
        told: &Told,
        tag: Option<&str>,
        (mended, did): (Mended, &str),
    ) -> Result<FaultEntry> {
        if told.is_nothing() && self.log.is_empty() && did.trim().is_empty() {
            bail!("nothing was told of the fault: say what is seen, or what was done");
        }
        let cause = self.ranking.found().filter(|_| self.ranking.explained);
        Ok(FaultEntry {
            unit: tag.map(str::to_owned),
            symptoms: told.seen.clone(),
            cause: cause.map(|c| c.id.clone()),
            remedy: match (did.trim(), cause, mended) {
                ("", None, Mended::Done) => {
                    bail!(
                        "say what was done: the cause is open, so that no advice can stand for it"
                    )
                }
                ("", None, Mended::Open) => "none yet: the cause is open".into(),
                ("", Some(cause), Mended::Open) => cause.remedy.clone(),
                ("", Some(cause), Mended::Done) => format!("as advised: {}", cause.remedy),
                (did, ..) => did.to_owned(),
            },
            mended,
        })
    }
}

/// Symptoms and answers of what was told.
///
/// # Errors
/// Every name and every answer that there is none of, with what is allowed.
pub(crate) fn named(told: &Told) -> Result<Vec<Known>, NotKnown> {
    let knowledge = Knowledge::built_in();
    let symptom = |seen: bool| {
        move |id: &String| match knowledge.symptom(id) {
            Some(_) => Ok(Known::Symptom {
                id: id.clone(),
                seen,
            }),
            None => Err(format!("there is no symptom \"{id}\"")),
        }
    };
    let seen = told.seen.iter().map(symptom(true));
    let not_seen = told.not_seen.iter().map(symptom(false));
    let answers = told.answers.iter().map(|said| answered(knowledge, said));
    let (mut known, mut faults) = (Vec::new(), Vec::new());
    for each in seen.chain(not_seen).chain(answers) {
        match each {
            Ok(each) => known.push(each),
            Err(words) => faults.push(words),
        }
    }
    if faults.is_empty() {
        Ok(known)
    } else {
        Err(NotKnown(faults))
    }
}

fn answered(knowledge: &Knowledge, answer: &str) -> Result<Known, String> {
    let (test, number) = answer.split_once('=').ok_or_else(|| {
        format!("\"{answer}\" is no answer; write it as TEST=2 for the second outcome")
    })?;
    let known = knowledge
        .test(test.trim())
        .ok_or_else(|| format!("there is no test \"{test}\""))?;
    let outcomes = known.outcomes.len();
    let number: usize = number
        .trim()
        .parse()
        .ok()
        .filter(|n| (1..=outcomes).contains(n))
        .ok_or_else(|| {
            let all: Vec<String> = (1..)
                .zip(&known.outcomes)
                .map(|(i, o)| format!("{i} {o}"))
                .collect();
            format!(
                "{test}: \"{number}\" is no outcome; there are: {}",
                all.join("; ")
            )
        })?;
    Ok(Known::Outcome {
        test: known.id.clone(),
        outcome: number - 1,
    })
}

fn take(
    taken: &mut Taken,
    (name, text): (&str, &str),
    typed: &Typed<'_>,
    about: About<'_>,
) -> Result<(), Fault> {
    let fault = |words: String, may_be_meant: bool| Fault {
        entry: name.to_owned(),
        words,
        may_be_meant,
    };
    let Some(entry) = ENTRIES.iter().find(|e| e.id == name) else {
        let all: Vec<&str> = ENTRIES.iter().map(|e| e.id).collect();
        let words = format!("no reading \"{name}\"; there are: {}", all.join(", "));
        return Err(fault(words, false));
    };
    let told = |words: &str| format!("{}: {words}", entry.words);
    if taken.get(entry.id).is_some() {
        let words = told("it is given twice; keep one of the two");
        return Err(fault(words, false));
    }
    let asks = entry.asks(Against {
        model: about.model,
        pressure_pa: about.pressure_pa,
    });
    let not = |not: NotTaken| fault(told(&not.words), not.may_be_meant);
    let value = asks.read(text, typed.units).map_err(not)?;
    asks.weigh(value, typed.units, typed.meant.contains(&name))
        .map_err(not)?;
    taken.add(entry.id, value.si);
    Ok(())
}
