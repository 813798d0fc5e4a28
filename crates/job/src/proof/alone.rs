//! What a log shows by itself, where no room file tells of the room.

use readings::Measure;

use super::counted::{Counted, counted};
use super::lights::{self, Lit};
use super::sensors::{self, FaultySensor};
use super::series::{self, Sensor, Series};
use super::units::{self, UnitRuns};
use super::{Log, switchings};

/// A log without a room.
#[derive(Clone, Debug)]
pub struct Alone {
    /// The air by step.
    pub series: Series,
    /// The channels.
    pub sensors: Vec<Sensor>,
    /// Faulty sensors.
    pub faults: Vec<FaultySensor>,
    /// The lights; `None` where no channel tells them.
    pub lit: Option<Lit>,
    /// What ran, by the channels of power or state; their names stand for tags.
    pub units: Vec<UnitRuns>,
    /// Water counted.
    pub counted: Option<Counted>,
}

/// Looks at a log for which there is no room file.
///
/// - `pressure_pa`: barometric \[Pa\]
pub fn alone(log: &Log, pressure_pa: f64) -> Alone {
    let sensors = series::sensors(&log.grid);
    let of = |counts: &[bool]| series::series(&log.grid, &log.clock, &sensors, counts, pressure_pa);
    let with_all = of(&vec![true; sensors.len()]);
    let lit = lights::alone(&with_all, &sensors);
    let switched = lit.as_ref().map_or_else(Vec::new, switchings);
    let (faults, counts) = sensors::faults(&sensors, log.grid.step_s() as f64, &switched);
    let series = if counts.contains(&false) {
        of(&counts)
    } else {
        with_all
    };
    let units = sensors
        .iter()
        .filter(|s| matches!(s.measure, Measure::UnitPower | Measure::UnitState))
        .map(|channel| units::of_channel(channel, series.step_s))
        .collect();
    Alone {
        counted: counted(&series, &sensors),
        series,
        faults,
        lit,
        units,
        sensors,
    }
}
