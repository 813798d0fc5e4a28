//! The day as JSON.

use job::{Day, PlacedBy, PlacedUnit};
use schemars::JsonSchema;
use serde::Serialize;

use super::load::period_word;
use super::selection::JudgedResult;
use super::{FindingResult, J_TO_KWH, S_TO_H, findings};

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
pub(super) struct PlacedResult {
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

pub(super) fn placed(units: &[PlacedUnit]) -> Vec<PlacedResult> {
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
