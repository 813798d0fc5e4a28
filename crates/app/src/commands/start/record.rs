//! `drywright start` on the record itself: merge, mend, verify.

use std::path::Path;

use anyhow::Result;
use job::record::{Body, Hash};

use crate::project::{Project, room_files, room_stem};
use crate::record::{Read, Store};
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
        n => format!("; {n} rows of it cannot be read"),
    };
    out::message(&format!(
        "merged into the record of {}: {} events taken, {} were here already, {} photos{torn}",
        project.folder().display(),
        merged.taken,
        merged.known,
        merged.photos
    ));
    Ok(())
}

pub(super) fn mend(store: &Store) -> Result<()> {
    match store.mend()? {
        Some(aside) => out::message(&format!(
            "the damaged record was put aside as {}; the record goes on from what was intact in it",
            aside.display()
        )),
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
    for set in &read.report.clocks_set {
        text.push_str(&format!(
            "○ the clock of device {} was set by {} s before event {}: times are in doubt, the order is not\n",
            set.place.device,
            set.by_ms / 1_000,
            set.place.seq
        ));
    }
    let whole = read.is_whole() && photos.is_empty();
    text.push_str(if whole {
        "The record is whole: nothing was altered, nothing is missing.\n"
    } else {
        "The record is not whole; what is said above is wrong with it. What is intact is kept.\n"
    });
    out::print(&text)?;
    Ok(Verdict::from_stops(!whole))
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
    damage.chain(torn).chain(lost).chain(chain).collect()
}

/// Photos that events name and that are not there as they were kept.
fn missing_photos(store: &Store, read: &Read) -> Vec<String> {
    let mut named: Vec<Hash> = Vec::new();
    for event in &read.events {
        match &event.body {
            Body::Photo(photo) => named.push(photo.hash),
            Body::StepDone(done) => named.extend(&done.photos),
            _ => {}
        }
    }
    named.sort();
    named.dedup();
    named.retain(|hash| store.photo(hash).is_none());
    named
        .iter()
        .map(|hash| format!("photo {hash} is missing or was altered"))
        .collect()
}
