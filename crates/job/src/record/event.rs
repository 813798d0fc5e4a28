//! One event and its hash.

use serde::{Deserialize, Serialize};

use super::body::Body;
use super::clock::Moment;
use super::hash::Hash;

/// Newest format of events. A new kind of event, or a new field, raises it;
/// what an older format says is never spelled otherwise, and goes on being
/// written in that one. 2: units that are left out as a whole.
pub const FORMAT: u32 = 2;

/// Who wrote.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Writer {
    /// Id of the device, drawn at random once: it names the chain.
    pub device: String,
    /// What people call the device.
    pub device_name: String,
    /// Name of the person.
    pub person: String,
}

/// Something that happened, as it stands in the record.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Event {
    /// Format of this event, [`FORMAT`] or older.
    pub format: u32,
    /// Name of the room that it happened in.
    pub room: String,
    /// Who wrote it.
    pub writer: Writer,
    /// Its number in the chain of its device, from 1.
    pub seq: u64,
    /// When.
    pub at: Moment,
    /// What.
    pub body: Body,
    /// Hash of the event before it of this device; `None`: it is the first.
    pub previous: Option<Hash>,
    /// Its own hash, over all of the above.
    pub hash: Hash,
}

/// Stands before the hashed text, so that it is the hash of nothing else.
const HASHED_AS: &str = "drywright event\n";

impl Event {
    /// The text that is hashed: every field but the hash as JSON without
    /// spaces, in the order of their declaration, numbers as short as they can
    /// be read back exactly.
    pub fn hashed_text(&self) -> String {
        #[derive(Serialize)]
        struct Hashed<'a> {
            format: u32,
            room: &'a str,
            writer: &'a Writer,
            seq: u64,
            at: &'a Moment,
            body: &'a Body,
            previous: &'a Option<Hash>,
        }
        let Self {
            format,
            room,
            writer,
            seq,
            at,
            body,
            previous,
            hash: _,
        } = self;
        let hashed = Hashed {
            format: *format,
            room,
            writer,
            seq: *seq,
            at,
            body,
            previous,
        };
        // Maps have text keys and no value refuses to be written.
        let json = serde_json::to_string(&hashed).unwrap_or_default();
        format!("{HASHED_AS}{json}")
    }

    /// The hash that its content has.
    pub fn computed_hash(&self) -> Hash {
        Hash::of(self.hashed_text().as_bytes())
    }

    /// Whether it says what was hashed.
    pub fn is_intact(&self) -> bool {
        self.computed_hash() == self.hash
    }
}
