//! The record on a disk that is killed, full, read-only, flipped and cut.

mod damaged;
mod disk;
mod killed;
mod merged;
mod older;
mod photos;

use std::path::Path;

use job::record::{Basis, Body, Event, Moment, Note};
use tempfile::TempDir;

use super::store::Store;

/// A job folder and what its machine keeps elsewhere.
struct Site {
    folder: TempDir,
    state: TempDir,
}

impl Site {
    fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
            state: tempfile::tempdir().unwrap(),
        }
    }

    fn store(&self) -> Store {
        store(self.folder.path(), self.state.path())
    }

    /// A record that began and has this many notes.
    fn with_notes(count: usize) -> Self {
        let site = Self::new();
        add(&site.store(), vec![began()]);
        for i in 0..count {
            add(&site.store(), vec![note(&format!("note {i}"))]);
        }
        site
    }
}

fn store(folder: &Path, state: &Path) -> Store {
    Store::with_state(folder, Some(state.to_path_buf()))
}

fn note(text: &str) -> Body {
    Body::Note(Note {
        unit: Some("D1".into()),
        step: None,
        text: text.into(),
    })
}

/// A start against a room text that takes several pages of the file.
fn began() -> Body {
    let room: String = (0..1_500)
        .map(|i| format!("# line {i} of a room\n"))
        .collect();
    Body::Started(Basis::of(&job::Inputs {
        site: None,
        room,
        machines: Vec::new(),
    }))
}

fn add(store: &Store, bodies: Vec<Body>) -> Event {
    let who = ("A. Person", Some("laptop"));
    store.append("flower", who, bodies, None).unwrap().event
}

fn at(utc_ms: i64, ticks_ms: u64) -> Moment {
    Moment {
        utc_ms,
        clock: "boot".into(),
        ticks_ms,
    }
}

/// Runs a test of this program again as a program of its own.
fn child(test: &str) -> std::process::Command {
    let mut command = std::process::Command::new(std::env::current_exe().unwrap());
    command.args([test, "--exact", "--nocapture", "--test-threads=1"]);
    command
}
