//! Records of one job as one.

use std::collections::{BTreeMap, BTreeSet};

use super::event::Event;
use super::hash::Hash;
use super::text::to_text;

/// Every event of both records once, in the order of [`ordered`]. Of an event
/// that is intact in one and altered in the other, the intact one is kept.
///
/// The result depends on the events alone: neither on which record comes
/// first, nor on how often or in what groups records are merged.
pub fn merge(a: &[Event], b: &[Event]) -> Vec<Event> {
    ordered(a.iter().chain(b).cloned())
}

/// Events once each, in an order that every device agrees on: by time of day,
/// but never before an earlier event of the same device, whatever its clock
/// said.
pub fn ordered(events: impl IntoIterator<Item = Event>) -> Vec<Event> {
    let once: BTreeMap<String, Event> = events.into_iter().map(|e| (to_text(&e), e)).collect();
    let computed: Vec<(Hash, &Event)> = once.values().map(|e| (e.computed_hash(), e)).collect();
    let intact: BTreeSet<Hash> = computed
        .iter()
        .filter(|(hash, e)| *hash == e.hash)
        .map(|(hash, _)| *hash)
        .collect();
    let kept = computed.iter().filter(|(hash, e)| {
        // A spoilt copy of an event that is there, spoilt in its content or in
        // its hash.
        *hash == e.hash || !(intact.contains(hash) || intact.contains(&e.hash))
    });
    let mut chains: BTreeMap<&str, Vec<&Event>> = BTreeMap::new();
    for (_, event) in kept {
        chains.entry(&event.writer.device).or_default().push(event);
    }
    let mut all = Vec::new();
    for chain in chains.values_mut() {
        chain.sort_by_key(|e| (e.seq, e.hash));
        let mut latest_ms = i64::MIN;
        for event in chain.iter() {
            latest_ms = latest_ms.max(event.at.utc_ms);
            all.push((latest_ms, *event));
        }
    }
    // Stable: what has all of these alike keeps the order of its text.
    all.sort_by(|(a_ms, a), (b_ms, b)| {
        (a_ms, &a.writer.device, a.seq, a.hash).cmp(&(b_ms, &b.writer.device, b.seq, b.hash))
    });
    all.into_iter().map(|(_, e)| e.clone()).collect()
}
