//! What the log is asked for.

use quantity::Dim;

/// What the log is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(usize)]
pub enum Unknown {
    /// Leaf resistance with lights off \[s/m\].
    NightResistance = 0,
    /// Multiple of the published response of leaves to light.
    DayResistance,
    /// Air exchange \[1/s\].
    AirExchange,
    /// What units remove over what their records say.
    UnitCapacity,
    /// Moisture capacity as a multiple of the air's; of the buffer's capacity,
    /// where one was surveyed.
    Store,
    /// What the humidity sensor reads less what is true, 0 to 1.
    SensorOffset,
    /// What cooling coils take over what is reckoned.
    CoilWater,
    /// What goes back from resting coils of units over what is reckoned.
    CoilDrying,
}

impl Unknown {
    /// All, in the order of their numbers.
    pub const ALL: [Self; 8] = [
        Self::NightResistance,
        Self::DayResistance,
        Self::AirExchange,
        Self::UnitCapacity,
        Self::Store,
        Self::SensorOffset,
        Self::CoilWater,
        Self::CoilDrying,
    ];

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::NightResistance => "leaf resistance with lights off",
            Self::DayResistance => "leaf resistance with lights on, over the published response",
            Self::AirExchange => "air exchange",
            Self::UnitCapacity => "water that units remove, over what the room file says of them",
            Self::Store => "moisture capacity, over that of the air",
            Self::SensorOffset => "humidity sensor, shown less true",
            Self::CoilWater => "water that cooling coils take, over what is reckoned",
            Self::CoilDrying => {
                "water that goes back from units' resting coils, over what is reckoned"
            }
        }
    }

    /// What kind of quantity it is.
    pub const fn dim(self) -> Dim {
        match self {
            Self::NightResistance => Dim::Resistance,
            Self::AirExchange => Dim::AirChange,
            Self::SensorOffset => Dim::RelHumidityDifference,
            Self::DayResistance
            | Self::UnitCapacity
            | Self::Store
            | Self::CoilWater
            | Self::CoilDrying => Dim::Number,
        }
    }

    /// Whether it is a factor, so that its logarithm is fitted.
    pub const fn is_factor(self) -> bool {
        !matches!(self, Self::SensorOffset)
    }
}

/// Number of unknowns.
pub(super) const COUNT: usize = Unknown::ALL.len();
/// One value of all unknowns; factors as natural logarithms.
pub(super) type Point = [f64; COUNT];
