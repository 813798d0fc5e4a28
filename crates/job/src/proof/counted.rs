//! Water removed as it was counted, and whether it can be.

use air::MoistAir;
use equipment::Catalog;
use readings::Measure;
use room::Room;

use super::coolers::Coolers;
use super::series::{Sensor, Series};
use super::units::RoomUnit;
use crate::airs::{self, Season};
use crate::error::JobError;

/// What is counted beyond this many times the most that units and cooling could
/// take is no count of theirs: a wrong unit, or a counter taken for amounts.
/// Assumed: no record and no survey is wrong by as much.
const BEYOND: f64 = 3.0;
/// Steps whose air is looked at for the most that could be taken.
const LOOKS: usize = 500;

/// Water removed as it was counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Counted {
    /// Counted in each step \[kg\]; not a number where nothing is known.
    pub kg: Vec<f64>,
    /// Usual time between its readings, of the slowest counter \[s\].
    pub interval_s: f64,
    /// In all \[kg\].
    pub all_kg: f64,
    /// Over the time from the first to the last count \[s\].
    pub over_s: f64,
    /// The most that units and cooling of the room could take in that time
    /// \[kg\]; `None` where no room says what they are.
    pub most_kg: Option<f64>,
}

impl Counted {
    /// Whether units and cooling could never take as much: then nothing rests
    /// on it.
    pub fn is_impossible(&self) -> bool {
        self.most_kg
            .is_some_and(|most_kg| BEYOND * most_kg < self.all_kg)
    }
}

/// The most that units and cooling could take in a time \[kg\]: all of them
/// without a rest, in the logged air in which they take most.
///
/// # Errors
/// Machines or surroundings that cannot be.
pub(super) fn most_kg(
    (room, catalog): (&Room, &Catalog),
    series: &Series,
    units: &[RoomUnit],
    over_s: f64,
) -> Result<f64, JobError> {
    let pressure_pa = airs::pressure_pa(&room.site);
    let coolers = Coolers::of_room(room, catalog, pressure_pa)?;
    let outdoor = airs::surroundings(room, Season::Summer)?.outdoor.dry_bulb_c;
    let outdoor_c = outdoor.into_iter().fold(f64::INFINITY, f64::min);
    let known: Vec<usize> = series.known().collect();
    let airs = known.iter().step_by(known.len().div_ceil(LOOKS).max(1));
    let most_kg_per_s = airs
        .filter_map(|&i| {
            let (t, rh) = (series.dry_bulb_c[i], series.rel_humidity[i]);
            let air = MoistAir::from_rel_humidity(t, rh, pressure_pa).ok()?;
            let by_units: f64 = units
                .iter()
                .map(|u| u.over_record.high * u.table.at(t, rh).removal_kg_per_s)
                .sum();
            Some(by_units + coolers.water_kg_per_s(&air, outdoor_c, f64::INFINITY))
        })
        .fold(0.0, f64::max);
    Ok(most_kg_per_s * over_s)
}

/// What counters and amounts in the log add up to; `None` without any.
pub(super) fn counted(series: &Series, sensors: &[Sensor]) -> Option<Counted> {
    let mut kg = vec![f64::NAN; series.len()];
    let mut add = |i: usize, amount: f64| {
        kg[i] = if kg[i].is_finite() {
            kg[i] + amount
        } else {
            amount
        };
    };
    let mut any = false;
    for sensor in sensors {
        match sensor.measure {
            Measure::Water => {
                for (i, x) in sensor
                    .values
                    .iter()
                    .enumerate()
                    .filter(|(_, x)| x.is_finite())
                {
                    any = true;
                    add(i, *x);
                }
            }
            Measure::WaterCounter => {
                let known: Vec<usize> = (0..series.len())
                    .filter(|&i| sensor.values[i].is_finite())
                    .collect();
                for pair in known.windows(2) {
                    let rise = sensor.values[pair[1]] - sensor.values[pair[0]];
                    // A counter that falls far was set back: what came between is
                    // not known, what it shows since is the least. One that
                    // falls a little trembles.
                    let amount = if sensor.values[pair[1]] < 0.5 * sensor.values[pair[0]] {
                        sensor.values[pair[1]]
                    } else {
                        rise
                    };
                    any = true;
                    add(pair[1], amount);
                }
            }
            _ => {}
        }
    }
    let known: Vec<usize> = (0..kg.len()).filter(|&i| kg[i].is_finite()).collect();
    let (first, last) = (*known.first()?, *known.last()?);
    let counters = sensors
        .iter()
        .filter(|s| matches!(s.measure, Measure::Water | Measure::WaterCounter));
    any.then(|| Counted {
        interval_s: counters.map(|s| s.interval_s).fold(0.0, f64::max),
        all_kg: known.iter().map(|&i| kg[i]).sum(),
        over_s: (last - first + 1) as f64 * series.step_s,
        most_kg: None,
        kg,
    })
}
