//! Disks that are full or may only be read, clocks that are set, forms that
//! come twice.

use std::path::Path;
use std::process::Command;

use job::record::Hash;

use super::super::error::RecordError;
use super::super::store::Request;
use super::{Site, add, at, child, note, store};

const FOLDER: &str = "RECORD_TEST_READ_ONLY";

/// Not a test of its own: run as somebody who may not write there.
#[test]
fn reads_where_it_may_not_write() {
    let Ok(folder) = std::env::var(FOLDER) else {
        return;
    };
    let state = tempfile::tempdir().unwrap();
    let store = store(folder.as_ref(), state.path());
    let read = store.verify().unwrap();
    assert!(read.is_whole() && read.events.len() == 4, "{read:?}");
    let who = ("A. Person", None);
    let refused = store.append("flower", who, vec![note("x")], None);
    let words = refused.expect_err("read-only").to_string();
    assert!(words.contains("read-only"), "{words}");
}

#[cfg(unix)]
#[test]
fn a_read_only_folder_is_read_and_not_written() {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
    use std::os::unix::process::CommandExt as _;

    let site = Site::with_notes(3);
    let may = |mode| {
        let folder = site.folder.path();
        std::fs::set_permissions(folder, std::fs::Permissions::from_mode(mode)).unwrap();
    };
    let names = || std::fs::read_dir(site.folder.path()).unwrap().count();
    let before = names();
    std::fs::set_permissions(site.store().file(), std::fs::Permissions::from_mode(0o444)).unwrap();
    may(0o555);
    let mut reader = child("record::tests::disk::reads_where_it_may_not_write");
    reader.env(FOLDER, site.folder.path());
    if std::fs::metadata("/proc/self").is_ok_and(|m| m.uid() == 0) {
        // Root may write anywhere; nobody may not.
        reader.uid(65_534).current_dir("/");
    }
    let done = reader.output().unwrap();
    may(0o755);
    let said = String::from_utf8_lossy(&done.stdout).into_owned();
    assert!(done.status.success(), "{said}");
    assert!(said.contains("1 passed"), "{said}");
    assert_eq!(names(), before);
}

/// A folder on a disk of its own, until it is dropped.
struct SmallDisk(tempfile::TempDir);

impl SmallDisk {
    /// None where this user may not mount one.
    fn of(size: &str) -> Option<Self> {
        let folder = tempfile::tempdir().unwrap();
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &format!("size={size}"), "tmpfs"])
            .arg(folder.path())
            .output();
        mounted
            .is_ok_and(|m| m.status.success())
            .then_some(Self(folder))
    }

    fn path(&self) -> &Path {
        self.0.path()
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.path()).output();
    }
}

#[test]
fn on_a_full_disk_nothing_that_was_acknowledged_is_lost() {
    let Some(disk) = SmallDisk::of("320k") else {
        crate::out::message("not tested: mounting a small disk is not allowed here");
        return;
    };
    let state = tempfile::tempdir().unwrap();
    let store = store(disk.path(), state.path());
    let mut acknowledged = Vec::new();
    let full = loop {
        let who = ("A. Person", None);
        let body = note(&"long ".repeat(300));
        match store.append("flower", who, vec![body], None) {
            Ok(added) => acknowledged.push(added.event.hash),
            Err(error) => break error,
        }
        assert!(acknowledged.len() < 1_000, "the disk never fills");
    };
    assert!(matches!(full, RecordError::Full { .. }), "{full}");
    assert!(20 < acknowledged.len(), "{}", acknowledged.len());
    // Still full: what is there is read.
    let read = store.verify().unwrap();
    assert!(read.is_whole(), "{:?}", read.report);
    let there = |hash: &Hash| read.events.iter().any(|e| e.hash == *hash);
    assert!(acknowledged.iter().all(there));
}

#[test]
fn a_clock_that_is_set_back_changes_neither_order_nor_chain() {
    let site = Site::new();
    let hour = 3_600_000;
    for (n, moment) in [
        at(10 * hour, 1_000),
        at(9 * hour, 61_000),
        at(9 * hour + 5, 61_005),
    ]
    .iter()
    .enumerate()
    {
        let who = ("A. Person", None);
        let body = vec![note(&format!("{n}"))];
        site.store()
            .append_at(moment, "flower", who, body, None)
            .unwrap();
    }
    let read = site.store().verify().unwrap();
    assert!(read.is_whole());
    let order: Vec<u64> = read.events.iter().map(|e| e.seq).collect();
    assert_eq!(order, [1, 2, 3]);
    let set = &read.report.clocks_set;
    assert_eq!(set.len(), 1);
    assert_eq!(set[0].by_ms, -hour - 60_000);
}

/// A laptop whose clock was set back a day goes on in a record that another
/// began; and both have one name.
#[test]
fn a_clock_that_is_behind_and_devices_of_one_name_are_told() {
    let site = Site::new();
    let (first, second) = (site.store(), tempfile::tempdir().unwrap());
    let second = store(site.folder.path(), second.path());
    let day_ms = 86_400_000;
    let write = |store: &super::super::Store, utc_ms, body| {
        let who = ("A. Person", Some("vm"));
        store
            .append_at(&at(utc_ms, 0), "flower", who, vec![body], None)
            .unwrap();
    };
    let told = || crate::commands::start::doubts(&site.store().verify().unwrap());
    write(&first, 20_000 * day_ms, super::began());
    assert_eq!(told(), [""; 0]);
    write(&second, 20_000 * day_ms + 3_600_000, note("by another"));
    let [same] = &told()[..] else {
        panic!("{:?}", told())
    };
    assert!(same.contains("2 devices are named \"vm\""), "{same}");
    let third = tempfile::tempdir().unwrap();
    let third = store(site.folder.path(), third.path());
    write(&third, 19_999 * day_ms, note("yesterday"));
    let told = told();
    assert!(told[0].contains("was behind"), "{told:?}");
    assert!(told[0].contains("says 2024-10-03"), "{told:?}");
}

#[test]
fn a_form_that_comes_twice_counts_once() {
    let site = Site::new();
    let send = |name: &str, text: &str| {
        let request = Request {
            name: name.into(),
            body: Hash::of(text.as_bytes()),
        };
        let who = ("A. Person", None);
        site.store()
            .append("flower", who, vec![note(text)], Some(&request))
    };
    let first = send("k1", "one").unwrap();
    let second = send("k1", "one").unwrap();
    assert!(!first.again && second.again);
    assert_eq!(first.event, second.event);
    assert!(matches!(send("k1", "two"), Err(RecordError::OtherBody)));
    assert!(!send("k2", "one").unwrap().again);
    assert_eq!(site.store().read().unwrap().events.len(), 2);
}

#[test]
fn an_older_copy_put_back_is_seen_and_another_chain_begins() {
    let site = Site::with_notes(2);
    let old = std::fs::read(site.store().file()).unwrap();
    let newer = add(&site.store(), vec![note("after the copy")]);
    std::fs::write(site.store().file(), old).unwrap();
    let read = site.store().verify().unwrap();
    assert_eq!(read.lost.unwrap().hash, newer.hash);
    add(&site.store(), vec![note("goes on")]);
    let read = site.store().verify().unwrap();
    assert!(read.is_whole(), "{:?}", read.report);
    assert_eq!(read.report.chains.len(), 2);
    let told = |e: &job::record::Event| matches!(&e.body, job::record::Body::Note(n) if n.text.contains("older copy"));
    assert!(read.events.iter().any(told));
}

#[test]
fn what_cannot_be_kept_is_refused_whole() {
    let site = Site::with_notes(1);
    let who = ("A. Person", None);
    let bodies = vec![note("good"), note(" ")];
    let refused = site.store().append("flower", who, bodies, None);
    assert!(matches!(refused, Err(RecordError::BadEvent(_))));
    let nobody = site
        .store()
        .append("flower", ("", None), vec![note("x")], None);
    assert!(nobody.is_err());
    assert_eq!(site.store().verify().unwrap().events.len(), 2);
}
