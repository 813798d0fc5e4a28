//! What holds after corrections.

use std::collections::BTreeMap;

use super::body::{Body, Signed, SignedBy};
use super::event::Event;
use super::hash::Hash;

/// An event with what became of it. Events that correct are not entries of
/// their own.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept<'a> {
    /// The event as it was first written.
    pub first: &'a Event,
    /// What holds now; `None`: it was withdrawn.
    pub holds: Option<&'a Body>,
    /// Its corrections in order; the last one decides.
    pub corrections: Vec<&'a Event>,
}

impl Kept<'_> {
    /// Whether people corrected it on different devices, so that who was right
    /// is worth asking.
    pub fn is_disputed(&self) -> bool {
        let mut devices = self.corrections.iter().map(|c| &c.writer.device);
        let first = devices.next();
        devices.any(|d| Some(d) != first)
    }
}

/// The last signature of one of the two, and at which of the events it stands.
pub fn last_signed(events: &[Event], by: SignedBy) -> Option<(usize, &Signed)> {
    let mut each = events.iter().enumerate().rev();
    each.find_map(|(at, event)| match &event.body {
        Body::Signed(signed) if signed.by == by => Some((at, signed)),
        _ => None,
    })
}

/// How many entries came after the event at `at`, signatures apart: what a
/// signature there does not cover.
pub fn entered_since(events: &[Event], at: usize) -> usize {
    let later = events.iter().skip(at + 1);
    later.filter(|e| !matches!(e.body, Body::Signed(_))).count()
}

/// What holds, in the order of the events given, which is that of
/// [`super::ordered`]. A correction of a correction corrects what that one did.
/// Corrections of what is not there are left out; [`super::verify`] names them.
pub fn in_force(events: &[Event]) -> Vec<Kept<'_>> {
    let mut entries: Vec<Kept<'_>> = Vec::new();
    let mut roots: BTreeMap<Hash, usize> = BTreeMap::new();
    for event in events {
        if !matches!(event.body, Body::Correction(_)) {
            roots.insert(event.hash, entries.len());
            entries.push(Kept {
                first: event,
                holds: Some(&event.body),
                corrections: Vec::new(),
            });
        }
    }
    // What a correction names may stand after it, if its writer's clock ran
    // behind: go on until none finds its place.
    let mut open: Vec<&Event> = events
        .iter()
        .filter(|e| matches!(e.body, Body::Correction(_)))
        .collect();
    let mut found = Vec::new();
    loop {
        let before = open.len();
        open.retain(|event| {
            let Body::Correction(correction) = &event.body else {
                return false;
            };
            let Some(&root) = roots.get(&correction.of) else {
                return true;
            };
            roots.insert(event.hash, root);
            found.push((event.hash, root));
            false
        });
        if open.is_empty() || open.len() == before {
            break;
        }
    }
    let found: BTreeMap<Hash, usize> = found.into_iter().collect();
    for event in events {
        if let (Body::Correction(correction), Some(&root)) = (&event.body, found.get(&event.hash)) {
            entries[root].holds = correction.instead.as_ref();
            entries[root].corrections.push(event);
        }
    }
    entries
}
