//! A step of the installation as JSON: its tables with their units.

use std::collections::BTreeMap;

use job::Placement;
use quantity::{Finding, UnitSystem};
use schemars::JsonSchema;
use serde::Serialize;
use sheet::report::{Block, Cell};

use super::day::{PlacedResult, placed};
use super::{FindingResult, findings};

/// One step of the installation.
#[derive(Serialize, JsonSchema)]
pub(crate) struct StepResult {
    schema: &'static str,
    room: String,
    /// placement, hanging, drain, power or control.
    step: &'static str,
    units: Vec<PlacedResult>,
    tables: Vec<TableResult>,
    findings: Vec<FindingResult>,
}

/// A table of the step's sheet. Numbers are in SI, °C for temperatures, and
/// the unit stands at the end of the key.
#[derive(Serialize, JsonSchema)]
struct TableResult {
    caption: String,
    rows: Vec<BTreeMap<String, serde_json::Value>>,
}

impl StepResult {
    pub(crate) fn new(
        room: &str,
        step: &'static str,
        placement: &Placement,
        blocks: &[Block],
        found: &[Finding],
    ) -> Self {
        Self {
            schema: "drywright/step/1",
            room: room.to_owned(),
            step,
            units: placed(&placement.units),
            tables: tables(blocks),
            findings: findings(found),
        }
    }
}

fn tables(blocks: &[Block]) -> Vec<TableResult> {
    blocks
        .iter()
        .filter_map(|b| match b {
            Block::Table(table) => Some(table),
            _ => None,
        })
        .map(|table| TableResult {
            caption: table.caption.show(UnitSystem::Metric),
            rows: table
                .rows
                .iter()
                .map(|row| {
                    table
                        .columns
                        .iter()
                        .zip(row)
                        .filter_map(|(column, cell)| {
                            entry(&column.head.show(UnitSystem::Metric), cell)
                        })
                        .collect()
                })
                .collect(),
        })
        .collect()
}

/// A cell as key and value; nothing where there is nothing to say.
fn entry(head: &str, cell: &Cell) -> Option<(String, serde_json::Value)> {
    let mut key: String = head
        .to_lowercase()
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '_' })
        .collect();
    while key.contains("__") {
        key = key.replace("__", "_");
    }
    let key = key.trim_matches('_').to_owned();
    match cell {
        Cell::Text(text) => Some((key, text.show(UnitSystem::Metric).into())),
        Cell::Value(value) => {
            let key = match value.dim.suffix() {
                "" => key,
                suffix => format!("{key}_{suffix}"),
            };
            Some((key, value.si.into()))
        }
        Cell::Unknown => Some((key, serde_json::Value::Null)),
        Cell::Blank | Cell::NotApplicable => None,
    }
}
