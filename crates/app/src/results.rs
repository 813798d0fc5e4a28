//! Results as JSON: units in the keys, fixed whatever is shown; a `schema`
//! name and version in each.

use std::collections::BTreeMap;

use job::load::{LoadSource, LoadSpan};
use job::placement::Suggestions;
use job::selection::{Candidate, Moment};
use job::{Day, Design, Judged, Load, PlacedBy, PlacedUnit, Placement, Selection};
use quantity::{Band, Finding, UnitSystem};
use schemars::JsonSchema;
use serde::Serialize;
use sheet::report::{Block, Cell};

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

/// Water and heat of one source in one span of time.
#[derive(Serialize, JsonSchema)]
struct SourceResult {
    source: &'static str,
    water_kg_per_h: BandResult,
    mean_water_kg_per_h: f64,
    sensible_w: BandResult,
}

/// Water and heat in one span of time.
#[derive(Serialize, JsonSchema)]
struct SpanResult {
    water_kg_per_h: BandResult,
    sensible_w: BandResult,
    sources: Vec<SourceResult>,
}

impl SpanResult {
    fn of(span: &LoadSpan) -> Self {
        Self {
            water_kg_per_h: BandResult::of(span.water_kg_per_s, PER_HOUR),
            sensible_w: BandResult::of(span.sensible_w, 1.0),
            sources: span
                .sources
                .iter()
                .map(|s| SourceResult {
                    source: LoadSource::word(s.source),
                    water_kg_per_h: BandResult::of(s.water_kg_per_s, PER_HOUR),
                    mean_water_kg_per_h: s.mean_water_kg_per_s * PER_HOUR,
                    sensible_w: BandResult::of(s.sensible_w, 1.0),
                })
                .collect(),
        }
    }
}

/// One part of the day.
#[derive(Serialize, JsonSchema)]
struct PeriodResult {
    period: &'static str,
    length_h: f64,
    #[serde(flatten)]
    mean: SpanResult,
}

/// Measured water against the crop model.
#[derive(Serialize, JsonSchema)]
struct MeasuredResult {
    vapour_kg_per_day: BandResult,
    drawn_kg_per_day: BandResult,
    worth_draws: f64,
    agrees: bool,
}

/// Water and heat by source.
#[derive(Serialize, JsonSchema)]
pub(crate) struct LoadResult {
    schema: &'static str,
    room: String,
    water_kg_per_day: BandResult,
    periods: Vec<PeriodResult>,
    /// Hour 0 to 23 of the clock.
    hours: Vec<SpanResult>,
    canopy_kg_per_m2_day: BandResult,
    share_of_water_fed: Option<BandResult>,
    water_kg_per_kwh_light: Option<BandResult>,
    night_share: Option<BandResult>,
    measured: Option<MeasuredResult>,
    findings: Vec<FindingResult>,
}

impl LoadResult {
    pub(crate) fn new(room: &str, load: &Load) -> Self {
        Self {
            schema: "drywright/load/1",
            room: room.to_owned(),
            water_kg_per_day: BandResult::of(load.water_kg_per_day, 1.0),
            periods: load
                .periods
                .iter()
                .map(|p| PeriodResult {
                    period: period_word(p.period as usize),
                    length_h: p.length_s * S_TO_H,
                    mean: SpanResult::of(&p.mean),
                })
                .collect(),
            hours: load.hours.iter().map(SpanResult::of).collect(),
            canopy_kg_per_m2_day: BandResult::of(load.trust.per_canopy_kg_per_m2_day, 1.0),
            share_of_water_fed: load
                .trust
                .share_of_water_fed
                .map(|b| BandResult::of(b, 1.0)),
            water_kg_per_kwh_light: load
                .trust
                .per_light_energy_kg_per_j
                .map(|b| BandResult::of(b, 3.6e6)),
            night_share: load.trust.night_share.map(|b| BandResult::of(b, 1.0)),
            measured: load.measured.as_ref().map(|m| MeasuredResult {
                vapour_kg_per_day: BandResult::of(m.vapour_kg_per_day, 1.0),
                drawn_kg_per_day: BandResult::of(m.drawn_kg_per_day, 1.0),
                worth_draws: m.worth_draws,
                agrees: m.agrees,
            }),
            findings: findings(&load.findings),
        }
    }
}

/// Lights-on, transition, lights-off by number.
const fn period_word(number: usize) -> &'static str {
    match number {
        0 => "lights_on",
        1 => "transition",
        _ => "lights_off",
    }
}

/// Drawn days of one set of units.
#[derive(Serialize, JsonSchema)]
struct JudgedResult {
    units: Vec<GroupResult>,
    drawn_days: usize,
    held_days: usize,
    held_days_lights_on: Option<usize>,
    held_days_transition: Option<usize>,
    held_days_lights_off: Option<usize>,
    units_kwh_per_day: BandResult,
    cooling_kwh_per_day: BandResult,
    drained_kg_per_day: BandResult,
    cooling_shortfall_h_per_day: BandResult,
    leaf_wetness_risk_h_per_day: BandResult,
    most_starts_per_hour: u32,
}

/// How many units of one model.
#[derive(Serialize, JsonSchema)]
struct GroupResult {
    model: String,
    count: u32,
}

impl JudgedResult {
    fn of(j: &Judged) -> Self {
        Self {
            units: j
                .units
                .groups()
                .iter()
                .map(|(model, count)| GroupResult {
                    model: model.clone(),
                    count: *count,
                })
                .collect(),
            drawn_days: j.days,
            held_days: j.held_days,
            held_days_lights_on: j.held_days_by_period[0],
            held_days_transition: j.held_days_by_period[1],
            held_days_lights_off: j.held_days_by_period[2],
            units_kwh_per_day: BandResult::of(j.units_j_per_day, J_TO_KWH),
            cooling_kwh_per_day: BandResult::of(j.cooling_j_per_day, J_TO_KWH),
            drained_kg_per_day: BandResult::of(j.drained_kg_per_day, 1.0),
            cooling_shortfall_h_per_day: BandResult::of(j.cooling_shortfall_s, S_TO_H),
            leaf_wetness_risk_h_per_day: BandResult::of(j.leaf_wetness_risk_s, S_TO_H),
            most_starts_per_hour: j.most_starts_per_hour,
        }
    }
}

/// A set of units that was tried.
#[derive(Serialize, JsonSchema)]
struct CandidateResult {
    meets: bool,
    judged: JudgedResult,
    /// Under the room's wish for the water of cooling coils.
    held_days_counted: usize,
    held_days_without_coil_water: Option<usize>,
    /// `null` at a first look, unless a spare is asked for.
    held_days_one_unit_out: Option<usize>,
    first_cost: Option<f64>,
    cost_over_5_years: Option<f64>,
}

impl CandidateResult {
    fn of(c: &Candidate, credit: room::CoilCredit) -> Self {
        Self {
            meets: c.meets,
            held_days_counted: c.counted(credit).held_days,
            judged: JudgedResult::of(&c.judged),
            held_days_without_coil_water: c.without_coil_water.as_ref().map(|j| j.held_days),
            held_days_one_unit_out: c.one_unit_out.as_ref().map(|j| j.held_days),
            first_cost: c.first_cost,
            cost_over_5_years: c.cost_over_years,
        }
    }
}

/// One unit at one moment.
#[derive(Serialize, JsonSchema)]
struct MomentResult {
    inlet_dry_bulb_c: f64,
    inlet_rel_humidity: f64,
    removal_kg_per_h: f64,
    power_w: f64,
    sensible_w: f64,
    discharge_c: f64,
    energy_factor_kg_per_kwh: f64,
    beyond_data: Option<&'static str>,
}

impl MomentResult {
    fn of(m: &Moment) -> Self {
        Self {
            inlet_dry_bulb_c: m.inlet_dry_bulb_c,
            inlet_rel_humidity: m.inlet_rel_humidity,
            removal_kg_per_h: m.removal_kg_per_s * PER_HOUR,
            power_w: m.power_w,
            sensible_w: m.sensible_w,
            discharge_c: m.discharge_c,
            energy_factor_kg_per_kwh: m.energy_factor_kg_per_j * 3.6e6,
            beyond_data: m.beyond,
        }
    }
}

/// One model, rated and at room air.
#[derive(Serialize, JsonSchema)]
struct CapacityResult {
    model: String,
    rated_kg_per_h: f64,
    rated_at: String,
    lights_on: MomentResult,
    lights_off: MomentResult,
}

/// A cheaper measure and what it does.
#[derive(Serialize, JsonSchema)]
struct MeasureResult {
    what: String,
    held_days_before: usize,
    held_days_after: usize,
    drawn_days: usize,
}

/// Something to measure, and what it decides.
#[derive(Serialize, JsonSchema)]
struct ErrandResult {
    input: &'static str,
    what: &'static str,
    units_if_low: u32,
    units_if_high: u32,
}

/// Which units and how many.
#[derive(Serialize, JsonSchema)]
pub(crate) struct SelectionResult {
    schema: &'static str,
    room: String,
    effort: &'static str,
    /// What a first look leaves to the full run; `null` where nothing is left.
    left_to_full_run: Option<&'static str>,
    /// Room-days simulated, those to settle included.
    room_days_simulated: usize,
    chosen: Option<CandidateResult>,
    runner_up: Option<CandidateResult>,
    present: Option<CandidateResult>,
    binding: Option<&'static str>,
    candidates: Vec<CandidateResult>,
    capacities: Vec<CapacityResult>,
    measures: Vec<MeasureResult>,
    errands: Vec<ErrandResult>,
    findings: Vec<FindingResult>,
}

impl SelectionResult {
    pub(crate) fn new(room: &str, s: &Selection) -> Self {
        Self {
            schema: "drywright/selection/1",
            room: room.to_owned(),
            effort: s.effort.word(),
            left_to_full_run: s.effort.left_out(),
            room_days_simulated: s.room_days,
            chosen: s
                .chosen
                .as_ref()
                .map(|c| CandidateResult::of(c, s.coil_credit)),
            runner_up: s
                .runner_up
                .as_ref()
                .map(|c| CandidateResult::of(c, s.coil_credit)),
            present: s
                .present
                .as_ref()
                .map(|c| CandidateResult::of(c, s.coil_credit)),
            binding: s.binding.map(|p| period_word(p as usize)),
            candidates: s
                .candidates
                .iter()
                .map(|c| CandidateResult::of(c, s.coil_credit))
                .collect(),
            capacities: s
                .capacities
                .iter()
                .map(|c| CapacityResult {
                    model: c.code.clone(),
                    rated_kg_per_h: c.rated_kg_per_s * PER_HOUR,
                    rated_at: c.rated_at.clone(),
                    lights_on: MomentResult::of(&c.lights_on),
                    lights_off: MomentResult::of(&c.lights_off),
                })
                .collect(),
            measures: s
                .measures
                .iter()
                .map(|m| MeasureResult {
                    what: m.what.show(UnitSystem::Metric),
                    held_days_before: m.before,
                    held_days_after: m.after.held_days,
                    drawn_days: m.after.days,
                })
                .collect(),
            errands: s
                .errands
                .iter()
                .map(|e| ErrandResult {
                    input: e.input.name(),
                    what: e.what,
                    units_if_low: e.units_if_low,
                    units_if_high: e.units_if_high,
                })
                .collect(),
            findings: findings(&s.findings),
        }
    }
}

/// One part of the typical day.
#[derive(Serialize, JsonSchema)]
struct DayPeriodResult {
    period: &'static str,
    hours: f64,
    mean_dry_bulb_c: f64,
    highest_dry_bulb_c: f64,
    lowest_dry_bulb_c: f64,
    mean_rel_humidity: f64,
    mean_humidity_ratio_kg_per_kg: f64,
    highest_rel_humidity: f64,
    highest_rel_humidity_at_h: f64,
    lowest_vpd_kpa: f64,
    humidity_in_band_h: f64,
    too_humid_h: f64,
    too_dry_h: f64,
}

/// Electricity and water of one machine on the typical day.
#[derive(Serialize, JsonSchema)]
struct UnitDayResult {
    model: String,
    kwh: f64,
    drained_kg: f64,
    reevaporated_kg: f64,
    run_h: f64,
    starts: u32,
}

/// Heat, water and electricity of one cooling machine on the typical day.
#[derive(Serialize, JsonSchema)]
struct CoolingDayResult {
    compressor_and_outdoor_fan_kwh: f64,
    indoor_fan_kwh: f64,
    coil_sensible_kwh: f64,
    coil_latent_kwh: f64,
    drained_kg: f64,
    run_h: f64,
}

/// A day that goes wrong.
#[derive(Serialize, JsonSchema)]
struct ScenarioResult {
    case: &'static str,
    holds: bool,
    highest_rel_humidity: f64,
    least_surface_margin_k: Option<f64>,
}

/// The simulated day.
#[derive(Serialize, JsonSchema)]
pub(crate) struct DayResult {
    schema: &'static str,
    room: String,
    judged: JudgedResult,
    periods: Vec<DayPeriodResult>,
    units: Vec<UnitDayResult>,
    cooling: Vec<CoolingDayResult>,
    electricity_kwh: f64,
    leaf_wetness_risk_h: f64,
    water_balance_worst_step_kg: f64,
    scenarios: Vec<ScenarioResult>,
    findings: Vec<FindingResult>,
}

impl DayResult {
    pub(crate) fn new(room: &str, day: &Day) -> Self {
        let summary = &day.summary;
        let days = f64::from(summary.days);
        Self {
            schema: "drywright/day/1",
            room: room.to_owned(),
            judged: JudgedResult::of(&day.judged),
            periods: summary
                .periods
                .iter()
                .filter(|p| 0.0 < p.time_s)
                .map(|p| DayPeriodResult {
                    period: period_word(p.period as usize),
                    hours: p.time_s * S_TO_H / days,
                    mean_dry_bulb_c: p.mean_dry_bulb_c,
                    highest_dry_bulb_c: p.highest_dry_bulb_c.value,
                    lowest_dry_bulb_c: p.lowest_dry_bulb_c.value,
                    mean_rel_humidity: p.mean_rel_humidity,
                    mean_humidity_ratio_kg_per_kg: p.mean_humidity_ratio,
                    highest_rel_humidity: p.highest_rel_humidity.value,
                    highest_rel_humidity_at_h: p.highest_rel_humidity.at_s * S_TO_H,
                    lowest_vpd_kpa: p.lowest_vpd_pa.value / 1000.0,
                    humidity_in_band_h: p.humidity_in_band_s * S_TO_H / days,
                    too_humid_h: p.too_humid_s * S_TO_H / days,
                    too_dry_h: p.too_dry_s * S_TO_H / days,
                })
                .collect(),
            units: day
                .units
                .models()
                .zip(&summary.dehumidifiers)
                .map(|(model, d)| UnitDayResult {
                    model: model.to_owned(),
                    kwh: d.energy_j * J_TO_KWH / days,
                    drained_kg: d.drained_kg / days,
                    reevaporated_kg: d.reevaporated_kg / days,
                    run_h: d.run_s * S_TO_H / days,
                    starts: d.starts,
                })
                .collect(),
            cooling: summary
                .cooling
                .iter()
                .map(|c| CoolingDayResult {
                    compressor_and_outdoor_fan_kwh: c.compressor_j * J_TO_KWH / days,
                    indoor_fan_kwh: c.indoor_fan_j * J_TO_KWH / days,
                    coil_sensible_kwh: c.coil_sensible_j * J_TO_KWH / days,
                    coil_latent_kwh: c.coil_latent_j * J_TO_KWH / days,
                    drained_kg: c.drained_kg / days,
                    run_h: c.run_s * S_TO_H / days,
                })
                .collect(),
            electricity_kwh: summary.energy.total_j() * J_TO_KWH / days,
            leaf_wetness_risk_h: summary.leaf_wetness_risk_s * S_TO_H / days,
            water_balance_worst_step_kg: day.balance.worst_step_water_kg,
            scenarios: day
                .scenarios
                .iter()
                .map(|s| ScenarioResult {
                    case: s.kind.words(),
                    holds: s.holds_all(),
                    highest_rel_humidity: s
                        .summary
                        .periods
                        .iter()
                        .filter(|p| 0.0 < p.time_s)
                        .map(|p| p.highest_rel_humidity.value)
                        .fold(0.0, f64::max),
                    least_surface_margin_k: s.summary.least_surface_margin_k.map(|m| m.value),
                })
                .collect(),
            findings: findings(&day.findings),
        }
    }
}

/// A unit in its place.
#[derive(Serialize, JsonSchema)]
struct PlacedResult {
    tag: String,
    model: String,
    /// Centre of the box.
    at_m: [f64; 3],
    /// +x, -x, +y or -y: where its front points.
    facing: &'static str,
    mount: &'static str,
    /// survey or search.
    placed_by: &'static str,
    short_circuit: f64,
}

fn placed(units: &[PlacedUnit]) -> Vec<PlacedResult> {
    units
        .iter()
        .map(|u| PlacedResult {
            tag: u.tag.clone(),
            model: u.model.clone(),
            at_m: u.frame.at_m,
            facing: u.frame.facing.word(),
            mount: u.mount.word(),
            placed_by: match u.by {
                PlacedBy::Survey => "survey",
                PlacedBy::FacingSearched => "survey, direction by search",
                PlacedBy::Search => "search",
            },
            short_circuit: u.short_circuit,
        })
        .collect()
}

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

/// The best few sets of places.
#[derive(Serialize, JsonSchema)]
pub(crate) struct SuggestionsResult {
    schema: &'static str,
    room: String,
    seed: u64,
    /// Best first; empty where no places without a Stop finding were found.
    suggestions: Vec<SuggestionResult>,
    /// Why there are none.
    none_because: Vec<FindingResult>,
}

#[derive(Serialize, JsonSchema)]
struct SuggestionResult {
    units: Vec<PlacedResult>,
    fixes: usize,
    short_circuit_sum: f64,
    fastest_on_canopy_m_per_s: f64,
    least_margin_m: f64,
    mean_way_to_drain_m: f64,
    mean_way_to_panel_m: f64,
    trades: String,
}

impl SuggestionsResult {
    pub(crate) fn new(room: &str, seed: u64, found: &Suggestions) -> Self {
        Self {
            schema: "drywright/suggestions/1",
            room: room.to_owned(),
            seed,
            suggestions: found
                .best
                .iter()
                .map(|s| SuggestionResult {
                    units: placed(&s.units),
                    fixes: s.score.fixes,
                    short_circuit_sum: s.score.short_circuit,
                    fastest_on_canopy_m_per_s: s.score.canopy_m_per_s,
                    least_margin_m: s.score.least_margin_m,
                    mean_way_to_drain_m: s.score.drain_m,
                    mean_way_to_panel_m: s.score.panel_m,
                    trades: s.trades.show(UnitSystem::Metric),
                })
                .collect(),
            none_because: findings(&found.none_because),
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

/// Where a start-up stands.
#[derive(Serialize, JsonSchema)]
pub(crate) struct StartResult {
    schema: &'static str,
    room: String,
    design_id: String,
    /// "not started", "same" or "other": whether the record was begun against
    /// the files as they are.
    basis: &'static str,
    record_is_whole: bool,
    chain_hash: String,
    steps: Vec<StartStepResult>,
    findings: Vec<FindingResult>,
}

/// A step as it stands. Readings are in SI, °C for temperatures.
#[derive(Serialize, JsonSchema)]
struct StartStepResult {
    id: String,
    unit: Option<String>,
    title: String,
    /// "closed", "open", "waiting", "done", "not proven", "failed", "left out".
    standing: &'static str,
    waits_for: Vec<String>,
    left_s: Option<f64>,
    reason: Option<String>,
    /// What it asks for.
    entries: Vec<EntryResult>,
    readings: Vec<ReadingResult>,
    said: Option<String>,
    event: Option<String>,
    by: Option<String>,
    at_utc_ms: Option<i64>,
}

/// What a step asks for.
#[derive(Serialize, JsonSchema)]
struct EntryResult {
    id: String,
    title: String,
    /// Words to choose from; none where a number is asked for.
    words: Vec<String>,
    /// Least and greatest likely number, with their units.
    likely: Option<[String; 2]>,
    must_be: bool,
    /// How often it is read at least.
    times: usize,
}

impl EntryResult {
    fn new(entry: &job::startup::Entry) -> Self {
        use job::startup::{Asks, Must, Often, YES};
        Self {
            id: entry.id.clone(),
            title: entry.title.show(UnitSystem::Metric),
            words: match &entry.asks {
                Asks::Quantity(_) => Vec::new(),
                Asks::YesNo(_) => vec![YES.into(), "no".into()],
                Asks::Choice(words) => words.iter().map(|w| (*w).to_owned()).collect(),
            },
            likely: entry.quantity().map(|q| {
                q.plausible.map(|si| {
                    quantity::Value::new(si, q.dim)
                        .digits(4)
                        .show(UnitSystem::Metric)
                })
            }),
            must_be: entry.must == Must::Be,
            times: match entry.often {
                Often::Once => 1,
                Often::Series(least) => least,
            },
        }
    }
}

/// A reading in the SI unit of its kind.
#[derive(Serialize, JsonSchema)]
struct ReadingResult {
    entry: String,
    si: f64,
    typed: Option<String>,
}

impl StartResult {
    pub(crate) fn new(start: &crate::startup::Start, stands: &crate::startup::Stands) -> Self {
        use job::startup::{BasisIs, Standing};
        let state = &stands.state;
        Self {
            schema: "drywright/start/1",
            room: start.project.room.name.value.clone(),
            design_id: start.plan.design_id.clone(),
            basis: match state.basis {
                BasisIs::NotStarted => "not started",
                BasisIs::Same => "same",
                BasisIs::Other => "other",
            },
            record_is_whole: stands.read.is_whole(),
            chain_hash: stands.read.report.chain_hash().to_string(),
            steps: start
                .plan
                .steps
                .iter()
                .zip(&state.steps)
                .map(|(step, at)| StartStepResult {
                    id: step.id.clone(),
                    unit: step.unit.clone(),
                    title: step.title.show(UnitSystem::Metric),
                    standing: at.standing.word(),
                    waits_for: match &at.standing {
                        Standing::Closed { waits_for } => waits_for.clone(),
                        _ => Vec::new(),
                    },
                    left_s: match &at.standing {
                        Standing::Waiting { left_ms, .. } => Some(*left_ms as f64 / 1_000.0),
                        _ => None,
                    },
                    reason: match &at.standing {
                        Standing::Skipped { reason } => Some(reason.clone()),
                        _ => None,
                    },
                    entries: step.entries.iter().map(EntryResult::new).collect(),
                    readings: at
                        .readings
                        .iter()
                        .map(|(_, r)| ReadingResult {
                            entry: r.entry.clone(),
                            si: r.value.si,
                            typed: r.typed.clone(),
                        })
                        .collect(),
                    said: at
                        .judgement
                        .as_ref()
                        .map(|j| j.said.show(UnitSystem::Metric)),
                    event: at.event.map(|h| h.to_string()),
                    by: at.by.clone(),
                    at_utc_ms: at.at.as_ref().map(|m| m.utc_ms),
                })
                .collect(),
            findings: findings(&state.findings),
        }
    }
}
