//! Everything that a run needs, as plain SI numbers (°C for temperature).
//!
//! Built by the caller from the survey; nothing here is read from a file. Two
//! kinds of part are shared by `Arc` because many runs of one room differ in a
//! few scalars only: the [`Timetable`](crate::Timetable) and the compiled
//! machine tables.

mod check;
mod crop;
mod machines;
mod water;
mod zone;

use std::sync::Arc;

pub use check::SetupError;
pub use crop::{Canopy, Lights};
pub use machines::{
    CoilWater, Cooling, CoolingControl, Defrost, Dehumidifier, Fan, Heating, HeatingControl,
    HumidityControl, HumiditySpan, Staging,
};
pub use water::{Evaporation, Film, Medium, WashDown, WaterSurface};
pub use zone::{
    Boundary, ColdSurface, ColdSurfaceBoundary, Exchange, MoistureStorage, ThermalMass, Zone,
};

use crate::timetable::Timetable;

/// One room, its plant, its controls and how long to run it.
#[derive(Clone, Debug)]
pub struct Setup {
    /// The air, what encloses it and what stores heat and water.
    pub zone: Zone,
    /// Air at the first step.
    pub start: StartAir,
    /// What recurs every day: lights, targets, boundary air, people, burner.
    pub timetable: Arc<Timetable>,
    /// The lamps.
    pub lights: Lights,
    /// The crop; `None` for an empty room.
    pub canopy: Option<Canopy>,
    /// Uncovered growing medium that irrigation wets.
    pub medium: Option<Medium>,
    /// Tanks, gutters and other open water.
    pub water_surfaces: Vec<WaterSurface>,
    /// Floor that wash-down or spill leaves wet.
    pub floor: Option<Film>,
    /// Cooling machines, in the order in which they are named in results.
    pub cooling: Vec<Cooling>,
    /// Heating.
    pub heating: Option<Heating>,
    /// Dehumidifiers, in the order in which they are named in results.
    pub dehumidifiers: Vec<Dehumidifier>,
    /// How the dehumidifiers are told to run.
    pub humidity_control: HumidityControl,
    /// What happens once.
    pub events: Vec<Event>,
    /// Step and length of the run.
    pub run: RunLength,
}

/// Air of the room at the first step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StartAir {
    /// Dry bulb \[°C\].
    pub dry_bulb_c: f64,
    /// Humidity ratio \[kg/kg dry air\].
    pub humidity_ratio: f64,
}

/// Step and length of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunLength {
    /// Time step \[s\], 1 to 600; a day must be a whole number of steps.
    pub step_s: f64,
    /// Days run before anything is counted.
    pub warm_up_days: u32,
    /// Days counted, at least 1.
    pub days: u32,
}

impl Default for RunLength {
    /// Steps of 60 s, one day to settle, one day counted.
    fn default() -> Self {
        Self {
            step_s: 60.0,
            warm_up_days: 1,
            days: 1,
        }
    }
}

/// What happens once. Times run from midnight of the first counted day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Event {
    /// Everything electrical stops; each machine waits its own delay after.
    PowerCut {
        /// Begin \[s\].
        at_s: f64,
        /// Length \[s\].
        lasts_s: f64,
    },
    /// Water is left on the floor film of [`Setup::floor`].
    WashDown {
        /// Time \[s\].
        at_s: f64,
        /// Water left on the floor \[kg\].
        film_kg: f64,
    },
    /// The medium is wetted once more, outside the daily irrigation.
    Irrigation {
        /// Time \[s\].
        at_s: f64,
    },
    /// Dust on the filter of one dehumidifier from then on.
    FilterLoaded {
        /// Time \[s\].
        at_s: f64,
        /// Which dehumidifier, counted from 0.
        dehumidifier: usize,
        /// Water removed, over that with a clean filter, 0 to 1.
        removal_factor: f64,
        /// Power drawn, over that with a clean filter.
        power_factor: f64,
    },
    /// One dehumidifier stops for good.
    DehumidifierFails {
        /// Time \[s\].
        at_s: f64,
        /// Which dehumidifier, counted from 0.
        dehumidifier: usize,
    },
    /// One cooling machine stops for good.
    CoolingFails {
        /// Time \[s\].
        at_s: f64,
        /// Which cooling machine, counted from 0.
        cooling: usize,
    },
}

impl Event {
    /// When it happens \[s\].
    pub const fn at_s(&self) -> f64 {
        match *self {
            Self::PowerCut { at_s, .. }
            | Self::WashDown { at_s, .. }
            | Self::Irrigation { at_s }
            | Self::FilterLoaded { at_s, .. }
            | Self::DehumidifierFails { at_s, .. }
            | Self::CoolingFails { at_s, .. } => at_s,
        }
    }
}
