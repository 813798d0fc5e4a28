//! Why a state of air was refused.

use thiserror::Error;

use crate::pair::Property;

/// Why a state of air was refused. Values are in SI (°C for temperature).
#[derive(Clone, Debug, PartialEq, Error)]
pub enum AirError {
    /// Not a number, or infinite.
    #[error("{property} is not a number")]
    NotANumber {
        /// Which property.
        property: &'static str,
    },
    /// Outside what this program works with.
    #[error("{property} is {}; {low} to {} is allowed", with_unit(*value, unit), with_unit(*high, unit))]
    OutOfRange {
        /// Which property.
        property: &'static str,
        /// What was given, in `unit`.
        value: f64,
        /// Lowest allowed.
        low: f64,
        /// Highest allowed.
        high: f64,
        /// SI unit of the three numbers; empty for a plain ratio.
        unit: &'static str,
    },
    /// More water than air of this temperature can hold as vapour.
    #[error(
        "air at {dry_bulb_c:.2} °C cannot hold that much water: its vapour pressure would be \
         {vapour_pressure_pa:.1} Pa where {saturation_pressure_pa:.1} Pa is saturation ({:.1} % relative humidity)",
        100.0 * vapour_pressure_pa / saturation_pressure_pa
    )]
    Supersaturated {
        /// Dry bulb \[°C\].
        dry_bulb_c: f64,
        /// Vapour pressure asked for \[Pa\].
        vapour_pressure_pa: f64,
        /// Largest possible \[Pa\].
        saturation_pressure_pa: f64,
    },
    /// Two properties that cannot fix a state, whatever their values.
    #[error("{first} and {second} do not fix a state of air: {reason}")]
    Dependent {
        /// One of the two.
        first: &'static str,
        /// The other.
        second: &'static str,
        /// Why.
        reason: &'static str,
    },
    /// Two values that no air has together.
    #[error("no air between −60 and 95 °C has {first} and {second}: {reason}")]
    NoSuchAir {
        /// One of the two.
        first: Property,
        /// The other.
        second: Property,
        /// Why.
        reason: &'static str,
    },
    /// A process that cannot run as asked.
    #[error("{process} is impossible: {reason}")]
    Process {
        /// Which process.
        process: &'static str,
        /// Why.
        reason: &'static str,
    },
}

/// A number with its unit, if it has one.
fn with_unit(value: f64, unit: &str) -> String {
    if unit.is_empty() {
        format!("{value}")
    } else {
        format!("{value} {unit}")
    }
}

/// Refuses a number that is not finite or is outside its range.
pub(crate) fn check_range(
    property: &'static str,
    value: f64,
    (low, high): (f64, f64),
    unit: &'static str,
) -> Result<(), AirError> {
    if !value.is_finite() {
        return Err(AirError::NotANumber { property });
    }
    if value < low || high < value {
        return Err(AirError::OutOfRange {
            property,
            value,
            low,
            high,
            unit,
        });
    }
    Ok(())
}
