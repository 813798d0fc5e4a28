//! Records of one job that were written on two machines.

use job::record::{Body, Photo};

use super::super::error::RecordError;
use super::super::photo::{Position, Taken};
use super::{Site, add, note};

fn rooms() -> [String; 1] {
    ["flower".to_owned()]
}

#[test]
fn a_record_of_another_job_is_not_merged() {
    let (a, b) = (Site::with_notes(1), Site::with_notes(1));
    let refused = a.store().merge(b.store().file(), &["drying".to_owned()]);
    let words = refused.expect_err("another job's").to_string();
    assert!(words.contains("another job's"), "{words}");
    assert_eq!(a.store().read().unwrap().events.len(), 2);
}

#[test]
fn two_machines_of_one_name_lose_and_double_nothing() {
    let (a, b) = (Site::with_notes(3), Site::new());
    // The second machine begins from a copy of the first one's folder.
    std::fs::copy(a.store().file(), b.store().file()).unwrap();
    add(&a.store(), vec![note("on the first")]);
    add(&b.store(), vec![note("on the second")]);
    for _ in 0..2 {
        a.store().merge(b.store().file(), &rooms()).unwrap();
        b.store().merge(a.store().file(), &rooms()).unwrap();
    }
    let (first, second) = (a.store().verify().unwrap(), b.store().verify().unwrap());
    assert!(first.is_whole(), "{:?}", first.report);
    assert_eq!(first.events, second.events);
    assert_eq!(first.events.len(), 6);
    assert_eq!(first.report.chains.len(), 2);
    assert_eq!(first.report.chain_hash(), second.report.chain_hash());
    // Each goes on in its own chain.
    add(&a.store(), vec![note("again on the first")]);
    assert!(a.store().verify().unwrap().is_whole());
    assert_eq!(a.store().verify().unwrap().report.chains.len(), 2);
}

#[test]
fn a_merge_says_what_it_took_and_brings_photos() {
    let (a, b) = (Site::with_notes(1), Site::new());
    let picture = super::photos::png(40, 30);
    let taken = Taken::read(&picture, Position::Drop).unwrap();
    b.store().keep_photo(&taken).unwrap();
    add(&b.store(), vec![note("one")]);
    let merged = a.store().merge(b.store().file(), &rooms()).unwrap();
    assert_eq!((merged.taken, merged.known, merged.photos), (1, 0, 1));
    let again = a.store().merge(b.store().file(), &rooms()).unwrap();
    assert_eq!((again.taken, again.known, again.photos), (0, 1, 0));
    assert_eq!(a.store().photo(&taken.hash), Some(taken.jpeg));
    let missing = a
        .store()
        .merge(std::path::Path::new("/nowhere.sqlite"), &rooms());
    assert!(matches!(missing, Err(RecordError::Missing { .. })));
}

#[test]
fn what_is_intact_of_a_damaged_record_is_merged() {
    let (a, b) = (Site::with_notes(1), Site::with_notes(60));
    let mut bytes = std::fs::read(b.store().file()).unwrap();
    let length = bytes.len();
    bytes[length / 2..length / 2 + 50].fill(0);
    std::fs::write(b.store().file(), bytes).unwrap();
    let merged = a.store().merge(b.store().file(), &rooms()).unwrap();
    assert!(50 <= merged.taken, "{merged:?}");
    assert!(a.store().verify().unwrap().damage.is_empty());
}

/// One file by itself, far from the folder's photos.
#[test]
fn an_export_is_one_whole_file() {
    let a = Site::with_notes(2);
    let taken = Taken::read(&super::photos::png(40, 30), Position::Drop).unwrap();
    a.store().keep_photo(&taken).unwrap();
    let photo = |hash| {
        Body::Photo(Photo {
            unit: Some("D1".into()),
            step: Some("D1.filter".into()),
            hash,
            bytes: 3,
            width: 40,
            height: 30,
            caption: None,
        })
    };
    let never_here = job::record::Hash::of(b"gone");
    add(&a.store(), vec![photo(taken.hash), photo(never_here)]);
    let to = a.state.path().join("copy.sqlite");
    let exported = a.store().export(&to).unwrap();
    assert_eq!((exported.photos, exported.without), (1, 1));
    assert!(a.store().export(&to).is_err(), "it is there already");
    let b = Site::new();
    let merged = b.store().merge(&to, &rooms()).unwrap();
    assert_eq!(merged.photos, 1);
    assert_eq!(b.store().photo(&taken.hash), Some(taken.jpeg));
    assert_eq!(b.store().merge(&to, &rooms()).unwrap().photos, 0);
    let (first, second) = (a.store().verify().unwrap(), b.store().verify().unwrap());
    assert_eq!(first.events, second.events);
}
