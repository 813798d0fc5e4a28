//! Plant and controls.

use std::sync::Arc;

use crate::performance::{CoolingTable, RemovalTable};

/// What a machine's fan does while its compressor rests.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fan {
    /// It stops with the compressor.
    Auto,
    /// It never stops, so that the wet coil dries into the room.
    Continuous,
}

/// Water on the coil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoilWater {
    /// Water that coil and pan hold before any drains \[kg\].
    pub capacity_kg: f64,
    /// Removal at the rating \[kg/s\], on which the evaporation is based.
    pub rated_removal_kg_per_s: f64,
    /// First rate of evaporation over rated removal, at 7.3 K of wet-bulb
    /// depression, with the compressor off and the fan on.
    pub evaporation_ratio: f64,
    /// Time constant in which removal comes up after a start \[s\].
    pub start_time_constant_s: f64,
}

/// A cooling machine.
#[derive(Clone, Debug)]
pub struct Cooling {
    /// What it does at each entering and outdoor air.
    pub table: Arc<CoolingTable>,
    /// How its compressor or valve is led.
    pub control: CoolingControl,
    /// Power of the indoor fan, all of it heat to the air \[W\].
    pub indoor_fan_w: f64,
    /// Habit of the indoor fan.
    pub fan: Fan,
    /// C_d of the part-load rule of continuous control:
    /// run fraction = PLR / (1 − C_d (1 − PLR)); 0 for none.
    pub part_load_degradation: f64,
    /// Water on the coil; `None` leaves re-evaporation out.
    pub coil: Option<CoilWater>,
    /// Wait after the power comes back \[s\].
    pub restart_delay_s: f64,
}

/// How a cooling machine is led.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CoolingControl {
    /// Runs the share of the time that holds the setpoint exactly.
    Ideal,
    /// On above setpoint + offset + half the deadband, off below setpoint +
    /// offset − half the deadband.
    Thermostat {
        /// Deadband \[K\].
        deadband_k: f64,
        /// Offset of this stage \[K\].
        offset_k: f64,
        /// Shortest run \[s\].
        min_on_s: f64,
        /// Shortest rest \[s\].
        min_off_s: f64,
    },
    /// Output in proportion to the excess over the setpoint.
    Modulating {
        /// Excess at which the output is full \[K\].
        band_k: f64,
        /// Smallest output while on, 0 to 1.
        min_share: f64,
    },
}

/// Heating of the air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heating {
    /// Largest output \[W\].
    pub capacity_w: f64,
    /// Electricity per heat (1 resistance, 0 a boiler elsewhere).
    pub electricity_per_heat: f64,
    /// How it is led.
    pub control: HeatingControl,
}

/// How the heating is led.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HeatingControl {
    /// Gives exactly what holds the heating setpoint.
    Ideal,
    /// On below setpoint − half the deadband, off above setpoint + half.
    Thermostat {
        /// Deadband \[K\].
        deadband_k: f64,
    },
}

/// A dehumidifier.
#[derive(Clone, Debug)]
pub struct Dehumidifier {
    /// What it does at each room air, its own short circuit included.
    pub table: Arc<RemovalTable>,
    /// Water removed over that of the table: what this one machine is better
    /// or worse than its record, 1 for none.
    pub removal_factor: f64,
    /// Habit of the fan.
    pub fan: Fan,
    /// Power of the fan alone \[W\], drawn between runs if it never stops.
    pub fan_w: f64,
    /// Power at rest, fan excluded \[W\].
    pub standby_w: f64,
    /// Wait after the power comes back \[s\].
    pub restart_delay_s: f64,
    /// Shortest run \[s\].
    pub min_on_s: f64,
    /// Shortest rest \[s\].
    pub min_off_s: f64,
    /// Water on the coil; `None` leaves retention and re-evaporation out.
    pub coil: Option<CoilWater>,
    /// Pauses to melt frost; `None` where the table already pays for them.
    pub defrost: Option<Defrost>,
}

/// Pauses to melt frost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Defrost {
    /// Running time with a frosting coil between pauses \[s\].
    pub after_s: f64,
    /// Length of a pause \[s\].
    pub lasts_s: f64,
    /// Power during a pause \[W\].
    pub power_w: f64,
}

/// A span of humidity, in the terms of whichever quantity is controlled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HumiditySpan {
    /// Where relative humidity is controlled, 0 to 1.
    pub rel_humidity: f64,
    /// Where VPD is controlled \[Pa\].
    pub vpd_pa: f64,
    /// Where dew point is controlled \[K\].
    pub dew_point_k: f64,
}

impl HumiditySpan {
    /// No span at all.
    pub const ZERO: Self = Self {
        rel_humidity: 0.0,
        vpd_pa: 0.0,
        dew_point_k: 0.0,
    };
}

/// How the dehumidifiers are told to run. The setpoints are in the timetable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HumidityControl {
    /// Width between switching on and switching off, centred on the setpoint.
    pub deadband: HumiditySpan,
    /// Time constant of the sensor \[s\]; 0 acts at once.
    pub sensor_lag_s: f64,
    /// What the sensor shows more than the room has, relative humidity (0 to 1).
    pub sensor_offset: f64,
    /// Who starts when.
    pub staging: Staging,
}

/// Who starts when.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Staging {
    /// All at the same reading.
    Together,
    /// Each unit after the first waits for this much more.
    Stepped(HumiditySpan),
    /// All at the same reading, but one at a time: the first resting unit
    /// starts, the last running one stops, and the next of either waits.
    OneByOne {
        /// Time between two starts, and between two stops \[s\].
        wait_s: f64,
    },
}
