//! What the log is asked for.

use quantity::Dim;
use room::Room;

use crate::uncertain::{Draw, Uncertain};

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

/// What the store of moisture in a room is a multiple of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StoreOver {
    /// The air alone.
    Air,
    /// The buffer as surveyed.
    Buffer,
}

impl StoreOver {
    /// In this room.
    pub const fn of(room: &Room) -> Self {
        match room.moisture_buffer {
            None => Self::Air,
            Some(_) => Self::Buffer,
        }
    }
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
    ///
    /// - `store`: what the store of the room is a multiple of
    pub const fn words(self, store: StoreOver) -> &'static str {
        match self {
            Self::NightResistance => "leaf resistance with lights off",
            Self::DayResistance => "leaf resistance with lights on, over the published response",
            Self::AirExchange => "air exchange",
            Self::UnitCapacity => "water that units remove, over what the room file says of them",
            Self::Store => match store {
                StoreOver::Air => "moisture capacity, over that of the air",
                StoreOver::Buffer => "capacity of the moisture buffer, over what was surveyed",
            },
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

/// What is not asked for and not known exactly either: it goes into the fit as
/// standard normal deviates, so that the bands of what is asked for are as wide
/// as it makes them.
pub(super) const BESIDE: [Uncertain; 3] =
    [Uncertain::LeafAir, Uncertain::LeafArea, Uncertain::Coverage];
/// How many unknowns are asked for.
pub(super) const ASKED: usize = Unknown::ALL.len();
/// Number of all that is fitted: what is asked for, then what is beside.
pub(super) const COUNT: usize = ASKED + BESIDE.len();
/// One value of all of them; factors as natural logarithms.
pub(super) type Point = [f64; COUNT];

/// What is beside, as a drawn world.
pub(super) fn beside(point: &Point) -> Draw {
    BESIDE
        .into_iter()
        .zip(&point[ASKED..])
        .fold(Draw::LIKELY, |draw, (input, z)| draw.with(input, *z))
}
