//! The choice of units as JSON.

use job::selection::{Candidate, Moment};
use job::{Judged, Selection};
use quantity::UnitSystem;
use schemars::JsonSchema;
use serde::Serialize;

use super::load::period_word;
use super::{BandResult, FindingResult, J_TO_KWH, PER_HOUR, S_TO_H, findings};

/// Drawn days of one set of units.
#[derive(Serialize, JsonSchema)]
pub(super) struct JudgedResult {
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
    pub(super) fn of(j: &Judged) -> Self {
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
