//! Whether a record is whole, and where it is not.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use super::body::Body;
use super::clock::{Moment, elapsed};
use super::event::Event;
use super::fold::in_force;
use super::hash::Hash;
use super::merge::ordered;
use super::text::{BadText, from_text};

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

/// Reads stored rows and verifies what can be read. What is intact comes back
/// in the order of [`ordered`] beside what is wrong with the rest.
pub fn verify_rows<'a>(rows: impl IntoIterator<Item = &'a str>) -> (Vec<Event>, Report) {
    let mut events = Vec::new();
    let mut torn = Vec::new();
    for (i, text) in rows.into_iter().enumerate() {
        match from_text(text) {
            Ok(event) => events.push(event),
            Err(why) => torn.push(Row { row: i + 1, why }),
        }
    }
    let report = Report {
        torn,
        ..verify(&events)
    };
    (ordered(events), report)
}

/// Verifies a record, in whatever order its events are given. That the end of a
/// chain was cut off can be seen only where a signature names it.
pub fn verify(events: &[Event]) -> Report {
    let events = ordered(events.iter().cloned());
    let (intact, altered): (Vec<&Event>, Vec<&Event>) = events.iter().partition(|e| e.is_intact());
    let mut faults = Vec::new();
    let mut add = |place: Place, kind| faults.push(Fault { place, kind });

    let mut chains: BTreeMap<String, BTreeMap<u64, Vec<Link>>> = BTreeMap::new();
    for event in &intact {
        let links = chains.entry(event.writer.device.clone()).or_default();
        links.entry(event.seq).or_default().push(Link::of(event));
    }
    for (event, place) in places_of_altered(&intact, &altered) {
        let (by_hash, by_content) = (event.hash, event.computed_hash());
        let links = chains.entry(place.device.clone()).or_default();
        links.entry(place.seq).or_default().push(Link {
            hashes: [by_hash, by_content],
            previous: None,
            state: State::Altered,
        });
        add(place, FaultKind::Altered);
    }
    for (device, links) in &chains {
        let at = |seq| Place {
            device: device.clone(),
            seq,
        };
        let mut expected = 1;
        for (&seq, here) in links {
            if expected < seq {
                add(at(expected), FaultKind::Missing { to: seq - 1 });
            }
            if 1 < here.len() {
                add(at(seq), FaultKind::Twice { count: here.len() });
            }
            for link in here.iter().filter(|l| l.state == State::Intact) {
                let before = seq.checked_sub(1).and_then(|s| links.get(&s));
                let linked = match (link.previous, before) {
                    (None, _) => seq == 1,
                    // What is missing is said already.
                    (Some(_), None) => seq != 1 && seq != 0,
                    (Some(hash), Some(before)) => before.iter().any(|b| b.hashes.contains(&hash)),
                };
                if !linked {
                    add(at(seq), FaultKind::Unlinked);
                }
            }
            expected = seq.saturating_add(1);
        }
    }
    for event in &intact {
        let basis = match &event.body {
            Body::Started(basis) | Body::RoomChanged(basis) => basis,
            _ => continue,
        };
        if crate::design::design_id(&basis.inputs()) != basis.design_id {
            add(place(event), FaultKind::WrongDesignId);
        }
    }
    let known: BTreeSet<Hash> = events
        .iter()
        .flat_map(|e| [e.hash, e.computed_hash()])
        .collect();
    for event in &intact {
        match &event.body {
            Body::Correction(c) if !known.contains(&c.of) => {
                add(place(event), FaultKind::CorrectsNothing { of: c.of });
            }
            _ => {}
        }
    }
    let intact_hashes: BTreeSet<Hash> = intact.iter().map(|e| e.hash).collect();
    for event in &intact {
        if let Body::Signed(signed) = &event.body {
            for (device, head) in &signed.heads {
                if !intact_hashes.contains(&head.hash) {
                    add(
                        Place {
                            device: device.clone(),
                            seq: head.seq,
                        },
                        FaultKind::SignedAndGone,
                    );
                }
            }
        }
    }
    let reported = reported(&intact);
    faults.sort_by(|a, b| a.place.cmp(&b.place));
    faults.dedup();
    Report {
        chains: reported,
        faults,
        clocks_set: clocks_set(&intact),
        torn: Vec::new(),
    }
}

fn place(event: &Event) -> Place {
    Place {
        device: event.writer.device.clone(),
        seq: event.seq,
    }
}

/// Where altered events stood: what they say of it may be what was altered, so
/// the event after each is asked first, then the one before, then itself.
fn places_of_altered<'a>(intact: &[&Event], altered: &[&'a Event]) -> Vec<(&'a Event, Place)> {
    let names = |e: &Event| [e.hash, e.computed_hash()];
    let before = |p: &Place| {
        let seq = p.seq.checked_sub(1)?;
        Some(Place { seq, ..p.clone() })
    };
    let mut by_next: BTreeMap<Hash, Place> = intact
        .iter()
        .filter_map(|e| Some((e.previous?, before(&place(e))?)))
        .collect();
    let mut by_itself: BTreeMap<Hash, Place> = intact.iter().map(|e| (e.hash, place(e))).collect();
    let mut open: Vec<&Event> = altered.to_vec();
    let mut found = Vec::new();
    while !open.is_empty() {
        let seen = |e: &Event| names(e).iter().find_map(|h| by_next.get(h).cloned());
        let after = |e: &Event| {
            let place = by_itself.get(&e.previous?)?;
            let seq = place.seq.saturating_add(1);
            Some(Place {
                seq,
                ..place.clone()
            })
        };
        let position = |of: &dyn Fn(&Event) -> Option<Place>| {
            open.iter().enumerate().find_map(|(i, e)| Some((i, of(e)?)))
        };
        let (i, at) = position(&seen)
            .or_else(|| position(&after))
            .unwrap_or_else(|| (0, place(open[0])));
        let event = open.remove(i);
        if let (Some(previous), Some(before)) = (event.previous, before(&at)) {
            by_next.entry(previous).or_insert(before);
        }
        for name in names(event) {
            by_itself.entry(name).or_insert_with(|| at.clone());
        }
        found.push((event, at));
    }
    found
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    Intact,
    Altered,
}

/// An event as a link of its chain.
struct Link {
    /// By which the event after it may name it: as it stands, and of its
    /// content.
    hashes: [Hash; 2],
    previous: Option<Hash>,
    state: State,
}

impl Link {
    fn of(event: &Event) -> Self {
        Self {
            hashes: [event.hash; 2],
            previous: event.previous,
            state: State::Intact,
        }
    }
}

fn reported(intact: &[&Event]) -> Vec<Chain> {
    let mut chains: BTreeMap<&str, Chain> = BTreeMap::new();
    for event in intact {
        let writer = &event.writer;
        let chain = chains.entry(&writer.device).or_insert_with(|| Chain {
            device: writer.device.clone(),
            names: BTreeSet::new(),
            people: BTreeSet::new(),
            events: 0,
            head: None,
        });
        chain.names.insert(writer.device_name.clone());
        chain.people.insert(writer.person.clone());
        chain.events += 1;
        if chain
            .head
            .is_none_or(|h| (h.seq, h.hash) < (event.seq, event.hash))
        {
            chain.head = Some(Head {
                seq: event.seq,
                hash: event.hash,
            });
        }
    }
    chains.into_values().collect()
}

fn clocks_set(intact: &[&Event]) -> Vec<ClockSet> {
    let mut last: BTreeMap<&str, &Moment> = BTreeMap::new();
    let mut found = Vec::new();
    for event in intact {
        if let Some(before) = last.insert(&event.writer.device, &event.at) {
            let by_ms = elapsed(before, &event.at).set_ms;
            if by_ms != 0 {
                found.push(ClockSet {
                    place: place(event),
                    by_ms,
                });
            }
        }
    }
    found
}

/// Whether an event, or a correction of it, was written on two devices that
/// disagree: places of what was corrected.
pub fn disputed(events: &[Event]) -> Vec<Place> {
    in_force(events)
        .iter()
        .filter(|e| e.is_disputed())
        .map(|e| place(e.first))
        .collect()
}
