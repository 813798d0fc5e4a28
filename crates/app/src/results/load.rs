//! The water and heat of a room as JSON.

use job::Load;
use job::load::{LoadSource, LoadSpan};
use schemars::JsonSchema;
use serde::Serialize;

use super::{BandResult, FindingResult, PER_HOUR, S_TO_H, findings};

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
pub(super) const fn period_word(number: usize) -> &'static str {
    match number {
        0 => "lights_on",
        1 => "transition",
        _ => "lights_off",
    }
}
