//! A program that writes is killed at any moment.

use std::collections::BTreeSet;
use std::io::{BufRead as _, BufReader, Write as _};
use std::process::{Child, Stdio};
use std::time::Duration;

use job::record::FaultKind;
use rand::RngExt as _;

use super::{Site, add, child, note, store};

const FOLDER: &str = "RECORD_TEST_FOLDER";
const STATE: &str = "RECORD_TEST_STATE";

/// Not a test of its own: adds events without end, and says which are
/// acknowledged.
#[test]
fn writes_until_it_is_killed() {
    let (Ok(folder), Ok(state)) = (std::env::var(FOLDER), std::env::var(STATE)) else {
        return;
    };
    let store = store(folder.as_ref(), state.as_ref());
    for i in 0.. {
        let event = add(&store, vec![note(&format!("written {i}"))]);
        let line = format!("\nacknowledged {}\n", event.hash);
        std::io::stdout().write_all(line.as_bytes()).unwrap();
    }
}

fn begin(site: &Site) -> Child {
    child("record::tests::killed::writes_until_it_is_killed")
        .env(FOLDER, site.folder.path())
        .env(STATE, site.state.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// Hashes that a killed child acknowledged; a line that was cut off is none.
fn acknowledged(mut child: Child) -> Vec<String> {
    child.kill().unwrap();
    child.wait().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap());
    let (mut found, mut line) = (Vec::new(), String::new());
    while lines.read_line(&mut line).unwrap() != 0 {
        if line.ends_with('\n')
            && let Some(hash) = line.trim().strip_prefix("acknowledged ")
        {
            found.push(hash.to_owned());
        }
        line.clear();
    }
    found
}

#[test]
fn killed_at_any_moment_no_acknowledged_event_is_lost_and_no_chain_broken() {
    const KILLS: usize = 220;
    let site = Site::new();
    let mut all = BTreeSet::new();
    let mut kills = 0;
    while kills < KILLS {
        // Every third time two programs write at once, in one chain.
        let children: Vec<Child> = (0..if kills % 3 == 0 { 2 } else { 1 })
            .map(|_| begin(&site))
            .collect();
        let wait = rand::rng().random_range(0..160);
        std::thread::sleep(Duration::from_millis(wait));
        for child in children {
            all.extend(acknowledged(child));
            kills += 1;
        }
        if kills % 20 == 0 {
            check(&site, &all);
        }
    }
    check(&site, &all);
    assert!(KILLS < all.len(), "{} events in {kills} kills", all.len());
}

fn check(site: &Site, acknowledged: &BTreeSet<String>) {
    let read = site.store().verify().unwrap();
    assert!(read.is_whole(), "{:?} {:?}", read.report, read.damage);
    let twice = |k: &FaultKind| matches!(k, FaultKind::Twice { .. });
    assert!(!read.report.faults.iter().any(|f| twice(&f.kind)));
    let there: BTreeSet<String> = read.events.iter().map(|e| e.hash.to_string()).collect();
    assert_eq!(acknowledged.difference(&there).next(), None);
}
