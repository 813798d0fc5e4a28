//! `drywright fault`: from what is seen and measured to the likeliest cause and
//! the next best test.

use std::path::Path;

use anyhow::{Context, Result, bail};
use equipment::{Catalog, Model};
use job::Effort;
use job::record::{Body, Mended};
use job::service::log::{Line, from_log};
use job::service::{Against, ENTRIES, Knowledge, Question, Taken};
use quantity::UnitSystem;
use schemars::JsonSchema;
use serde::Serialize;
use sheet::sheets::fault::{Call as Sheet, blocks};

use crate::Verdict;
use crate::call::{
    About, Call, NotKnown, NotRead, Told, Typed, named, rank_told, readings_of, shown_alone,
};
use crate::cli::{FaultArgs, Shown};
use crate::commands::placed;
use crate::commands::prove::proved;
use crate::logs::by_options;
use crate::out;
use crate::project::{Project, machine_files, one_room};
use crate::record::Store;
use crate::results::{FindingResult, findings};
use crate::startup::each_by_option;
use crate::watch::Watch;

pub(crate) fn run(args: &FaultArgs, shown: Shown) -> Result<Verdict> {
    let project = args.room.as_deref().map(one_room).transpose()?;
    let units = project.as_ref().map_or_else(
        || shown.units.map_or(UnitSystem::Metric, Into::into),
        |p| p.units(shown),
    );
    if args.list {
        out::print(&listed(Knowledge::built_in(), units))?;
        return Ok(Verdict::Clear);
    }
    let built_in;
    let catalog = match &project {
        Some(project) => &project.catalog,
        None => {
            built_in = Catalog::read(&machine_files(Path::new("."))?)
                .map_err(|problems| crate::project::refused(&problems))?;
            &built_in
        }
    };
    let model = model(args, project.as_ref(), catalog)?;
    let about = About {
        tag: args.unit.as_deref(),
        model,
        pressure_pa: project
            .as_ref()
            .map(|p| job::airs::pressure_pa(&p.room.site)),
    };
    let told = told(args, units, about)?;
    let lines = shown_by_logs(project.as_ref(), args, &told, about)?;
    let call = rank_told(&told, lines, about)?;
    if let (Some(person), Some(project)) = (&args.record, &project) {
        let mended = if args.mended {
            Mended::Done
        } else {
            Mended::Open
        };
        let did = args.did.as_deref().unwrap_or_default();
        let entry = Body::Fault(call.entry(&told, args.unit.as_deref(), (mended, did))?);
        let store = Store::of(&project.folder());
        let added = store.append(&project.stem(), (person, None), vec![entry], None)?;
        out::message(&format!(
            "written into {} ({})",
            project.folder().join(crate::record::NAME).display(),
            added.event.hash.short()
        ));
    }
    let knowledge = Knowledge::built_in();
    if shown.json {
        out::json(&FaultResult::new(&call))?;
    } else {
        let sheet = Sheet {
            knowledge,
            ranking: &call.ranking,
            next: &call.next,
            unused: &call.unused,
            log: &call.log,
            place: &call.place,
        };
        out::print(&out::blocks(blocks(&sheet), units))?;
    }
    Ok(Verdict::Clear)
}

/// What is told, before any log is read for it.
///
/// # Errors
/// Everything in it that is not taken, each on a line of its own.
fn told(args: &FaultArgs, units: UnitSystem, about: About<'_>) -> Result<Told> {
    let mut typed = Typed {
        texts: Vec::new(),
        meant: args.meant.iter().map(String::as_str).collect(),
        units,
    };
    let mut not_taken = String::new();
    for reading in &args.reading {
        match reading.split_once('=') {
            Some(split) => typed.texts.push(split),
            None => {
                not_taken +=
                    &format!("\n  \"{reading}\" is no reading; write it as \"current=9.8 A\".");
            }
        }
    }
    let readings = readings_of(&typed, about).unwrap_or_else(|NotRead(faults)| {
        not_taken += &each_by_option(&faults);
        Taken::default()
    });
    let told = Told {
        seen: args.seen.clone(),
        not_seen: args.not_seen.clone(),
        answers: args.answer.clone(),
        readings,
    };
    if let Err(NotKnown(faults)) = named(&told) {
        let each = faults.iter().map(|words| format!("\n  {words}."));
        not_taken.extend(each);
        not_taken += "\nSymptoms and tests are listed by: drywright fault --list";
    }
    if not_taken.is_empty() {
        Ok(told)
    } else {
        bail!("not taken:{not_taken}")
    }
}

/// What the logs show of the fault; without a room file, what they show by
/// themselves.
fn shown_by_logs(
    project: Option<&Project>,
    args: &FaultArgs,
    told: &Told,
    about: About<'_>,
) -> Result<Vec<Line>> {
    if args.logs.is_empty() {
        return Ok(Vec::new());
    }
    let set = told.setpoint();
    let watch = Watch::new();
    let logs = (&args.logs[..], &args.written);
    let lines = match project {
        Some(project) => proved(project, logs, Effort::Preview, &watch).map(|(proof, _)| {
            from_log(
                &project.room,
                &project.catalog,
                &proof,
                (about.tag, about.model),
                set,
            )
        }),
        None => shown_alone(logs, told, about, &watch).map(|(lines, _)| lines),
    };
    watch.done();
    lines.map_err(by_options)
}

/// Tags and models of the units: those that the room lists, else those that the
/// design chooses for it, as the start-up has them.
fn units_of(project: &Project) -> Result<Vec<(String, String)>> {
    let listed = &project.room.units;
    if !listed.is_empty() {
        let of = listed.iter();
        return Ok(of
            .map(|u| (u.tag.value.clone(), u.model.value.clone()))
            .collect());
    }
    let design = placed(project).with_context(|| {
        format!(
            "{}: no [[unit]] stands in it, and none can be chosen for it; name the model with --model",
            project.path.display()
        )
    })?;
    let of = design.units.into_iter();
    Ok(of.map(|u| (u.tag, u.model)).collect())
}

/// The record of the unit that the call is about.
fn model<'a>(
    args: &FaultArgs,
    project: Option<&Project>,
    catalog: &'a Catalog,
) -> Result<Option<&'a Model>> {
    let code = match (&args.model, &args.unit, project) {
        (Some(code), ..) => code.clone(),
        (None, Some(tag), Some(project)) => {
            let units = units_of(project)?;
            match units.iter().find(|(of, _)| of == tag) {
                Some((_, code)) => code.clone(),
                None => {
                    let tags: Vec<&str> = units.iter().map(|(of, _)| of.as_str()).collect();
                    bail!(
                        "{}: no unit \"{tag}\"; there are: {}",
                        project.path.display(),
                        tags.join(", ")
                    )
                }
            }
        }
        (None, Some(_), None) if args.logs.is_empty() => {
            bail!(
                "--unit needs the room file that has the unit, or a log with a channel of that name"
            )
        }
        (None, Some(_), None) => return Ok(None),
        (None, None, _) => return Ok(None),
    };
    match catalog.dehumidifiers.get(&code) {
        Some(model) => Ok(Some(model)),
        None => {
            let all: Vec<&str> = catalog.dehumidifiers.keys().map(String::as_str).collect();
            bail!("no model \"{code}\"; there are: {}", all.join(", "))
        }
    }
}

/// All symptoms, tests and readings by name.
fn listed(knowledge: &Knowledge, units: UnitSystem) -> String {
    let mut text = String::from("What can be seen (--seen NAME, --not-seen NAME):\n");
    for s in &knowledge.symptoms {
        text.push_str(&format!("  {:24} {}\n", s.id, s.words));
    }
    text.push_str("\nTests (--answer NAME=NUMBER):\n");
    for t in &knowledge.tests {
        text.push_str(&format!("  {:24} {}\n", t.id, t.ask));
        for (i, o) in (1..).zip(&t.outcomes) {
            text.push_str(&format!("  {:24}   {i} {o}\n", ""));
        }
    }
    text.push_str("\nReadings (--reading \"NAME=VALUE\"):\n");
    for e in ENTRIES {
        let unit = e.asks(Against::default()).unit(units);
        text.push_str(&format!("  {:24} {}, {unit}\n", e.id, e.words));
    }
    text
}

/// A cause with its probability.
#[derive(Serialize, JsonSchema)]
struct CauseResult {
    /// Its name in the list; none for a cause that the list does not hold.
    cause: Option<String>,
    what: String,
    /// 0 to 1.
    probability: f64,
    remedy: Option<String>,
}

/// An open question.
#[derive(Serialize, JsonSchema)]
struct QuestionResult {
    name: String,
    ask: String,
    how: Option<String>,
    outcomes: Vec<String>,
    minutes: f64,
    bits: f64,
    caution: &'static str,
}

/// Causes of a fault by what is known, and what to ask or measure next.
#[derive(Serialize, JsonSchema)]
pub(crate) struct FaultResult {
    schema: &'static str,
    explained: bool,
    causes: Vec<CauseResult>,
    next: Vec<QuestionResult>,
    not_used: Vec<String>,
    /// What logs show, line by line.
    log: Vec<LineResult>,
    findings: Vec<FindingResult>,
}

/// A line of what logs show.
#[derive(Serialize, JsonSchema)]
struct LineResult {
    shows: String,
    /// The symptom or test that it answers.
    answers: Option<String>,
    /// Probability of each outcome by it; a symptom: seen, not seen.
    outcomes: Vec<f64>,
    /// Whether it counts; not where a person has answered the same.
    counts: bool,
}

impl FaultResult {
    fn new(call: &Call) -> Self {
        let knowledge = Knowledge::built_in();
        let found = job::service::findings(knowledge, &call.ranking, &call.place);
        Self {
            schema: "drywright/fault/1",
            explained: call.ranking.explained,
            causes: call
                .ranking
                .causes
                .iter()
                .map(|r| CauseResult {
                    cause: r.cause.map(|c| c.id.clone()),
                    what: r
                        .cause
                        .map_or("a cause that this list does not hold".into(), |c| {
                            c.name.clone()
                        }),
                    probability: r.probability,
                    remedy: r.cause.map(|c| c.remedy.clone()),
                })
                .collect(),
            next: call
                .next
                .iter()
                .map(|n| {
                    let (ask, how, outcomes) = match n.question {
                        Question::Symptom(s) => (
                            s.words.clone(),
                            None,
                            vec!["seen".into(), "not seen".into()],
                        ),
                        Question::Test(t) => {
                            (t.ask.clone(), Some(t.how.clone()), t.outcomes.clone())
                        }
                    };
                    QuestionResult {
                        name: n.id().to_owned(),
                        ask,
                        how,
                        outcomes,
                        minutes: n.minutes,
                        bits: n.bits,
                        caution: n.danger().caution(),
                    }
                })
                .collect(),
            not_used: call
                .unused
                .iter()
                .map(|t| t.show(UnitSystem::Metric))
                .collect(),
            log: call
                .log
                .iter()
                .map(|line| LineResult {
                    shows: line.shows().show(UnitSystem::Metric),
                    answers: line.known().map(|k| k.about().to_owned()),
                    outcomes: line.outcomes(),
                    counts: matches!(line, Line::Counts(_)),
                })
                .collect(),
            findings: findings(&found),
        }
    }
}
