//! From symptom to cause, for a call: choose what is seen, add what is known,
//! get causes and the next best question. Everything told stands in the
//! address, so that each answer is a page that can be gone back from.

mod log;

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::response::Redirect;
use axum::routing::get;
use axum::{Extension, Form, Router};
use equipment::Catalog;
use job::PlacedUnit;
use job::record::{Body, Mended};
use job::service::log::from_log;
use job::service::{Against, ENTRIES, Entry, Knowledge, Question};
use job::{Effort, Silent};
use maud::{Markup, html};
use quantity::UnitSystem;
use sheet::sheets::fault::{Call as Sheet, blocks as call_blocks};

use super::logs::{LogShows, by_fields};
use crate::call::{About, Call, NotRead, Told, Typed, rank_told, readings_of, shown_alone};
use crate::commands::prove::proved;
use crate::project::machine_files;
use crate::record::Store;
use crate::startup::Fault;
use crate::web::answers::Answer;
use crate::web::app::App;
use crate::web::gate::Session;
use crate::web::hash::sha256;
use crate::web::recording::{device, new_key, request};
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::store::{JobFolder, Logs};
use crate::web::view::blocks::blocks;
use crate::web::view::layout::{Page, Place, page, sheet_href};
use crate::web::work::{answer_for, busy};

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new()
        .route("/fault", get(anywhere))
        .route("/jobs/{job}/rooms/{room}/fault", get(in_room).post(record))
        .merge(log::routes())
}

/// Keys of the address: `seen.ID` is yes or no, `test.ID` the number of an
/// outcome, `read.ID` a reading as typed, `meant.ID` its text again where
/// the unusual number in it is meant, `unit` and `model` which
/// unit, `log.NAME` is yes for a log that counts, `dates`, `zone`, `columns` and
/// the like say what logs leave open.
type Asked = BTreeMap<String, String>;

/// What the address tells.
///
/// # Errors
/// Readings that cannot be taken.
fn told(asked: &Asked, about: About<'_>, units: UnitSystem) -> anyhow::Result<Told> {
    let mut told = Told::default();
    let mut typed = Typed {
        texts: Vec::new(),
        meant: Vec::new(),
        units,
    };
    for (key, value) in asked {
        let value = value.trim();
        if value.is_empty() {
            continue;
        }
        if let Some(id) = key.strip_prefix("seen.") {
            match value {
                "yes" => told.seen.push(id.into()),
                "no" => told.not_seen.push(id.into()),
                _ => {}
            }
        } else if let Some(id) = key.strip_prefix("test.") {
            told.answers.push(format!("{id}={value}"));
        } else if let Some(id) = key.strip_prefix("read.") {
            typed.texts.push((id, value));
        } else if let Some(id) = key.strip_prefix("meant.") {
            // It was said of what stood there then.
            let typed_now = asked.get(&format!("read.{id}")).map(|text| text.trim());
            if typed_now == Some(value) {
                typed.meant.push(id);
            }
        }
    }
    told.readings = readings_of(&typed, about)?;
    Ok(told)
}

async fn anywhere(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Query(asked): Query<Asked>,
) -> Result<Markup, Refused> {
    busy(move || {
        let files = machine_files(app.jobs.root()).map_err(Refused::Disk)?;
        let catalog = Catalog::read(&files)?;
        let codes: Vec<&str> = catalog.dehumidifiers.keys().map(String::as_str).collect();
        let code = asked.get("model");
        let about = About {
            tag: asked
                .get("unit")
                .map(String::as_str)
                .filter(|t| !t.is_empty()),
            model: code.and_then(|code| catalog.dehumidifiers.get(code)),
            pressure_pa: None,
        };
        let session = &visitor.session;
        let units = session.units_or(UnitSystem::Metric);
        let logs = app.jobs.call_logs();
        let key = sha256(format!("{files:?}").as_bytes());
        let shows = told(&asked, about, units).and_then(|told| {
            let shows = shown_alone_by(&app, (&logs, &asked), &told, about, &key)?;
            Ok((told, shows))
        });
        let named = shows
            .as_ref()
            .map_or_else(|_| Vec::new(), |(_, shows)| shows.units.clone());
        let named: Vec<&str> = named.iter().map(String::as_str).collect();
        let call = shows.and_then(|(told, shows)| rank_told(&told, shows.lines, about));
        let choice = html! {
            (choice("model", "Model, if it is known", &codes, &asked))
            @if 1 < named.len() { (choice("unit", "Unit, as the log names it", &named, &asked)) }
        };
        let scene = Scene {
            session,
            place: Place::Folder,
            units,
            asked: &asked,
            choice: &choice,
            logs: &logs,
            about,
        };
        // In a room with other units the only one of the log needs its name.
        let only = match named[..] {
            [only] if about.tag.is_none() => Some(only),
            _ => None,
        };
        Ok(shown(&scene, &call, &log::without_room(&app, &asked, only)))
    })
    .await
}

/// What the logs that count show without a room.
///
/// - `machines`: changes with what the machine files say
fn shown_alone_by(
    app: &App,
    (logs, asked): (&Logs, &Asked),
    told: &Told,
    about: About<'_>,
    machines: &str,
) -> anyhow::Result<LogShows> {
    let files = log::files(logs, asked)?;
    if files.is_empty() {
        return Ok(LogShows::default());
    }
    let code = about.model.map(|m| m.code.as_str());
    let set = told.setpoint();
    let key = format!("{machines} {:?} {code:?} {set:?}", about.tag);
    app.logs_shown
        .of(&key, (&files, &log::open(asked)), |written| {
            let (lines, units) = shown_alone((&files, written), told, about, &Silent)?;
            Ok(LogShows { lines, units })
        })
}

/// A call to be written into the record.
async fn record(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    Form(asked): Form<Asked>,
) -> Result<Redirect, Refused> {
    let answer = answer_for(&app, &job, &room).await?;
    let folder = app.jobs.job(&job)?.path().to_path_buf();
    let back = sheet_href(&job, &room, "fault");
    let word = |key: &str| asked.get(key).map_or("", |v| v.trim()).to_owned();
    let (person, name, did) = (word("by"), word("form"), word("did"));
    if person.is_empty() {
        return Err(Refused::BadRequest(
            "Say who writes this: a name is missing.".into(),
        ));
    }
    let mended = if word("mended") == "yes" {
        Mended::Done
    } else {
        Mended::Open
    };
    let job = app.jobs.job(&job)?;
    busy(move || {
        let tag = placed(&answer, &asked).map(|u| u.tag.as_str());
        let refused = |e: anyhow::Error| Refused::BadRequest(by_fields(&e));
        let units = answer.units(&visitor.session);
        let told = told(&asked, about(&answer, &asked), units).map_err(refused)?;
        let call = call(&app, &job, &answer, (&asked, &told)).map_err(refused)?;
        let entry = Body::Fault(call.entry(&told, tag, (mended, &did)).map_err(refused)?);
        let request = request(&visitor.session, &name, &format!("{asked:?}"));
        let store = Store::of(&folder);
        let who = (person.as_str(), device(&visitor.session));
        let added = store.append(&room, who, vec![entry], request.as_ref())?;
        let hash = added.event.hash.short();
        Ok(Redirect::to(&format!("{back}?written={hash}")))
    })
    .await
}

/// The unit of the design that is asked about.
fn placed<'a>(answer: &'a Answer, asked: &Asked) -> Option<&'a PlacedUnit> {
    let tag = asked.get("unit")?;
    let mut units = answer.design.placement.units.iter();
    units.find(|u| u.tag == *tag)
}

/// The unit that is asked about: as the design has it, else as a log names it.
fn about<'a>(answer: &'a Answer, asked: &'a Asked) -> About<'a> {
    let catalog = &answer.project.catalog;
    let of_design = placed(answer, asked).and_then(|u| u.record(catalog).ok());
    let said = || catalog.dehumidifiers.get(asked.get("model")?);
    About {
        tag: asked
            .get("unit")
            .map(String::as_str)
            .filter(|t| !t.is_empty()),
        model: of_design.or_else(said),
        pressure_pa: Some(job::airs::pressure_pa(&answer.project.room.site)),
    }
}

/// The call that the address tells, with the logs that it names.
///
/// # Errors
/// What was told or a log cannot be used, and why.
fn call(
    app: &App,
    job: &JobFolder,
    answer: &Answer,
    (asked, told): (&Asked, &Told),
) -> anyhow::Result<Call> {
    let about = about(answer, asked);
    let files = log::files(&job.logs(), asked)?;
    if files.is_empty() {
        return rank_told(told, Vec::new(), about);
    }
    let (project, set) = (&answer.project, told.setpoint());
    let code = about.model.map(|m| m.code.as_str());
    let key = format!("{} {:?} {code:?} {set:?}", project.key, about.tag);
    let open = log::open(asked);
    let shows = app.logs_shown.of(&key, (&files, &open), |written| {
        let (proof, _) = proved(project, (&files, written), Effort::Preview, &Silent)?;
        Ok(LogShows {
            lines: from_log(
                &project.room,
                &project.catalog,
                &proof,
                (about.tag, about.model),
                set,
            ),
            units: Vec::new(),
        })
    })?;
    rank_told(told, shows.lines, about)
}

async fn in_room(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    Query(asked): Query<Asked>,
) -> Result<Markup, Refused> {
    let answer = answer_for(&app, &job, &room).await?;
    let folder = app.jobs.job(&job)?;
    busy(move || {
        let placed = &answer.design.placement.units;
        let tags: Vec<&str> = placed.iter().map(|u| u.tag.as_str()).collect();
        let units = answer.units(&visitor.session);
        let told = told(&asked, about(&answer, &asked), units);
        let call = told.and_then(|told| call(&app, &folder, &answer, (&asked, &told)));
        let scene = Scene {
            session: &visitor.session,
            place: Place::Room {
                job: &job,
                room: &room,
                sheet: "fault",
                stamp: &answer.stamp(),
            },
            units,
            asked: &asked,
            choice: &choice("unit", "Unit", &tags, &asked),
            logs: &folder.logs(),
            about: about(&answer, &asked),
        };
        let put_in = log::of_this_room(&job, &room, &asked);
        Ok(shown(&scene, &call, &put_in))
    })
    .await
}

/// What was told so far, to go along with a form.
fn carried(asked: &Asked) -> Markup {
    html! {
        @for (key, value) in asked.iter().filter(|(k, v)| *k != "written" && !v.is_empty()) {
            input type="hidden" name=(key) value=(value);
        }
    }
}

fn choice(name: &str, label: &str, all: &[&str], asked: &Asked) -> Markup {
    html! {
        div.field {
            label for=(name) { (label) }
            select id=(name) name=(name) {
                option value="" { "not known" }
                @let now = asked.get(name).map(String::as_str).filter(|v| !v.is_empty());
                @for one in now.iter().filter(|v| !all.contains(v)).chain(all) {
                    option value=(one) selected[asked.get(name).is_some_and(|v| v == one)] { (one) }
                }
            }
        }
    }
}

/// What a page of a call is drawn from.
struct Scene<'a> {
    session: &'a Session,
    place: Place<'a>,
    units: UnitSystem,
    asked: &'a Asked,
    /// The field that says which unit.
    choice: &'a Markup,
    /// The logs that may count.
    logs: &'a Logs,
    /// What readings are held against.
    about: About<'a>,
}

fn shown(scene: &Scene<'_>, call: &anyhow::Result<Call>, put_in: &Markup) -> Markup {
    let knowledge = Knowledge::built_in();
    let asked = scene.asked;
    let title = if call.is_err() {
        "Error: Find a fault"
    } else {
        "Find a fault"
    };
    let next = call.as_ref().ok().and_then(|c| c.next.first());
    let asked_next = next.map(|n| n.id());
    let faults = call.as_ref().err().map_or(&[][..], not_taken);
    let body = html! {
        h1 { "Find a fault" }
        p { "Say what is seen and what was measured; each answer orders the causes anew. Leave open what nobody knows." }
        @if let Some(hash) = asked.get("written") {
            p.done { "Written into the record as " code { (hash) } "." }
        }
        @if let Err(error) = call { (problem(error)) }
        form.call method="get" {
            (scene.choice)
            (answers(next.map(|n| n.question), asked))
            details open[asked.keys().all(|k| !k.starts_with("seen."))] {
                summary { "What is seen" }
                // What is asked next stands above, and only there: a form has
                // each question once.
                @for s in knowledge.symptoms.iter().filter(|s| Some(s.id.as_str()) != asked_next) {
                    (yes_no(&s.id, &s.words, asked))
                }
            }
            details open[!faults.is_empty()] {
                summary { "Readings" }
                @for e in &ENTRIES { (reading(e, scene, faults)) }
            }
            (log::kept_logs(scene.logs, asked, call.is_err()))
            button.main { "Order the causes" }
        }
        @if let Ok(call) = call {
            (blocks(call_blocks(&Sheet {
                knowledge,
                ranking: &call.ranking,
                next: &call.next,
                unused: &call.unused,
                log: &call.log,
                place: &call.place,
            }), scene.units))
        }
        h2 { "A log" }
        (put_in)
        @if call.is_ok() && matches!(scene.place, Place::Room { .. }) { (to_record(asked)) }
        p { a href="?" { "Begin anew" } }
    };
    page(
        &Page {
            title: title.into(),
            place: scene.place,
            session: scene.session,
            scripts: &[],
        },
        &body,
    )
}

/// The readings that were not taken, if that is what is wrong.
fn not_taken(error: &anyhow::Error) -> &[Fault] {
    error.downcast_ref().map_or(&[], |NotRead(faults)| faults)
}

/// What is wrong; where it is readings, all of them with the way to each.
fn problem(error: &anyhow::Error) -> Markup {
    html! {
        div.problem tabindex="-1" {
            div role="alert" {
                h2 { "There is a problem" }
                @match not_taken(error) {
                    [] => { p { (by_fields(error)) } }
                    faults => {
                        ul {
                            @for fault in faults {
                                li { a href={ "#read." (fault.entry) } { (fault.words) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The field of a reading, with what is wrong in it.
fn reading(entry: &Entry, scene: &Scene<'_>, faults: &[Fault]) -> Markup {
    let name = format!("read.{}", entry.id);
    let is_meant = format!("meant.{}", entry.id);
    let against = Against {
        model: scene.about.model,
        pressure_pa: scene.about.pressure_pa,
    };
    let unit = entry.asks(against).unit(scene.units);
    let fault = faults.iter().find(|f| f.entry == entry.id);
    let text = scene.asked.get(&name).map(|text| text.trim());
    let was_meant = scene.asked.get(&is_meant).map(|text| text.trim());
    let was_meant = text.is_some() && was_meant == text;
    html! {
        div.field {
            label for=(name) { (entry.words) ", " (unit) }
            @if let Some(fault) = fault { p.error id={ (name) "-error" } { (fault.words) } }
            div.with-unit {
                input id=(name) name=(name) type="text" autocomplete="off" spellcheck="false"
                    value=[text] aria-invalid=[fault.map(|_| "true")]
                    aria-describedby=[fault.map(|_| format!("{name}-error"))];
                span aria-hidden="true" { (unit) }
            }
            @if was_meant || fault.is_some_and(|f| f.may_be_meant) {
                label.choice {
                    input type="checkbox" name=(is_meant) value=[text] checked[was_meant];
                    " It is meant"
                }
            }
        }
    }
}

/// The form that writes the call into the record; what was told goes along.
fn to_record(asked: &Asked) -> Markup {
    html! {
        h2 { "Into the record" }
        form method="post" {
            (carried(asked))
            input type="hidden" name="form" value=(new_key());
            div.field {
                label for="by" { "Who writes this" }
                input #by name="by" type="text" autocomplete="name" required;
            }
            div.field {
                label for="did" { "What was done, as the hand-over shows it" }
                textarea #did name="did" rows="2" {}
            }
            div.field { label.pick { input type="checkbox" name="mended" value="yes"; " It is mended" } }
            button { "Write it into the record" }
        }
    }
}

/// Tests that were answered, and the next best question with its outcomes.
fn answers(next: Option<Question<'_>>, asked: &Asked) -> Markup {
    let done = Knowledge::built_in().tests.iter().filter(|t| {
        let said = asked.get(&format!("test.{}", t.id));
        said.is_some_and(|said| !said.is_empty())
    });
    html! {
        @for t in done { (outcomes(t, asked)) }
        @if let Some(question) = next {
            fieldset.next {
                legend { "Next best question" }
                @match question {
                    Question::Symptom(s) => { (yes_no(&s.id, &s.words, asked)) }
                    Question::Test(t) => {
                        p { (t.how) }
                        p.caution { (t.danger.caution()) }
                        (outcomes(t, asked))
                    }
                }
            }
        }
    }
}

fn outcomes(test: &job::service::Test, asked: &Asked) -> Markup {
    let name = format!("test.{}", test.id);
    html! {
        div.field {
            label for=(name) { (test.ask) }
            select id=(name) name=(name) {
                option value="" { "not answered" }
                @for (i, outcome) in (1..).zip(&test.outcomes) {
                    @let value = i.to_string();
                    option value=(value) selected[asked.get(&name) == Some(&value)] { (outcome) }
                }
            }
        }
    }
}

fn yes_no(id: &str, words: &str, asked: &Asked) -> Markup {
    let name = format!("seen.{id}");
    html! {
        div.field {
            label for=(name) { (words) }
            select id=(name) name=(name) {
                option value="" { "not known" }
                @for (value, said) in [("yes", "yes, it is seen"), ("no", "no")] {
                    option value=(value) selected[asked.get(&name).is_some_and(|v| v == value)] { (said) }
                }
            }
        }
    }
}
