//! Charts: pure functions from plain data to a [`crate::Drawing`].
//!
//! Data is in SI (°C for temperatures) and hours; the units shown are the
//! reader's. Numbers that are not finite leave a gap. Nothing is judged here:
//! targets, needs and the times outside them come with the data.

mod behind;
mod capacity;
mod columns;
mod day;
mod hours;
mod kit;
mod labels;
mod load;
mod map;
mod psychrometric;
mod range;

pub use behind::{Behind, Spot, TimeSpan};
pub use capacity::{CapacityChart, CapacityRow, Need, capacity};
pub use day::{DayChart, Panel, RunRow, Series, Spread, Target, ZeroLine, day};
pub use hours::{HourCell, HoursChart, HoursRow, hours};
pub use load::{LoadChart, Part, load};
pub use map::{MapChart, MapCurve, MapPoint, map};
pub use psychrometric::{
    Humidity, PathPoint, Process, PsychrometricChart, TargetField, plot, psychrometric,
};
pub use range::{RangeChart, RangeRow, range};

/// Whether the lights are on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Period {
    /// Lights on.
    LightsOn,
    /// Lights off.
    LightsOff,
}

/// From and to \[h\] on the time axis of a chart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hours {
    /// From.
    pub from_h: f64,
    /// To.
    pub to_h: f64,
}

/// The width that fills the text of a report page \[mm\].
pub const WIDTH_MM: f64 = 178.0;
