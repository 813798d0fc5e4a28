//! `drywright schema` and `drywright manual`: what the files and results are.

use anyhow::{Result, bail};
use schemars::schema_for;
use serde_json::Value as Json;

use crate::Verdict;
use crate::out;
use crate::results::{
    CheckResult, DayResult, DesignResult, LoadResult, SelectionResult, StartResult, StepResult,
    SuggestionsResult,
};

/// Makes a schema.
type Make = fn() -> Json;

/// Names of all schemas, with how each is made.
const SCHEMAS: &[(&str, Make)] = &[
    ("room", || room::ROOM_FORMAT.json_schema()),
    ("site", || room::SITE_FORMAT.json_schema()),
    ("machine", || equipment::MODEL_FORMAT.json_schema()),
    ("cooling-machine", || equipment::COOLER_FORMAT.json_schema()),
    ("controller", || equipment::CONTROLLER_FORMAT.json_schema()),
    ("air", || schema_for!(super::air::AirResult).to_value()),
    ("check", || schema_for!(CheckResult).to_value()),
    ("load", || schema_for!(LoadResult).to_value()),
    ("selection", || schema_for!(SelectionResult).to_value()),
    ("day", || schema_for!(DayResult).to_value()),
    ("catalog", || {
        schema_for!(super::catalog::CatalogResult).to_value()
    }),
    ("catalog-check", || {
        schema_for!(super::catalog::CatalogCheckResult).to_value()
    }),
    ("catalog-new", || {
        schema_for!(super::catalog::NewRecordResult).to_value()
    }),
    ("start", || schema_for!(StartResult).to_value()),
    ("step", || schema_for!(StepResult).to_value()),
    ("suggestions", || schema_for!(SuggestionsResult).to_value()),
    ("fault", || {
        schema_for!(super::fault::FaultResult).to_value()
    }),
    ("proof", || {
        schema_for!(super::prove::ProofResult).to_value()
    }),
    ("design", || schema_for!(DesignResult).to_value()),
];

pub(crate) fn run(name: Option<&str>) -> Result<Verdict> {
    let names = || {
        SCHEMAS
            .iter()
            .map(|(n, _)| *n)
            .collect::<Vec<_>>()
            .join(", ")
    };
    let Some(name) = name else {
        out::print(&format!("schemas: {}\n", names()))?;
        return Ok(Verdict::Clear);
    };
    let Some((_, make)) = SCHEMAS.iter().find(|(n, _)| *n == name) else {
        bail!("no schema \"{name}\"; there are: {}", names());
    };
    out::json(&make())?;
    Ok(Verdict::Clear)
}

pub(crate) fn manual() -> Result<Verdict> {
    for text in [
        room::ROOM_FORMAT.manual(),
        room::SITE_FORMAT.manual(),
        equipment::MODEL_FORMAT.manual(),
        equipment::COOLER_FORMAT.manual(),
        equipment::CONTROLLER_FORMAT.manual(),
    ] {
        out::print(&format!("{text}\n"))?;
    }
    Ok(Verdict::Clear)
}
