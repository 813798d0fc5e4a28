//! The proof as numbers.

use job::proof::Proof;
use quantity::UnitSystem;
use room::Period;
use schemars::JsonSchema;
use serde::Serialize;
use sheet::sheets::proof::LogRead;

use crate::results::{BandResult, FindingResult, findings};

/// What logs prove of a room.
#[derive(Serialize, JsonSchema)]
pub(crate) struct ProofResult {
    schema: &'static str,
    room: String,
    logs: Vec<LogResult>,
    /// Seconds since 1970 UTC.
    from_s: i64,
    to_s: i64,
    known_h: f64,
    lights: &'static str,
    periods: Vec<PeriodResult>,
    leaf_risk_h: f64,
    longest_leaf_risk_h: f64,
    least_surface_margin_k: Option<f64>,
    worst_nights: Vec<NightResult>,
    runs_from: &'static str,
    units: Vec<UnitResult>,
    water_counted_kg: Option<f64>,
    water: Option<WaterResult>,
    proposals: Vec<ProposalResult>,
    again: Option<AgainResult>,
    findings: Vec<FindingResult>,
}

/// How a file was read.
#[derive(Serialize, JsonSchema)]
struct LogResult {
    file: String,
    encoding: &'static str,
    delimiter: String,
    decimal: String,
    dates: Option<&'static str>,
    rows: u64,
    rejected: u64,
    repeats: u64,
    out_of_order: u64,
    rejected_rows: Vec<RejectedResult>,
    channels: Vec<ChannelResult>,
}

/// A rejected row.
#[derive(Serialize, JsonSchema)]
struct RejectedResult {
    line: u64,
    reason: &'static str,
    text: String,
}

/// What a column was taken for.
#[derive(Serialize, JsonSchema)]
struct ChannelResult {
    name: String,
    taken_for: &'static str,
    unit: &'static str,
    because: String,
    readings: u64,
    missing: u64,
    /// The first cells that hold no number, or one that cannot be.
    bad: Vec<BadResult>,
}

/// A cell that was not taken.
#[derive(Serialize, JsonSchema)]
struct BadResult {
    line: u64,
    text: String,
}

/// A period of the day.
#[derive(Serialize, JsonSchema)]
struct PeriodResult {
    period: &'static str,
    known_h: f64,
    in_target: f64,
    too_humid: f64,
    mean_dry_bulb_c: f64,
    mean_rel_humidity: f64,
    mean_vpd_kpa: f64,
    mean_dew_point_c: f64,
    highest_rel_humidity: f64,
    lowest_vpd_kpa: f64,
}

/// A night.
#[derive(Serialize, JsonSchema)]
struct NightResult {
    from_s: i64,
    known_h: f64,
    too_humid_h: f64,
    highest_rel_humidity: f64,
    leaf_risk_h: f64,
}

/// A unit.
#[derive(Serialize, JsonSchema)]
struct UnitResult {
    tag: String,
    model: String,
    channel: Option<String>,
    /// `null` where nothing tells.
    run_share: Option<f64>,
    /// `null` where no channel tells of the unit.
    starts: Option<usize>,
    most_starts_per_hour: Option<usize>,
    usual_run_min: Option<f64>,
    /// Answer of the air over that by its record, and its standard deviation.
    pull_down: Option<[f64; 2]>,
}

/// The real water load.
#[derive(Serialize, JsonSchema)]
struct WaterResult {
    over_h: f64,
    found_kg_per_day: Option<BandResult>,
    surveyed_kg_per_day: BandResult,
    found_kg_per_h: Vec<Option<BandResult>>,
    surveyed_kg_per_h: Vec<BandResult>,
    by_units_kg_per_day: f64,
    by_cooling_kg_per_day: f64,
    rest_kg_per_half_hour: f64,
    unknowns: Vec<UnknownResult>,
}

/// What was found of an unknown; in SI.
#[derive(Serialize, JsonSchema)]
struct UnknownResult {
    unknown: &'static str,
    before: BandResult,
    after: BandResult,
}

/// A proposed change of the room file.
#[derive(Serialize, JsonSchema)]
struct ProposalResult {
    section: &'static str,
    /// Which of several sections of that name, from 0.
    nth: usize,
    key: &'static str,
    typed: String,
    unit: &'static str,
    as_surveyed: BandResult,
    as_found: BandResult,
    /// What the log gives, where the file does not take all of it and what was
    /// found was cut.
    cut_from: Option<BandResult>,
}

/// The selection with what was found.
#[derive(Serialize, JsonSchema)]
struct AgainResult {
    units: String,
    days: usize,
    held_as_surveyed: usize,
    held_as_found: usize,
    /// With the water as found and the units as surveyed.
    held_as_found_units_as_surveyed: usize,
    /// Water that the units remove over their records.
    units_over_records_as_surveyed: Option<BandResult>,
    units_over_records_as_found: Option<BandResult>,
    enough: bool,
    needed: Option<String>,
    cheapest_measure: Option<String>,
}

const PERIODS: [(Period, &str); 3] = [
    (Period::LightsOn, "lights_on"),
    (Period::Transition, "transition"),
    (Period::LightsOff, "lights_off"),
];

const H: f64 = 3600.0;

impl ProofResult {
    pub(super) fn new(room: &str, proof: &Proof, logs: &[LogRead<'_>]) -> Self {
        let series = &proof.series;
        Self {
            schema: "proof/1",
            room: room.to_owned(),
            logs: logs.iter().map(log).collect(),
            from_s: series.instant_s.first().copied().unwrap_or(0),
            to_s: series.instant_s.last().copied().unwrap_or(0),
            known_h: series.known().count() as f64 * series.step_s / H,
            lights: proof.lit.from.words(),
            periods: PERIODS
                .iter()
                .filter(|(p, _)| 0.0 < proof.periods[*p as usize].known_s)
                .map(|(p, name)| {
                    let seen = &proof.periods[*p as usize];
                    PeriodResult {
                        period: name,
                        known_h: seen.known_s / H,
                        in_target: seen.in_band_share(),
                        too_humid: seen.too_humid_share(),
                        mean_dry_bulb_c: seen.mean_dry_bulb_c,
                        mean_rel_humidity: seen.mean_rel_humidity,
                        mean_vpd_kpa: seen.mean_vpd_pa / 1000.0,
                        mean_dew_point_c: seen.mean_dew_point_c,
                        highest_rel_humidity: seen.highest_rel_humidity.0,
                        lowest_vpd_kpa: seen.lowest_vpd_pa.0 / 1000.0,
                    }
                })
                .collect(),
            leaf_risk_h: proof.surfaces.leaf_risk_s.iter().sum::<f64>() / H,
            longest_leaf_risk_h: proof.surfaces.longest_leaf_risk_s / H,
            least_surface_margin_k: proof.surfaces.least_margin_k.map(|(k, _)| k),
            worst_nights: proof
                .nights
                .iter()
                .map(|n| NightResult {
                    from_s: series.instant_s[n.from],
                    known_h: n.known_s / H,
                    too_humid_h: n.too_humid_s / H,
                    highest_rel_humidity: n.highest_rel_humidity.0,
                    leaf_risk_h: n.leaf_risk_s / H,
                })
                .collect(),
            runs_from: proof.runs_from.words(),
            units: proof
                .units
                .iter()
                .map(|u| UnitResult {
                    tag: u.tag.clone(),
                    model: u.model.clone(),
                    channel: u.channel.clone(),
                    run_share: u.run_share,
                    starts: u.channel.as_ref().map(|_| u.starts),
                    most_starts_per_hour: u.channel.as_ref().map(|_| u.most_starts_per_hour),
                    usual_run_min: u.usual_run_s.map(|s| s / 60.0),
                    pull_down: u.pull_down.map(|p| [p.factor, p.deviation]),
                })
                .collect(),
            water_counted_kg: proof.counted.as_ref().map(|c| c.all_kg),
            water: proof.water.as_ref().map(water),
            proposals: proof
                .proposals
                .iter()
                .map(|p| ProposalResult {
                    section: p.section,
                    nth: p.nth,
                    key: p.key,
                    typed: p.typed.clone(),
                    unit: p.unit,
                    as_surveyed: BandResult::of(p.as_surveyed, 1.0),
                    as_found: BandResult::of(p.as_found, 1.0),
                    cut_from: p.cut.map(|cut| BandResult::of(cut.found, 1.0)),
                })
                .collect(),
            again: proof.again.as_ref().map(|a| AgainResult {
                units: a.units.words(),
                days: a.found.1,
                held_as_surveyed: a.surveyed.0,
                held_as_found: a.found.0,
                held_as_found_units_as_surveyed: a.found_units_as_surveyed.0,
                units_over_records_as_surveyed: a.capacity.map(|c| BandResult::of(c.surveyed, 1.0)),
                units_over_records_as_found: a.capacity.map(|c| BandResult::of(c.found, 1.0)),
                enough: a.enough,
                needed: a.needed.as_ref().map(|n| n.words()),
                cheapest_measure: a
                    .cheapest
                    .as_ref()
                    .map(|(what, _)| what.show(UnitSystem::Metric)),
            }),
            findings: findings(&proof.findings),
        }
    }
}

fn log(log: &LogRead<'_>) -> LogResult {
    let t = log.taken;
    LogResult {
        file: log.file.to_owned(),
        encoding: t.encoding,
        delimiter: char::from(t.layout.delimiter).to_string(),
        decimal: char::from(t.layout.marks.decimal).to_string(),
        dates: t.layout.order.map(|o| o.word()),
        rows: t.rows,
        rejected: t.rejects_all(),
        repeats: t.repeats,
        out_of_order: t.out_of_order,
        rejected_rows: t
            .rejected
            .iter()
            .map(|r| RejectedResult {
                line: r.line,
                reason: r.reason.words(),
                text: r.text.clone(),
            })
            .collect(),
        channels: t
            .channels
            .iter()
            .map(|c| ChannelResult {
                name: c.name.clone(),
                taken_for: c.measure.word(),
                unit: c.unit,
                because: c.why.clone(),
                readings: c.readings,
                missing: c.missing.all(),
                bad: c
                    .bad
                    .iter()
                    .map(|b| BadResult {
                        line: b.line,
                        text: b.text.clone(),
                    })
                    .collect(),
            })
            .collect(),
    }
}

fn water(water: &job::proof::Water) -> WaterResult {
    WaterResult {
        over_h: water.over_s / H,
        found_kg_per_day: water.kg_per_day.map(|b| BandResult::of(b, 1.0)),
        surveyed_kg_per_day: BandResult::of(water.surveyed_kg_per_day, 1.0),
        found_kg_per_h: water
            .hours
            .iter()
            .map(|b| b.map(|b| BandResult::of(b, H)))
            .collect(),
        surveyed_kg_per_h: water
            .surveyed
            .iter()
            .map(|b| BandResult::of(*b, H))
            .collect(),
        by_units_kg_per_day: water.removed_kg_per_day.0,
        by_cooling_kg_per_day: water.removed_kg_per_day.1,
        rest_kg_per_half_hour: water.rest_kg,
        unknowns: water
            .found
            .iter()
            .map(|f| UnknownResult {
                unknown: water.words_of(f.unknown),
                before: BandResult::of(f.before, 1.0),
                after: BandResult::of(f.after, 1.0),
            })
            .collect(),
    }
}
