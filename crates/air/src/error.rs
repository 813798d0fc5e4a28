//! Why a state of air was refused.

use std::fmt;

use quantity::{Dim, Text, UnitSystem, Value};

use crate::pair::Property;
use crate::state::MoistAir;

/// Why a state of air was refused. [`AirError::text`] says it in the user's
/// units.
#[derive(Clone, Debug, PartialEq)]
pub enum AirError {
    /// Not a number, or infinite.
    NotANumber {
        /// Which property.
        property: &'static str,
    },
    /// Outside what this program works with.
    OutOfRange {
        /// Which property.
        property: &'static str,
        /// What was given.
        value: Value,
        /// Lowest allowed.
        low: Value,
        /// Highest allowed.
        high: Value,
    },
    /// More water than air of this temperature can hold as vapour.
    Supersaturated {
        /// Dry bulb \[°C\].
        dry_bulb_c: f64,
        /// Vapour pressure asked for \[Pa\].
        vapour_pressure_pa: f64,
        /// Largest possible \[Pa\].
        saturation_pressure_pa: f64,
    },
    /// Two properties that cannot fix a state, whatever their values.
    Dependent {
        /// One of the two.
        first: &'static str,
        /// The other.
        second: &'static str,
        /// Why.
        reason: &'static str,
    },
    /// Two values that no air has together.
    NoSuchAir {
        /// One of the two.
        first: Property,
        /// The other.
        second: Property,
        /// Why.
        reason: &'static str,
    },
    /// A process that cannot run as asked.
    Process {
        /// Which process.
        process: &'static str,
        /// Why.
        reason: &'static str,
    },
}

impl AirError {
    /// The refusal as a sentence whose units are chosen when it is shown.
    pub fn text(&self) -> Text {
        match self {
            Self::NotANumber { property } => Text::from(*property).words(" is not a number"),
            Self::OutOfRange {
                property,
                value,
                low,
                high,
            } => Text::from(*property)
                .words(" is ")
                .value(*value)
                .words("; ")
                .value(*low)
                .words(" to ")
                .value(*high)
                .words(" is allowed"),
            Self::Supersaturated {
                dry_bulb_c,
                vapour_pressure_pa,
                saturation_pressure_pa,
            } => Text::from("air at ")
                .value(Value::new(*dry_bulb_c, Dim::Temperature).digits(4))
                .words(" cannot hold that much water: its vapour pressure would be ")
                .value(Value::new(*vapour_pressure_pa, Dim::VapourPressure).digits(4))
                .words(" where ")
                .value(Value::new(*saturation_pressure_pa, Dim::VapourPressure).digits(4))
                .words(" is saturation (")
                .value(
                    Value::new(
                        vapour_pressure_pa / saturation_pressure_pa,
                        Dim::RelHumidity,
                    )
                    .digits(4),
                )
                .words(")"),
            Self::Dependent {
                first,
                second,
                reason,
            } => Text::from(*first)
                .words(" and ")
                .words(*second)
                .words(" do not fix a state of air: ")
                .words(*reason),
            Self::NoSuchAir {
                first,
                second,
                reason,
            } => {
                let (low_c, high_c) = MoistAir::DRY_BULB_RANGE_C;
                Text::from("no air between ")
                    .value(Value::new(low_c, Dim::Temperature))
                    .words(" and ")
                    .value(Value::new(high_c, Dim::Temperature))
                    .words(" has ")
                    .words(first.name())
                    .words(" ")
                    .value(first.value())
                    .words(" and ")
                    .words(second.name())
                    .words(" ")
                    .value(second.value())
                    .words(": ")
                    .words(*reason)
            }
            Self::Process { process, reason } => Text::from(*process)
                .words(" is impossible: ")
                .words(*reason),
        }
    }
}

/// In metric units.
impl fmt::Display for AirError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text().show(UnitSystem::Metric))
    }
}

impl std::error::Error for AirError {}

/// Refuses a number that is not finite or is outside its range.
pub(crate) fn check_range(
    property: &'static str,
    si: f64,
    (low, high): (f64, f64),
    dim: Dim,
) -> Result<(), AirError> {
    if !si.is_finite() {
        return Err(AirError::NotANumber { property });
    }
    if si < low || high < si {
        return Err(AirError::OutOfRange {
            property,
            // One digit more than the ends, to be told from them.
            value: Value::new(si, dim).digits(4),
            low: Value::new(low, dim),
            high: Value::new(high, dim),
        });
    }
    Ok(())
}
