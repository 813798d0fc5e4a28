//! What can be asked: path, what it is, schema of the answer, how it is made.

use std::collections::BTreeMap;
use std::future::Future;
use std::pin::Pin;
use std::sync::Arc;

use job::Design;
use quantity::{Finding, UnitSystem};
use schemars::{JsonSchema, schema_for};
use serde::Serialize;
use serde_json::Value as JsonValue;
use sheet::{Block, sheets};

use super::super::answers::Answer;
use super::super::app::App;
use super::super::refused::Refused;
use super::super::work::{answer_for, busy};
use crate::cli::AirArgs;
use crate::commands::air::{AirResult, state};
use crate::commands::catalog::CatalogResult;
use crate::commands::check::result as checked;
use crate::json;
use crate::project::machine_files;
use crate::results::{
    CheckResult, DayResult, DesignResult, LoadResult, SelectionResult, StepResult,
};

/// Names in the path, or the query, by their keys.
type Names = BTreeMap<String, String>;
type Answered = Pin<Box<dyn Future<Output = Result<JsonValue, Refused>> + Send>>;

/// One thing that can be asked.
pub(super) struct Endpoint {
    /// Path; names in braces.
    pub(super) path: &'static str,
    /// What it gives.
    pub(super) help: &'static str,
    /// Keys that may stand in the query.
    pub(super) query: &'static [&'static str],
    /// Schema of the answer.
    pub(super) schema: fn() -> JsonValue,
    /// Makes the answer.
    pub(super) answer: fn(Arc<App>, Names, Names) -> Answered,
}

/// A job in the list.
#[derive(Serialize, JsonSchema)]
struct JobEntry {
    job: String,
    rooms: Vec<String>,
}

/// The jobs of the folder.
#[derive(Serialize, JsonSchema)]
pub(crate) struct JobsResult {
    schema: &'static str,
    jobs: Vec<JobEntry>,
}

const AIR_KEYS: &[&str] = &[
    "dry_bulb",
    "rh",
    "dew_point",
    "wet_bulb",
    "humidity_ratio",
    "vpd",
    "enthalpy",
    "altitude",
    "pressure",
    "leaf",
];

fn schema<T: JsonSchema>() -> JsonValue {
    schema_for!(T).to_value()
}

/// A room's endpoint: answered from the steps at their first look, or the full
/// run where there was one.
macro_rules! of_room {
    ($word:literal, $help:literal, $result:ty, $make:expr) => {
        Endpoint {
            path: concat!("/api/jobs/{job}/rooms/{room}/", $word),
            help: $help,
            query: &[],
            schema: schema::<$result>,
            answer: |app, names, _| {
                Box::pin(async move {
                    let (job, room) = both(&names);
                    let answer = answer_for(&app, job, room).await?;
                    busy(move || {
                        let make: fn(&Answer) -> $result = $make;
                        as_json(&make(&answer))
                    })
                    .await
                })
            },
        }
    };
}

/// Everything that can be asked.
pub(super) const ENDPOINTS: &[Endpoint] = &[
    Endpoint {
        path: "/api/jobs",
        help: "Jobs of the folder with their rooms",
        query: &[],
        schema: schema::<JobsResult>,
        answer: |app, _, _| {
            Box::pin(async move {
                as_json(&JobsResult {
                    schema: "drywright/jobs/1",
                    jobs: app
                        .jobs
                        .list()
                        .iter()
                        .map(|j| JobEntry {
                            job: j.name.to_string(),
                            rooms: j.rooms().iter().map(ToString::to_string).collect(),
                        })
                        .collect(),
                })
            })
        },
    },
    of_room!(
        "check",
        "The survey judged, with all that was assumed",
        CheckResult,
        |a| { checked(&a.project, &a.design.survey) }
    ),
    of_room!("load", "Water and heat by source", LoadResult, |a| {
        LoadResult::new(name(a), &a.design.load)
    }),
    of_room!(
        "selection",
        "Which units and how many, and what decides it",
        SelectionResult,
        |a| { SelectionResult::new(name(a), &a.design.selection) }
    ),
    of_room!("day", "The simulated day with the units", DayResult, |a| {
        DayResult::new(name(a), &a.design.day)
    }),
    of_room!(
        "placement",
        "Where units are, what breathes what",
        StepResult,
        |a| { step(a, "placement", a.design.placement.findings.clone()) }
    ),
    of_room!("hanging", "Rods, struts, reactions", StepResult, |a| {
        step(a, "hanging", a.design.hanging.findings.clone())
    }),
    of_room!("drain", "Traps, pipes, inverts, pumps", StepResult, |a| {
        step(a, "drain", a.design.drain.findings.clone())
    }),
    of_room!(
        "power",
        "Circuits, conductors, panel schedule",
        StepResult,
        |a| { step(a, "power", a.design.power.findings.clone()) }
    ),
    of_room!(
        "control",
        "Control wiring, set-up, setpoints",
        StepResult,
        |a| { step(a, "control", a.design.control.findings.clone()) }
    ),
    of_room!("design", "All steps in one", DesignResult, |a| {
        DesignResult::new(name(a), &a.design)
    }),
    Endpoint {
        path: "/api/machines",
        help: "Machines that are built in, rated beside capacity at crop-room air",
        query: &[],
        schema: schema::<CatalogResult>,
        answer: |_, _, _| {
            Box::pin(busy(|| {
                let files = machine_files(std::path::Path::new("")).map_err(Refused::Disk)?;
                let catalog = equipment::Catalog::read(&files)?;
                let result =
                    CatalogResult::new(&catalog).map_err(|e| Refused::Job(format!("{e:#}")))?;
                as_json(&result)
            }))
        },
    },
    Endpoint {
        path: "/api/air",
        help: "One air state from any two of its properties, each written with its unit",
        query: AIR_KEYS,
        schema: schema::<AirResult>,
        answer: |_, _, query| {
            Box::pin(async move {
                if let Some(key) = query.keys().find(|k| !AIR_KEYS.contains(&k.as_str())) {
                    return Err(Refused::BadRequest(format!(
                        "\"{key}\" is none of {}",
                        AIR_KEYS.join(", ")
                    )));
                }
                let (air, leaf_c) = state(&AirArgs::from_names(&query), UnitSystem::Metric)
                    .map_err(|p| {
                        Refused::BadRequest(match p.field {
                            Some(field) => format!("{field}: {}", p.words),
                            None => p.words,
                        })
                    })?;
                as_json(&AirResult::new(&air, leaf_c))
            })
        },
    },
];

fn both(names: &Names) -> (&str, &str) {
    let of = |key: &str| names.get(key).map_or("", String::as_str);
    (of("job"), of("room"))
}

fn as_json(result: &impl Serialize) -> Result<JsonValue, Refused> {
    let text = json::text(result).map_err(|e| Refused::Job(e.to_string()))?;
    serde_json::from_str(&text).map_err(|e| Refused::Job(e.to_string()))
}

fn name(answer: &Answer) -> &str {
    &answer.project.room.name.value
}

fn step(answer: &Answer, step: &'static str, findings: Vec<Finding>) -> StepResult {
    StepResult::new(
        name(answer),
        step,
        &answer.design.placement,
        &sheet_blocks(answer, &answer.design, step),
        &findings,
    )
}

fn sheet_blocks(answer: &Answer, design: &Design, step: &str) -> Vec<Block> {
    let (room, catalog) = (&answer.project.room, &answer.project.catalog);
    sheets::all(room, catalog, design, UnitSystem::Metric)
        .into_iter()
        .find(|(name, _)| *name == step)
        .map(|(_, blocks)| blocks)
        .unwrap_or_default()
}
