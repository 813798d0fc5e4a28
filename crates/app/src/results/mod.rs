//! Results as JSON: units in the keys, fixed whatever is shown; a `schema`
//! name and version in each.

use job::Design;
use quantity::{Band, Finding, UnitSystem};
use schemars::JsonSchema;
use serde::Serialize;

mod day;
mod load;
mod selection;
mod start;
mod step;
mod suggestions;

pub(crate) use day::DayResult;
pub(crate) use load::LoadResult;
pub(crate) use selection::SelectionResult;
pub(crate) use start::StartResult;
pub(crate) use step::StepResult;
pub(crate) use suggestions::SuggestionsResult;

use day::{PlacedResult, placed};

/// Low, likely and high.
#[derive(Serialize, JsonSchema, Clone, Copy)]
pub(crate) struct BandResult {
    low: f64,
    likely: f64,
    high: f64,
}

impl BandResult {
    pub(crate) fn of(band: Band, factor: f64) -> Self {
        let b = band.map(|x| x * factor);
        Self {
            low: b.low,
            likely: b.likely,
            high: b.high,
        }
    }
}

const PER_HOUR: f64 = 3600.0;
const J_TO_KWH: f64 = 1.0 / 3.6e6;
const S_TO_H: f64 = 1.0 / 3600.0;

/// A judgement. Texts are in metric units.
#[derive(Serialize, JsonSchema)]
pub(crate) struct FindingResult {
    check: String,
    severity: &'static str,
    place: String,
    what: String,
    why: String,
    remedy: String,
    source: String,
}

pub(crate) fn findings<'a>(all: impl IntoIterator<Item = &'a Finding>) -> Vec<FindingResult> {
    all.into_iter()
        .map(|f| FindingResult {
            check: f.check.to_string(),
            severity: match f.severity {
                quantity::Severity::Note => "note",
                quantity::Severity::Fix => "fix",
                quantity::Severity::Stop => "stop",
            },
            place: f.place.0.to_string(),
            what: f.what.show(UnitSystem::Metric),
            why: f.why.show(UnitSystem::Metric),
            remedy: f.remedy.show(UnitSystem::Metric),
            source: f.source.cite.to_string(),
        })
        .collect()
}

/// A room file read, with what gives to think about.
#[derive(Serialize, JsonSchema)]
pub(crate) struct CheckResult {
    pub(crate) schema: &'static str,
    pub(crate) room: String,
    pub(crate) file: String,
    pub(crate) assumptions: Vec<AssumptionResult>,
    pub(crate) findings: Vec<FindingResult>,
}

/// Something that was assumed.
#[derive(Serialize, JsonSchema)]
pub(crate) struct AssumptionResult {
    pub(crate) key: String,
    pub(crate) taken: String,
    pub(crate) source: String,
}

/// Everything of one room.
#[derive(Serialize, JsonSchema)]
pub(crate) struct DesignResult {
    schema: &'static str,
    design_id: String,
    room: String,
    load: LoadResult,
    selection: SelectionResult,
    units: Vec<PlacedResult>,
    day: DayResult,
    /// Findings of all steps, worst first.
    findings: Vec<FindingResult>,
}

impl DesignResult {
    pub(crate) fn new(room: &str, design: &Design) -> Self {
        Self {
            schema: "drywright/design/1",
            design_id: design.id.clone(),
            room: room.to_owned(),
            load: LoadResult::new(room, &design.load),
            selection: SelectionResult::new(room, &design.selection),
            units: placed(&design.placement.units),
            day: DayResult::new(room, &design.day),
            findings: findings(design.findings()),
        }
    }
}
