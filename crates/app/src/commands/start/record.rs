//! `drywright start` on the record itself: merge, mend, verify.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use anyhow::Result;
use job::record::{Body, Event};
use quantity::{Dim, UnitSystem, Value, counted};

use crate::project::{Project, room_files, room_stem};
use crate::record::{Mended, Read, Store, photos_named, time_words};
use crate::{Verdict, out};

pub(super) fn merge(project: &Project, store: &Store, other: &Path) -> Result<()> {
    let rooms: Vec<String> = room_files(&project.folder())?
        .iter()
        .map(|file| room_stem(file))
        .collect();
    let merged = store.merge(other, &rooms)?;
    for why in &merged.damage {
        out::message(&format!("{} is damaged: {why}", other.display()));
    }
    let torn = match merged.torn {
        0 => String::new(),
        n => format!("; {} of it cannot be read", counted(n, "row")),
    };
    out::message(&format!(
        "merged into the record of {}: {} taken, {} were here already, {}{torn}",
        project.folder().display(),
        counted(merged.taken, "event"),
        merged.known,
        counted(merged.photos, "photo")
    ));
    Ok(())
}

pub(super) fn mend(store: &Store) -> Result<()> {
    match store.mend()? {
        Some(Mended { aside, kept, gone }) => {
            out::message(&format!(
                "the damaged record was put aside as {}, unchanged; the record goes on with the {} that were intact in it",
                aside.display(),
                counted(kept, "event")
            ));
            for words in gone_words(&gone) {
                out::message(&format!(
                    "{words}; a copy or an export that has them brings them back: --merge FILE"
                ));
            }
        }
        None => out::message("the record is sound; nothing was changed"),
    }
    Ok(())
}

pub(super) fn verify(store: &Store) -> Result<Verdict> {
    if !store.exists() {
        out::print("Nothing is recorded yet.\n")?;
        return Ok(Verdict::Clear);
    }
    let read = store.verify()?;
    let photos = missing_photos(store, &read);
    let mut text = String::new();
    for chain in &read.report.chains {
        let head = chain.head.map_or_else(String::new, |h| {
            format!(", last event {} with hash {}", h.seq, h.hash)
        });
        let names: Vec<&str> = chain.names.iter().map(String::as_str).collect();
        let people: Vec<&str> = chain.people.iter().map(String::as_str).collect();
        text.push_str(&format!(
            "chain {} ({}; {}): {} events{head}\n",
            &chain.device,
            names.join(", "),
            people.join(", "),
            chain.events
        ));
    }
    text.push_str(&format!("chain hash {}\n", read.report.chain_hash()));
    for fault in faults(&read).into_iter().chain(photos.clone()) {
        text.push_str(&format!("■ {fault}\n"));
    }
    for doubt in doubts(&read) {
        text.push_str(&format!("○ {doubt}\n"));
    }
    let whole = read.is_whole() && photos.is_empty();
    if whole {
        text.push_str("The record is whole: nothing was altered, and nothing is missing before its last event.\nThat nothing was cut off after it, the chain hash on a printed hand-over shows.\n");
    } else {
        text.push_str(&format!(
            "The record is not whole; what is said above is wrong with it. Intact: {}.\n",
            counted(
                read.events.iter().filter(|e| e.is_intact()).count(),
                "event"
            )
        ));
    }
    if !read.damage.is_empty() {
        text.push_str("The file itself is damaged: --mend puts it aside, unchanged, and goes on from what is intact.\n");
    }
    out::print(&text)?;
    Ok(Verdict::from_stops(!whole))
}

/// Events that are lost, in sentences: runs of numbers of one device together.
fn gone_words(gone: &BTreeSet<(String, u64)>) -> Vec<String> {
    let mut runs: Vec<(&str, u64, u64)> = Vec::new();
    for (device, seq) in gone {
        match runs.last_mut() {
            Some((of, _, to)) if of == device && *to + 1 == *seq => *to = *seq,
            _ => runs.push((device, *seq, *seq)),
        }
    }
    let words = |(device, from, to): (&str, u64, u64)| {
        if from == to {
            format!("event {from} of device {device} was in the file and cannot be read any more")
        } else {
            format!(
                "events {from} to {to} of device {device} were in the file and cannot be read any more"
            )
        }
    };
    runs.into_iter().map(words).collect()
}

/// What is no fault of a record and must be known to read it, in sentences:
/// clocks that were set, and devices of one name.
pub(crate) fn doubts(read: &Read) -> Vec<String> {
    let chains = &read.report.chains;
    let named = |device: &str| {
        let chain = chains.iter().find(|c| c.device == device);
        let names = chain.map_or_else(String::new, |c| joined(&c.names));
        format!("device {names} ({})", short(device))
    };
    let clocks = read.report.clocks_set.iter().map(|set| {
        let way = if set.by_ms < 0 { "back" } else { "on" };
        let event = read
            .events
            .iter()
            .find(|e| e.writer.device == set.place.device && e.seq == set.place.seq);
        let when = event.map_or_else(String::new, |e| {
            format!(", which says {}", time_words(e.at.utc_ms))
        });
        format!(
            "the clock of {} was set {way} by {} before its event {}{when}: times before and after do not go together; the order of its entries does not rest on them",
            named(&set.place.device),
            long(set.by_ms),
            set.place.seq
        )
    });
    let behind = behind(&read.events).map(|(event, began)| {
        format!(
            "the clock of {} was behind: its event {} says {}, and follows the begin of the start-up, which says {}: times of the two do not go together",
            named(&event.writer.device),
            event.seq,
            time_words(event.at.utc_ms),
            time_words(began.at.utc_ms)
        )
    });
    let mut by_name: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for chain in chains {
        for name in &chain.names {
            by_name.entry(name).or_default().push(format!(
                "{} (written by {})",
                short(&chain.device),
                joined(&chain.people)
            ));
        }
    }
    let same = by_name.into_iter().filter(|(_, all)| 1 < all.len());
    let same = same.map(|(name, all)| {
        format!(
            "{} devices are named \"{name}\": {}; who wrote what is told by the person, not by the device's name",
            all.len(),
            all.join(", ")
        )
    });
    clocks.chain(behind).chain(same).collect()
}

/// First events of a device in a room that say to be older than the begin of
/// the start-up there, which another device wrote and which they follow: what
/// is recorded first of a room is that it was begun. Each with that begin.
fn behind(events: &[Event]) -> impl Iterator<Item = (&Event, &Event)> {
    /// So far apart, two clocks go together well enough \[ms\].
    const APART_MS: i64 = 120_000;
    let begins = |e: &&Event| matches!(e.body, Body::Started(_));
    let mut first: BTreeMap<(&str, &str), &Event> = BTreeMap::new();
    for event in events {
        let key = (event.room.as_str(), event.writer.device.as_str());
        let of = first.entry(key).or_insert(event);
        if event.seq < of.seq {
            *of = event;
        }
    }
    first.into_values().filter_map(move |event| {
        let of_room = events
            .iter()
            .filter(begins)
            .filter(|e| e.room == event.room);
        let began = of_room.min_by_key(|e| e.at.utc_ms)?;
        let is_before = event.at.utc_ms.saturating_add(APART_MS) < began.at.utc_ms;
        (is_before && !begins(&event)).then_some((event, began))
    })
}

fn joined(all: &BTreeSet<String>) -> String {
    let all: Vec<&str> = all.iter().map(String::as_str).collect();
    all.join(", ")
}

/// The beginning of a device's id: enough to tell devices apart.
fn short(device: &str) -> String {
    device.chars().take(8).collect()
}

/// How far a clock was set, in its largest unit.
fn long(ms: i64) -> String {
    let seconds = ms.unsigned_abs() as f64 / 1_000.0;
    Value::new(seconds, Dim::Duration)
        .digits(2)
        .show(UnitSystem::Metric)
}

/// What is wrong with a record, in sentences.
pub(crate) fn faults(read: &Read) -> Vec<String> {
    let torn = read
        .report
        .torn
        .iter()
        .map(|t| format!("row {} is no event: {}", t.row, t.why));
    let damage = read.damage.iter().map(|d| format!("the file: {d}"));
    let lost = read.lost.iter().map(|head| {
        format!(
            "the last event that this machine wrote here (number {}, {}) is gone: an older copy was put back, or the end was cut off",
            head.seq,
            head.hash.short()
        )
    });
    let chain = read.report.faults.iter().map(job::record::Fault::words);
    let gone = gone_words(&read.gone);
    damage
        .chain(torn)
        .chain(gone)
        .chain(lost)
        .chain(chain)
        .collect()
}

/// Photos that events name and that are not there as they were kept.
fn missing_photos(store: &Store, read: &Read) -> Vec<String> {
    photos_named(&read.events)
        .into_iter()
        .filter(|(hash, _)| store.photo(hash).is_none())
        .map(|(hash, step)| {
            let of = step.map_or_else(String::new, |step| format!(" of {step}"));
            format!(
                "photo {}{of} is missing or was altered; merge the job folder's record, or an export, that has it",
                hash.short()
            )
        })
        .collect()
}
