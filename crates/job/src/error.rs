//! What keeps a design from being made although the files can be read.

use thiserror::Error;

/// The room file and the catalogue do not go together, or a machine's record
/// cannot be used at this room's pressure.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum JobError {
    /// A model that the room names is not in the catalogue.
    #[error("{place}: model \"{model}\" is not in the catalogue; at hand: {at_hand}")]
    UnknownModel {
        /// Where it is named.
        place: String,
        /// Its code.
        model: String,
        /// Codes in the catalogue.
        at_hand: String,
    },
    /// Cooling without a model and without a capacity.
    #[error("{place}: cooling needs a model or a capacity")]
    CoolingWithoutCapacity {
        /// Where.
        place: String,
    },
    /// A machine cannot be tabulated or run.
    #[error("{machine}: {reason}")]
    Machine {
        /// Which.
        machine: String,
        /// Why not.
        reason: String,
    },
    /// Air that cannot be.
    #[error("{place}: {reason}")]
    Air {
        /// Which air.
        place: String,
        /// Why not.
        reason: String,
    },
    /// The room cannot be simulated.
    #[error("room {room}: {reason}")]
    Setup {
        /// Which.
        room: String,
        /// Why not.
        reason: String,
    },
    /// Logs that say too little of the room.
    #[error("{reason}")]
    Log {
        /// What is missing.
        reason: String,
        /// What to tell of the logs that may help.
        asks: Vec<readings::Ask>,
    },
    /// The watcher asked to stop.
    #[error("cancelled")]
    Cancelled,
}

impl From<crate::progress::Cancelled> for JobError {
    fn from(_: crate::progress::Cancelled) -> Self {
        Self::Cancelled
    }
}
