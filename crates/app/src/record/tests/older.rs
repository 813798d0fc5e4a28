//! Files of older schemas, and of a newer one.

use job::record::{Body, Draft, Event, FORMAT, Moment, UnitSkipped, Writer, to_text};

use super::super::RecordError;
use super::super::schema::{MIGRATIONS, VERSION};
use super::{Site, add, began, note};

/// The tables as the first version of this program made them: a copy, so that
/// no change of today's text hides that an old file cannot be read.
const FIRST: &str = "
    CREATE TABLE record_version (version BIGINT NOT NULL);
    INSERT INTO record_version (version) VALUES (1);
    CREATE TABLE event (
        place BIGINT NOT NULL,
        device VARCHAR(64) NOT NULL,
        seq BIGINT NOT NULL,
        hash VARCHAR(64) NOT NULL,
        text TEXT NOT NULL,
        PRIMARY KEY (place)
    );
    CREATE INDEX event_by_device ON event (device, seq);
    CREATE TABLE request (
        name VARCHAR(128) NOT NULL,
        body VARCHAR(64) NOT NULL,
        hash VARCHAR(64) NOT NULL,
        at_ms BIGINT NOT NULL,
        PRIMARY KEY (name)
    );";

/// An event as the first version wrote it; its hash was made outside of this
/// program, by the definition of SHA-256 over the text of the format.
const FIRST_EVENT: &str = include_str!("first_event.json");

/// Two chains of two devices, linked and hashed, in the order of writing.
fn chains() -> Vec<Event> {
    let mut all: Vec<Event> = Vec::new();
    for (i, device) in ["a", "b", "a", "b", "a"].into_iter().enumerate() {
        let draft = Draft {
            room: "flower".into(),
            writer: Writer {
                device: device.into(),
                device_name: format!("machine {device}"),
                person: "A. Person".into(),
            },
            at: Moment {
                utc_ms: 1_700_000_000_000 + 1_000 * i as i64,
                clock: "boot".into(),
                ticks_ms: 1_000 * i as u64,
            },
            body: if i == 0 {
                began()
            } else {
                note(&format!("note {i}"))
            },
        };
        let last = job::record::last_of(&all, device);
        let event = draft.after(last).unwrap();
        all.push(event);
    }
    all
}

/// Puts a file beside a job that is made by this SQL and holds these events.
fn put(site: &Site, tables: &[&str], version: i64, events: &[Event]) {
    let file = rusqlite::Connection::open(site.store().file()).unwrap();
    for step in tables {
        file.execute_batch(step).unwrap();
    }
    let set = "UPDATE record_version SET version = ?1";
    assert_eq!(file.execute(set, [version]).unwrap(), 1);
    for (i, event) in events.iter().enumerate() {
        let row = "INSERT INTO event (place, device, seq, hash, text) VALUES (?1, ?2, ?3, ?4, ?5)";
        file.execute(
            row,
            rusqlite::params![
                i as i64 + 1,
                event.writer.device,
                event.seq as i64,
                event.hash.to_string(),
                to_text(event)
            ],
        )
        .unwrap();
    }
}

fn texts(events: &[Event]) -> Vec<String> {
    events.iter().map(to_text).collect()
}

/// Reads, writes on and reads again: every event is there, every chain whole.
fn goes_on(site: &Site, events: &[Event]) {
    let read = site.store().verify().unwrap();
    assert!(read.is_whole(), "{:?} {:?}", read.report, read.damage);
    assert_eq!(texts(&read.events), texts(events));
    let added = add(&site.store(), vec![note("goes on")]);
    let read = site.store().verify().unwrap();
    assert!(read.is_whole());
    assert_eq!(texts(&read.events[..events.len()]), texts(events));
    assert_eq!(read.events.last().map(|e| e.hash), Some(added.hash));
    let version: i64 = rusqlite::Connection::open(site.store().file())
        .unwrap()
        .query_row("SELECT max(version) FROM record_version", [], |row| {
            row.get(0)
        })
        .unwrap();
    assert_eq!(version, VERSION);
}

#[test]
fn a_file_of_the_first_schema_is_read_and_written_on() {
    let (site, events) = (Site::new(), chains());
    put(&site, &[FIRST], 1, &events);
    goes_on(&site, &events);
}

#[test]
fn a_file_of_every_schema_since_is_read_and_written_on() {
    for steps in 1..=MIGRATIONS.len() {
        let (site, events) = (Site::new(), chains());
        put(&site, &MIGRATIONS[..steps], steps as i64, &events);
        goes_on(&site, &events);
    }
}

#[test]
fn an_event_as_the_first_version_wrote_it_is_intact() {
    let site = Site::new();
    let event = job::record::from_text(FIRST_EVENT.trim()).unwrap();
    assert_eq!(event.format, 1);
    assert!(event.is_intact());
    put(&site, &[FIRST], 1, std::slice::from_ref(&event));
    goes_on(&site, &[event]);
}

#[test]
fn what_an_older_program_can_read_is_written_in_its_format() {
    let site = Site::new();
    let old = add(&site.store(), vec![began(), note("old")]);
    let new = add(
        &site.store(),
        vec![Body::UnitSkipped(UnitSkipped {
            unit: "D1".into(),
            reason: "not delivered".into(),
        })],
    );
    assert_eq!((old.format, new.format), (1, FORMAT));
}

#[test]
fn a_newer_file_is_refused_and_left_as_it_is() {
    for journal in ["DELETE", "WAL"] {
        let (site, events) = (Site::new(), chains());
        let mut tables = MIGRATIONS.to_vec();
        tables.push("ALTER TABLE event ADD COLUMN more TEXT;");
        put(&site, &tables, VERSION + 1, &events);
        {
            let file = rusqlite::Connection::open(site.store().file()).unwrap();
            file.pragma_update(None, "journal_mode", journal).unwrap();
        }
        let store = site.store();
        let before = std::fs::read(store.file()).unwrap();
        let who = ("A. Person", None);
        let newer = |e: RecordError| {
            assert!(matches!(e, RecordError::Newer { .. }), "{e}");
            assert!(
                e.to_string().contains("newer version of this program"),
                "{e}"
            );
        };
        newer(store.read().expect_err("read"));
        newer(store.verify().expect_err("verified"));
        newer(
            store
                .append("flower", who, vec![note("x")], None)
                .expect_err("written"),
        );
        newer(store.mend().expect_err("mended"));
        newer(
            store
                .export(&site.folder.path().join("out.sqlite"))
                .expect_err("exported"),
        );
        let other = Site::with_notes(1);
        let rooms = ["flower".to_owned()];
        newer(
            other
                .store()
                .merge(store.file(), &rooms)
                .expect_err("merged"),
        );
        newer(
            store
                .merge(other.store().file(), &rooms)
                .expect_err("merged into"),
        );
        assert_eq!(std::fs::read(store.file()).unwrap(), before, "{journal}");
        for ending in ["-wal", "-journal"] {
            let beside = store
                .file()
                .with_file_name(format!("record.sqlite{ending}"));
            let left = std::fs::read(beside).unwrap_or_default();
            assert!(left.is_empty(), "{journal} {ending}");
        }
    }
}
