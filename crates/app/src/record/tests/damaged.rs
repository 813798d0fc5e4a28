//! Files that were flipped, cut off, or are something else.

use std::collections::BTreeSet;
use std::path::Path;

use job::record::Event;
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use super::super::error::RecordError;
use super::super::store::{KNOWN_VERSION, Read};
use super::{Site, add, note};

const NOTES: usize = 60;

/// What is intact of what is read.
fn intact(read: &Read) -> BTreeSet<String> {
    let good = |e: &&Event| e.is_intact();
    let hash = |e: &Event| e.hash.to_string();
    read.events.iter().filter(good).map(hash).collect()
}

/// A whole record: its site, its bytes, its events.
fn whole() -> (Site, Vec<u8>, BTreeSet<String>) {
    let site = Site::with_notes(NOTES);
    let read = site.store().verify().unwrap();
    assert!(read.is_whole(), "{read:?}");
    let bytes = std::fs::read(site.store().file()).unwrap();
    let hashes = intact(&read);
    assert_eq!(hashes.len(), NOTES + 1);
    (site, bytes, hashes)
}

fn put(site: &Site, bytes: &[u8]) {
    std::fs::write(site.store().file(), bytes).unwrap();
}

#[test]
fn a_flipped_bit_is_told_and_what_is_intact_is_read() {
    let (site, bytes, all) = whole();
    let mut random = ChaCha8Rng::seed_from_u64(1);
    let (mut told, mut refused) = (0, 0);
    for _ in 0..160 {
        let mut spoilt = bytes.clone();
        let at = random.random_range(0..spoilt.len());
        spoilt[at] ^= 1 << random.random_range(0..8);
        put(&site, &spoilt);
        match site.store().verify() {
            Ok(read) if read.is_whole() => assert_eq!(intact(&read), all, "byte {at}"),
            Ok(read) => {
                told += 1;
                let left = intact(&read);
                assert!(left.is_subset(&all), "byte {at}");
                // One page holds a few events of this size.
                assert!(all.len() <= left.len() + 10, "byte {at}: {}", left.len());
            }
            Err(RecordError::Newer { .. }) => refused += 1,
            Err(error) => panic!("byte {at}: {error}"),
        }
    }
    assert!(80 < told, "{told}");
    assert!(refused < 5, "{refused}");
}

/// Cut off anywhere behind its first page, a file says what of it is intact and
/// what is lost, and is mended. The events and their index grow together, so
/// that half a file can hold no event whole.
#[test]
fn a_file_that_was_cut_off_tells_what_is_intact_and_what_is_lost_and_is_mended() {
    const PAGE: usize = 4096;
    let (site, bytes, all) = whole();
    let store = site.store();
    let mut most = 0;
    for pages in 1..bytes.len() / PAGE {
        for more in [0, 1, PAGE / 2] {
            let length = pages * PAGE + more;
            put(&site, &bytes[..length]);
            let read = store.verify().unwrap();
            let left = intact(&read);
            assert!(
                !read.is_whole() && !read.damage.is_empty(),
                "{length} bytes"
            );
            assert!(left.is_subset(&all), "{length} bytes");
            most = most.max(left.len());
            // What the page of the index names is intact or lost, never both.
            let known = left.len() + read.gone.len();
            assert!(known <= all.len(), "{length} bytes: {known}");
            if 7 < pages {
                assert_eq!(known, all.len(), "{length} bytes");
            }
            let mended = store.mend().unwrap().expect("something to mend");
            assert_eq!(std::fs::read(&mended.aside).unwrap(), bytes[..length]);
            assert_eq!(mended.kept, left.len());
            let after = store.verify().unwrap();
            assert!(after.damage.is_empty(), "{:?}", after.damage);
            assert_eq!(intact(&after), left);
            // Mended is not whole: what is lost stays told.
            assert_eq!(after.gone, mended.gone, "{length} bytes");
            assert_eq!(after.is_whole(), left == all, "{length} bytes");
            std::fs::remove_file(mended.aside).unwrap();
        }
    }
    assert!(all.len() / 2 < most, "{most} of {}", all.len());
    add(&store, vec![note("goes on")]);
}

#[test]
fn an_altered_text_is_found_though_the_file_is_sound() {
    let (site, _, _) = whole();
    let connection = rusqlite::Connection::open(site.store().file()).unwrap();
    let change = "UPDATE event SET text = replace(text, 'note 7\"', 'note 8\"') WHERE seq = 9";
    assert_eq!(connection.execute(change, []).unwrap(), 1);
    drop(connection);
    let read = site.store().verify().unwrap();
    assert!(read.damage.is_empty() && !read.is_whole());
    let words = read.report.faults[0].words();
    assert!(words.starts_with("event 9 of device"), "{words}");
    assert!(words.contains("altered"), "{words}");
}

#[test]
fn nothing_is_written_on_a_damaged_file_until_it_is_mended() {
    let (site, bytes, all) = whole();
    // A page in the middle is gone.
    let mut spoilt = bytes;
    let middle = spoilt.len() / 2 / 4096 * 4096;
    spoilt[middle..middle + 4096].fill(0xa5);
    put(&site, &spoilt);
    let store = site.store();
    let who = ("A. Person", None);
    let refused = store.append("flower", who, vec![note("on top")], None);
    let words = refused.expect_err("damaged").to_string();
    assert!(words.contains("--mend"), "{words}");
    assert_eq!(std::fs::read(store.file()).unwrap(), spoilt);

    let left = intact(&store.verify().unwrap());
    let mended = store.mend().unwrap().expect("something to mend");
    assert_eq!(std::fs::read(mended.aside).unwrap(), spoilt);
    assert_eq!(mended.kept + mended.gone.len(), all.len());
    let read = store.verify().unwrap();
    assert!(read.damage.is_empty(), "{:?}", read.damage);
    assert_eq!(intact(&read), left);
    assert!(left.is_subset(&all) && all.len() <= left.len() + 10);
    add(&store, vec![note("goes on")]);
    assert_eq!(store.mend().unwrap(), None);
}

#[test]
fn a_newer_record_is_refused_with_words() {
    let (site, _, _) = whole();
    let set = |version: i64| {
        let connection = rusqlite::Connection::open(site.store().file()).unwrap();
        let change = "UPDATE record_version SET version = ?1";
        connection.execute(change, [version]).unwrap();
    };
    set(KNOWN_VERSION + 1);
    let words = site.store().read().expect_err("newer").to_string();
    assert!(words.contains("newer version of this program"), "{words}");
    let who = ("A. Person", None);
    let refused = site.store().append("flower", who, vec![note("x")], None);
    assert!(matches!(refused, Err(RecordError::Newer { .. })));
    set(KNOWN_VERSION);
    assert!(site.store().verify().unwrap().is_whole());
}

#[test]
fn what_is_no_record_is_told() {
    let site = Site::new();
    let refused = |content: &dyn Fn(&Path)| {
        let _ = std::fs::remove_file(site.store().file());
        content(site.store().file());
        let read = site.store().read().expect_err("no record").to_string();
        let who = ("A. Person", None);
        let append = site.store().append("flower", who, vec![note("x")], None);
        assert!(append.is_err());
        read
    };
    let text =
        refused(&|file| std::fs::write(file, "a letter, not a record. ".repeat(400)).unwrap());
    assert!(text.contains("not a record"), "{text}");
    let other = refused(&|file| {
        let connection = rusqlite::Connection::open(file).unwrap();
        connection
            .execute_batch("CREATE TABLE song (name TEXT)")
            .unwrap();
    });
    assert!(other.contains("database of something else"), "{other}");
    let folder = refused(&|file| std::fs::create_dir(file).unwrap());
    assert!(folder.contains("record.sqlite"), "{folder}");
}
