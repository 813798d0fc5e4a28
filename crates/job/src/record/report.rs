//! What a verification found.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use super::hash::Hash;
use super::text::BadText;

/// The last event of a chain.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Head {
    /// Its number.
    pub seq: u64,
    /// Its hash.
    pub hash: Hash,
}

/// An event's place in the record.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Id of the device.
    pub device: String,
    /// Number in its chain.
    pub seq: u64,
}

/// What is wrong at a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FaultKind {
    /// The event does not say what was hashed: it was altered.
    Altered,
    /// This event and those up to a number are not there.
    Missing {
        /// Last one that is missing.
        to: u64,
    },
    /// Several events of this number: two devices with one id, or a copy of
    /// the record that was written on. All are kept.
    Twice {
        /// How many.
        count: usize,
    },
    /// The event names another event before it than the one that is there.
    Unlinked,
    /// It corrects an event that is not there.
    CorrectsNothing {
        /// What it names.
        of: Hash,
    },
    /// The texts of a start do not have the design id that stands beside them.
    WrongDesignId,
    /// It was signed, and is not there, or is another one now.
    SignedAndGone,
}

impl FaultKind {
    /// Whether what the record says can still be believed as far as the chain
    /// goes: nothing was altered or lost.
    pub const fn is_breach(&self) -> bool {
        !matches!(self, Self::Twice { .. } | Self::CorrectsNothing { .. })
    }
}

/// Something wrong with the record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where; of an altered event, where the event after it says that it
    /// stood.
    pub place: Place,
    /// What.
    pub kind: FaultKind,
}

impl Fault {
    /// In a sentence, to follow the name of the record.
    pub fn words(&self) -> String {
        let Place { device, seq } = &self.place;
        match &self.kind {
            FaultKind::Altered => {
                format!("event {seq} of device {device} was altered after it was written")
            }
            FaultKind::Missing { to } if to == seq => {
                format!("event {seq} of device {device} is missing")
            }
            FaultKind::Missing { to } => {
                format!("events {seq} to {to} of device {device} are missing")
            }
            FaultKind::Twice { count } => format!(
                "{count} events of device {device} have the number {seq}: two devices share one id, or a copy of the record was written on; all are kept"
            ),
            FaultKind::Unlinked => format!(
                "event {seq} of device {device} does not follow the event before it: one of the two was put in another's place"
            ),
            FaultKind::CorrectsNothing { of } => format!(
                "event {seq} of device {device} corrects event {}, which is not here: merge the record that has it",
                of.short()
            ),
            FaultKind::WrongDesignId => format!(
                "event {seq} of device {device} names a design id that its texts do not have"
            ),
            FaultKind::SignedAndGone => format!(
                "event {seq} of device {device} was signed and is not here as it was signed"
            ),
        }
    }
}

/// The time of day was set between two events of one device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ClockSet {
    /// The later event.
    pub place: Place,
    /// By how much; negative: back \[ms\].
    pub by_ms: i64,
}

/// The chain of a device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chain {
    /// Id of the device.
    pub device: String,
    /// Names that the device had.
    pub names: BTreeSet<String>,
    /// People who wrote on it.
    pub people: BTreeSet<String>,
    /// How many events are there.
    pub events: usize,
    /// Its last intact event.
    pub head: Option<Head>,
}

/// A stored row that is no event.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Its place in the store, from 1.
    pub row: usize,
    /// Why not.
    pub why: BadText,
}

/// What was found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Report {
    /// Chains in the order of their devices' ids.
    pub chains: Vec<Chain>,
    /// What is wrong, by place.
    pub faults: Vec<Fault>,
    /// Where a clock was set: no fault of the record, but times are in doubt.
    pub clocks_set: Vec<ClockSet>,
    /// Stored rows that are no event.
    pub torn: Vec<Row>,
}

impl Report {
    /// Whether everything is there as it was written.
    pub fn is_whole(&self) -> bool {
        self.torn.is_empty() && !self.faults.iter().any(|f| f.kind.is_breach())
    }

    /// The last event of each device, to be signed or printed.
    pub fn heads(&self) -> BTreeMap<String, Head> {
        self.chains
            .iter()
            .filter_map(|c| Some((c.device.clone(), c.head?)))
            .collect()
    }

    /// One hash for the whole record, as the hand-over prints it: over the
    /// heads in the order of their devices.
    pub fn chain_hash(&self) -> Hash {
        let heads = self.heads();
        Hash::of(serde_json::to_string(&heads).unwrap_or_default().as_bytes())
    }
}
