//! What machines do, tabulated once so that the hot loop only interpolates.
//!
//! Tables are shared by `Arc`: a run that differs in scalars needs no new one.

mod axis;
mod cooling;
mod removal;
mod short_circuit;

pub(crate) use cooling::CoolingNow;
pub use cooling::{CoolingAxes, CoolingPoint, CoolingTable};
pub(crate) use removal::RemovalNow;
pub use removal::{RemovalAxes, RemovalPoint, RemovalTable};

/// What a tabulated point rests on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[repr(u8)]
pub enum PointData {
    /// The machine's own data.
    #[default]
    Inside = 0,
    /// Carried on beyond them.
    Beyond,
    /// The coil frosts.
    Frosting,
}

impl PointData {
    /// How many.
    pub(crate) const COUNT: usize = 3;
}

/// Why a table could not be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TableError {
    /// Two nodes at least, rising.
    #[error("{axis} of a performance table needs a positive step and at least two nodes")]
    Axis {
        /// Which axis.
        axis: &'static str,
    },
    /// A machine function that gave no number.
    #[error(
        "{machine} gives {what} at {dry_bulb_c} °C and {humidity}, which is not a usable number"
    )]
    NotANumber {
        /// What kind of machine.
        machine: &'static str,
        /// Which result, and its value.
        what: String,
        /// Dry bulb \[°C\].
        dry_bulb_c: f64,
        /// Humidity of the point, in words.
        humidity: String,
    },
    /// A short-circuit share outside 0 to below 1.
    #[error("a short-circuit share of {0} is not between 0 and 0.95")]
    ShortCircuit(f64),
    /// A pressure outside that of inhabited places.
    #[error("a barometric pressure of {0} Pa is not between 50000 and 110000 Pa")]
    Pressure(f64),
}
