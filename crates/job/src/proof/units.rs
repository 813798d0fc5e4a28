//! When the units ran, how often they started, whether they pull down.

use equipment::Catalog;
use quantity::Band;
use readings::Measure;
use room::{Room, UnitState};

use super::Proof;
use super::counted::Counted;
use super::cycling::{most_in_an_hour, usual_run_s};
use super::pull_down::PullDown;
use super::running::{beyond_doubt, by_count, running};
use super::series::{Sensor, Series};
use crate::error::JobError;
use crate::machines::{self, Nodes};
use crate::placement::PlacedUnit;
use crate::settable::step_of;
use crate::units::{UnitAir, UnitSet};
use crate::zone;
use roomsim::RemovalTable;
use roomsim::setup::{CoilWater, Fan};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A unit of the room.
#[derive(Clone, Debug)]
pub(crate) struct RoomUnit {
    /// Its tag.
    pub(crate) tag: String,
    /// Its model.
    pub(crate) model: String,
    /// What it removes at each air.
    pub(crate) table: Arc<RemovalTable>,
    /// Water on its coil.
    pub(crate) coil: CoilWater,
    /// Habit of its fan.
    pub(crate) fan: Fan,
    /// Least time that it runs, and that it rests \[s\].
    pub(crate) least_runs_s: (f64, f64),
    /// Water that it removes over what its record says, as the room file has it.
    pub(crate) over_record: Band,
}

impl RoomUnit {
    /// What it removes in the air of a step while it runs, as its record and the
    /// room file say \[kg/s\].
    pub(super) fn by_record_kg_per_s(&self, series: &Series, step: usize) -> f64 {
        let air = (series.dry_bulb_c[step], series.rel_humidity[step]);
        self.over_record.likely * self.table.at(air.0, air.1).removal_kg_per_s
    }
}

/// How it is known when units ran.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RunsFrom {
    /// Power or state in the log.
    Log,
    /// Water that was counted, shared among all units by their records.
    Count,
    /// The setpoint of the room file, where the air leaves no doubt.
    Setpoint,
}

impl RunsFrom {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Log => "power or state of units in the log",
            Self::Count => {
                "no unit in the log: the water that was counted, laid out on all units by their records"
            }
            Self::Setpoint => {
                "no unit in the log: known only where the air is so far over the setpoint of the room file that all must run, or so far under it that none may"
            }
        }
    }
}

/// What one unit did.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitRuns {
    /// Its tag.
    pub tag: String,
    /// Its model; empty where nothing names it.
    pub model: String,
    /// The channel that tells; without one, `run` is reckoned, and starts and
    /// lengths of runs are not known.
    pub channel: Option<String>,
    /// Usual time between its readings \[s\].
    pub interval_s: f64,
    /// Share of each step that it ran; not a number where unknown.
    pub run: Vec<f64>,
    /// Starts.
    pub starts: usize,
    /// Most starts in any hour.
    pub most_starts_per_hour: usize,
    /// Share of the known time that it ran; `None` where only times beyond doubt
    /// are known, which are no sample of all.
    pub run_share: Option<f64>,
    /// Middle length of its runs \[s\]; `None` without a whole run.
    pub usual_run_s: Option<f64>,
    /// How the air answers to its starts and stops, over what its record says;
    /// `None` where too few switchings stand alone.
    pub pull_down: Option<PullDown>,
}

/// The units that stand in the room, else those of `set`, D1, D2 and on.
///
/// # Errors
/// A model that is not in the catalogue or cannot be tabulated.
pub(super) fn of_room(
    room: &Room,
    catalog: &Catalog,
    set: &UnitSet,
    placed: &[PlacedUnit],
    pressure_pa: f64,
) -> Result<Vec<RoomUnit>, JobError> {
    let there: Vec<(String, String)> = room
        .units
        .iter()
        .filter(|u| u.state.value == UnitState::InUse)
        .map(|u| (u.tag.value.clone(), u.model.value.clone()))
        .collect();
    let all = if there.is_empty() {
        let tags = (1..).map(|n| format!("D{n}"));
        tags.zip(set.models().map(str::to_owned)).collect()
    } else {
        there
    };
    let mut of_model: BTreeMap<String, usize> = BTreeMap::new();
    all.into_iter()
        .map(|(tag, code)| {
            let model = machines::record(&catalog.dehumidifiers, &code, &tag)?;
            let share = placed
                .iter()
                .find(|p| p.tag == tag)
                .map_or(room.selection.short_circuit.value, |p| p.short_circuit);
            let air = UnitAir {
                short_circuit: share,
                ducted_m3_per_s: None,
            };
            let table = machines::removal_table(model, pressure_pa, air, Nodes::Fine)?;
            let nth = of_model.entry(code.clone()).or_default();
            *nth += 1;
            Ok(RoomUnit {
                tag,
                over_record: zone::removal_band(room, &code, *nth - 1, model),
                coil: zone::coil_of(model),
                fan: zone::fan_of(room, model),
                least_runs_s: zone::least_runs_s(room, model),
                model: code,
                table,
            })
        })
        .collect()
}

/// Follows each unit through the log.
///
/// - `counted`: water removed as it was counted, if it was and can be
pub(super) fn runs(
    (room, catalog): (&Room, &Catalog),
    series: &Series,
    sensors: &[Sensor],
    units: &[RoomUnit],
    counted: Option<&Counted>,
) -> (RunsFrom, Vec<UnitRuns>) {
    let channels: Vec<&Sensor> = sensors
        .iter()
        .filter(|s| matches!(s.measure, Measure::UnitPower | Measure::UnitState))
        .collect();
    let of_unit = joined(&channels, units);
    let (from, of_the_rest) = if of_unit.iter().any(Option::is_some) {
        (RunsFrom::Log, vec![f64::NAN; series.len()])
    } else if let Some(shares) = counted.and_then(|c| by_count(c, series, units)) {
        (RunsFrom::Count, shares)
    } else {
        let models = units.iter().map(|u| u.model.as_str());
        let least_runs_s: Vec<(f64, f64)> = units.iter().map(|u| u.least_runs_s).collect();
        let step = step_of(room, catalog, models);
        let shares = beyond_doubt(room, step, series, &least_runs_s);
        (RunsFrom::Setpoint, shares)
    };
    let runs = units
        .iter()
        .zip(of_unit)
        .map(|(unit, channel)| {
            let channel = channel.map(|c| channels[c]);
            let run = match channel {
                Some(c) => running(&c.values, c.measure),
                None => of_the_rest.clone(),
            };
            let named = (unit.tag.clone(), unit.model.clone());
            let followed = followed(named, channel, run, series.step_s);
            UnitRuns {
                run_share: followed.run_share.filter(|_| from != RunsFrom::Setpoint),
                ..followed
            }
        })
        .collect();
    (from, runs)
}

/// What the channel of a unit tells where no room file names the unit: the
/// channel's name stands for its tag.
pub(super) fn of_channel(channel: &Sensor, step_s: f64) -> UnitRuns {
    let run = running(&channel.values, channel.measure);
    let named = (channel.name.clone(), String::new());
    followed(named, Some(channel), run, step_s)
}

/// What a channel named so tells of a unit that the room does not have.
pub(crate) fn unit_of_log(proof: &Proof, name: &str) -> Option<UnitRuns> {
    let mut channels = proof.sensors.iter();
    let channel = channels.find(|s| {
        matches!(s.measure, Measure::UnitPower | Measure::UnitState)
            && (s.name == name || names_unit(&s.name, name))
    })?;
    Some(of_channel(channel, proof.series.step_s))
}

/// A unit that ran for these shares of the steps.
fn followed(
    (tag, model): (String, String),
    channel: Option<&Sensor>,
    run: Vec<f64>,
    step_s: f64,
) -> UnitRuns {
    let starts: Vec<usize> = (1..run.len())
        .filter(|&k| run[k - 1] < 0.5 && 0.5 <= run[k])
        .collect();
    let stops: Vec<usize> = (1..run.len())
        .filter(|&k| 0.5 <= run[k - 1] && run[k] < 0.5)
        .collect();
    let known: Vec<f64> = run.iter().copied().filter(|x| x.is_finite()).collect();
    UnitRuns {
        tag,
        model,
        channel: channel.map(|c| c.name.clone()),
        interval_s: channel.map_or(step_s, |c| c.interval_s),
        most_starts_per_hour: most_in_an_hour(&starts, step_s),
        run_share: Some(known.iter().sum::<f64>() / known.len().max(1) as f64),
        usual_run_s: channel.and_then(|_| usual_run_s(&starts, &stops, step_s)),
        pull_down: None,
        starts: starts.len(),
        run,
    }
}

/// Whether a channel is named after a unit: one of its words is the tag.
pub(crate) fn names_unit(channel: &str, tag: &str) -> bool {
    let tag = tag.trim().to_lowercase();
    channel
        .split(|c: char| !c.is_alphanumeric())
        .any(|word| word.to_lowercase() == tag)
}

/// Which channel tells of each unit: by its tag in the name; channels without
/// a tag go to units without one in their order; one channel for all units
/// tells of all.
fn joined(channels: &[&Sensor], units: &[RoomUnit]) -> Vec<Option<usize>> {
    let mut of_unit: Vec<Option<usize>> = units
        .iter()
        .map(|u| {
            // Power tells more than a state that was asked for.
            let those = || {
                channels
                    .iter()
                    .enumerate()
                    .filter(|(_, s)| names_unit(&s.name, &u.tag))
            };
            let power = those().find(|(_, s)| s.measure == Measure::UnitPower);
            power.or_else(|| those().next()).map(|(i, _)| i)
        })
        .collect();
    let free: Vec<usize> = (0..channels.len())
        .filter(|i| !of_unit.contains(&Some(*i)))
        .collect();
    let open: Vec<usize> = (0..units.len()).filter(|i| of_unit[*i].is_none()).collect();
    if free.len() == open.len() {
        for (unit, channel) in open.iter().zip(&free) {
            of_unit[*unit] = Some(*channel);
        }
    } else if let ([channel], true) = (&free[..], open.len() == units.len()) {
        of_unit.fill(Some(*channel));
    }
    of_unit
}
