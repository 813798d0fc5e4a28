//! The record of one job folder: reading, adding, merging, mending.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use job::record::{
    Body, Draft, Event, Hash, Head, Moment, Note, Report, Writer, from_text, to_text, verify_rows,
};

use super::error::RecordError;
use super::salvage::{self, Left};
use super::sql::{Change, Mode, Row, Tables};
use super::writer::{self, Kept};
use super::{NAME, PHOTOS};

/// The record of one job folder. Nothing is held open between uses, so that
/// the folder can be copied at any time.
#[derive(Clone, Debug)]
pub(crate) struct Store {
    folder: PathBuf,
    file: PathBuf,
    state: Option<PathBuf>,
}

/// What a record says, and how far it can be believed.
#[derive(Debug, Default)]
pub(crate) struct Read {
    /// Events that can be read, in order.
    pub(crate) events: Vec<Event>,
    /// Whether they are whole.
    pub(crate) report: Report,
    /// What is wrong with the file itself, in words.
    pub(crate) damage: Vec<String>,
    /// The last event that this machine wrote here, if it is not there any
    /// more.
    pub(crate) lost: Option<Head>,
    /// Devices and numbers of events that a damaged file still knows of, this
    /// one or one that was put aside, and that are not here any more.
    pub(crate) gone: BTreeSet<(String, u64)>,
}

impl Read {
    /// Whether nothing is wrong.
    pub(crate) fn is_whole(&self) -> bool {
        self.report.is_whole()
            && self.damage.is_empty()
            && self.lost.is_none()
            && self.gone.is_empty()
    }
}

/// Names a form that was sent, so that it counts once however often it comes.
#[derive(Clone, Debug)]
pub(crate) struct Request {
    /// Its name, drawn at random when the form was made.
    pub(crate) name: String,
    /// Hash of what was sent.
    pub(crate) body: Hash,
}

/// What was added.
#[derive(Debug)]
pub(crate) struct Appended {
    /// The last event added.
    pub(crate) event: Event,
    /// Whether it was there already: the form came twice.
    pub(crate) again: bool,
}

/// What was handed on beside the events.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Exported {
    /// Photos in the file.
    pub(crate) photos: usize,
    /// Photos that the record names and that are not here.
    pub(crate) without: usize,
}

/// What was mended.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Mended {
    /// Where the damaged file lies now.
    pub(crate) aside: PathBuf,
    /// Events that were intact and are in the new one.
    pub(crate) kept: usize,
    /// Devices and numbers of events that are lost, as far as is known.
    pub(crate) gone: BTreeSet<(String, u64)>,
}

/// What a merge brought.
#[derive(Debug, Default)]
pub(crate) struct Merged {
    /// Events taken.
    pub(crate) taken: usize,
    /// Events that were here already.
    pub(crate) known: usize,
    /// Rows of the other record that cannot be read.
    pub(crate) torn: usize,
    /// Photos copied.
    pub(crate) photos: usize,
    /// What is wrong with the other file itself, in words.
    pub(crate) damage: Vec<String>,
}

impl Store {
    /// The record of a job folder.
    pub(crate) fn of(folder: &Path) -> Self {
        Self::with_state(folder, writer::state())
    }

    pub(super) fn with_state(folder: &Path, state: Option<PathBuf>) -> Self {
        Self {
            folder: folder.to_path_buf(),
            file: folder.join(NAME),
            state,
        }
    }

    /// Where it lies.
    #[cfg(test)]
    pub(super) fn file(&self) -> &Path {
        &self.file
    }

    /// The job folder.
    pub(super) fn folder(&self) -> &Path {
        &self.folder
    }

    /// Whether anything was ever recorded.
    pub(crate) fn exists(&self) -> bool {
        self.file.exists()
    }

    /// What the record says; nothing where there is none. What is intact in a
    /// damaged file is read all the same.
    pub(crate) fn read(&self) -> Result<Read, RecordError> {
        let mut read = read_file(&self.file, Depth::Rows)?;
        if self.exists() {
            let head = Kept::of(&self.folder, self.state.as_deref()).chain.head;
            read.lost = head.filter(|h| read.events.iter().all(|e| e.hash != h.hash));
        }
        Ok(read)
    }

    /// The same, the file itself looked through as well, and what was put aside
    /// when it was mended.
    pub(crate) fn verify(&self) -> Result<Read, RecordError> {
        let mut read = self.read()?;
        if self.exists() {
            let deep = read_file(&self.file, Depth::File)?;
            read = Read {
                lost: read.lost,
                ..deep
            };
            for n in 1.. {
                let aside = self.aside(n);
                if !aside.exists() {
                    break;
                }
                let lost = gone(salvaged(&aside)?.indexed, &read.events);
                read.gone.extend(lost);
            }
        }
        Ok(read)
    }

    /// Where a damaged file is put, from 1 on.
    fn aside(&self, n: usize) -> PathBuf {
        self.folder.join(format!("record-damaged-{n}.sqlite"))
    }

    /// The event that a form made when it came before; none if it did not.
    pub(crate) fn answered(&self, request: &Request) -> Result<Option<Event>, RecordError> {
        if !self.exists() {
            return Ok(None);
        }
        Tables::open(&self.file, Mode::Write)?.change(|change| answered(change, Some(request)))
    }

    /// Adds what happened now. When this returns, it is on the disk.
    pub(crate) fn append(
        &self,
        room: &str,
        (person, device_name): (&str, Option<&str>),
        bodies: Vec<Body>,
        request: Option<&Request>,
    ) -> Result<Appended, RecordError> {
        let who = (person, device_name);
        self.append_at(&super::now(), room, who, bodies, request)
    }

    pub(super) fn append_at(
        &self,
        at: &Moment,
        room: &str,
        (person, device_name): (&str, Option<&str>),
        bodies: Vec<Body>,
        request: Option<&Request>,
    ) -> Result<Appended, RecordError> {
        let mut tables = Tables::open(&self.file, Mode::Write)?;
        tables.sound()?;
        let mut kept = Kept::of(&self.folder, self.state.as_deref());
        let name = device_name.map_or_else(writer::machine_name, str::to_owned);
        let appended = tables.change(|change| {
            if let Some(event) = answered(change, request)? {
                return Ok(Appended { event, again: true });
            }
            let (mut last, ended) = last_event(change, &mut kept)?;
            let mut added = None;
            for body in ended.into_iter().chain(bodies) {
                let draft = Draft {
                    room: room.to_owned(),
                    writer: Writer {
                        device: kept.chain.device.clone(),
                        device_name: name.clone(),
                        person: person.to_owned(),
                    },
                    at: at.clone(),
                    body,
                };
                let event = draft.after(last.as_ref())?;
                change.add(&row(&event))?;
                last = Some(event.clone());
                added = Some(event);
            }
            let event = added.ok_or(job::record::BadEvent::Empty("what happened"))?;
            if let Some(request) = request {
                let (body, hash) = (request.body.to_string(), event.hash.to_string());
                change.remember(&request.name, &body, &hash, super::time::utc_ms())?;
            }
            Ok(Appended {
                event,
                again: false,
            })
        })?;
        if !appended.again {
            kept.wrote(&appended.event);
        }
        Ok(appended)
    }

    /// Takes every event of another record that is not here yet, and the
    /// photos beside it. A record that knows none of these rooms is another
    /// job's.
    pub(crate) fn merge(&self, other: &Path, rooms: &[String]) -> Result<Merged, RecordError> {
        if !other.is_file() {
            return Err(RecordError::Missing {
                file: other.to_path_buf(),
            });
        }
        let read = read_file(other, Depth::File)?;
        let theirs: BTreeSet<&str> = read.events.iter().map(|e| e.room.as_str()).collect();
        if !theirs.is_empty() && !rooms.iter().any(|room| theirs.contains(room.as_str())) {
            return Err(RecordError::OtherJob {
                file: other.to_path_buf(),
                theirs: theirs.into_iter().collect::<Vec<_>>().join(", "),
                ours: rooms.join(", "),
            });
        }
        let mut merged = Merged {
            torn: read.report.torn.len(),
            damage: read.damage,
            ..Merged::default()
        };
        let mut tables = Tables::open(&self.file, Mode::Write)?;
        tables.sound()?;
        // Photos first: no event may name one that is not there.
        let photos = self.folder.join(PHOTOS);
        merged.photos = super::photo::copy_all(other, &photos)?;
        let within = readable(other, |theirs| {
            let mut kept = 0;
            theirs.each_photo(|jpeg| {
                kept += usize::from(super::photo::keep(&jpeg, &photos)?);
                Ok(())
            })?;
            Ok(kept)
        });
        match within {
            Ok(kept) => merged.photos += kept,
            // Of a damaged file its events are taken; which photos are missing
            // is told when the record is verified.
            Err(RecordError::Damaged { .. } | RecordError::NotARecord { .. }) => {}
            Err(error) => return Err(error),
        }
        let here: BTreeSet<String> = tables.texts()?.into_iter().collect();
        tables.change(|change| {
            for event in &read.events {
                if here.contains(&to_text(event)) {
                    merged.known += 1;
                } else {
                    change.add(&row(event))?;
                    merged.taken += 1;
                }
            }
            Ok(())
        })?;
        Ok(merged)
    }

    /// Writes all into one file elsewhere, for handing on: the events, and the
    /// photos that they name and that are here.
    pub(crate) fn export(&self, to: &Path) -> Result<Exported, RecordError> {
        if to.exists() {
            return Err(RecordError::Disk {
                file: to.to_path_buf(),
                why: "it is there already; name another".into(),
            });
        }
        if !self.exists() {
            return Err(RecordError::Missing {
                file: self.file.clone(),
            });
        }
        let named: Vec<(Hash, String)> = photos_named(&self.read()?.events)
            .into_keys()
            .map(|hash| (hash, hash.to_string()))
            .collect();
        readable(&self.file, |tables| tables.copy_to(to))?;
        let there = named
            .iter()
            .filter_map(|(hash, name)| Some((name.as_str(), self.photo(hash)?)));
        let put = Tables::open(to, Mode::Read).and_then(|mut tables| tables.add_photos(there));
        match put {
            Ok(photos) => Ok(Exported {
                photos,
                without: named.len() - photos,
            }),
            Err(error) => {
                // Half of it would be taken for all of it.
                let _ = std::fs::remove_file(to);
                Err(error)
            }
        }
    }

    /// Puts a damaged file aside and goes on from what is intact in it; none if
    /// nothing is damaged.
    pub(crate) fn mend(&self) -> Result<Option<Mended>, RecordError> {
        let read = self.verify()?;
        if read.damage.is_empty() && read.report.torn.is_empty() {
            return Ok(None);
        }
        let io = |e: std::io::Error| RecordError::io(&self.file, &e);
        let aside = (1..)
            .map(|n| self.aside(n))
            .find(|p| !p.exists())
            .unwrap_or_else(|| self.folder.join("record-damaged.sqlite"));
        let log = beside(&self.file, "-wal");
        std::fs::copy(&self.file, &aside).map_err(io)?;
        if log.exists() {
            std::fs::copy(&log, beside(&aside, "-wal")).map_err(io)?;
        }
        let made = tempfile::tempdir_in(&self.folder).map_err(io)?;
        let fresh = made.path().join(NAME);
        Tables::open(&fresh, Mode::Write)?.change(|change| {
            read.events
                .iter()
                .try_for_each(|event| change.add(&row(event)))
        })?;
        // A log of the damaged file must not be read into the new one; all of
        // it is in the copy.
        for ending in ["-wal", "-shm"] {
            let _ = std::fs::remove_file(beside(&self.file, ending));
        }
        std::fs::rename(&fresh, &self.file).map_err(io)?;
        Ok(Some(Mended {
            aside,
            kept: read.events.len(),
            gone: read.gone,
        }))
    }
}

/// Photos that events name, each with the step that it is of.
pub(crate) fn photos_named(events: &[Event]) -> BTreeMap<Hash, Option<String>> {
    let mut named = BTreeMap::new();
    for event in events {
        let (step, hashes): (_, &[Hash]) = match &event.body {
            Body::Photo(photo) => (photo.step.as_ref(), std::slice::from_ref(&photo.hash)),
            Body::StepDone(done) => (Some(&done.step), &done.photos),
            _ => continue,
        };
        for hash in hashes {
            named.entry(*hash).or_insert_with(|| step.cloned());
        }
    }
    named
}

/// What the form that is named made when it came before.
fn answered(change: &Change<'_>, request: Option<&Request>) -> Result<Option<Event>, RecordError> {
    let Some(request) = request else {
        return Ok(None);
    };
    let Some((body, hash)) = change.request(&request.name)? else {
        return Ok(None);
    };
    if body != request.body.to_string() {
        return Err(RecordError::OtherBody);
    }
    let text = change.by_hash(&hash)?;
    Ok(text.and_then(|t| from_text(&t).ok()))
}

/// The event that the next one of this machine follows. Where the last one
/// that it wrote is gone, another chain begins, and says so first.
fn last_event(
    change: &Change<'_>,
    kept: &mut Kept,
) -> Result<(Option<Event>, Option<Body>), RecordError> {
    let device = kept.chain.device.clone();
    let text = change.last_of(&device)?;
    let last = text.as_deref().and_then(|t| from_text(t).ok());
    let is_there = match kept.chain.head {
        Some(head) => change.has(&device, head.seq, &head.hash.to_string())?,
        None => true,
    };
    let can_follow = match &last {
        Some(last) => last.writer.device == device,
        None => text.is_none(),
    };
    if is_there && can_follow {
        return Ok((last, None));
    }
    let reached = kept.chain.head.map_or_else(String::new, |head| {
        format!(" up to event {} ({})", head.seq, head.hash.short())
    });
    kept.begin();
    let note = Body::Note(Note {
        unit: None,
        step: None,
        text: format!(
            "This machine wrote chain {device}{reached}, which is not in this record as it was written: an older copy was put back, or the file was damaged. Another chain begins here."
        ),
    });
    Ok((None, Some(note)))
}

fn row(event: &Event) -> Row<'_> {
    Row {
        device: &event.writer.device,
        seq: event.seq,
        hash: event.hash.to_string(),
        text: to_text(event),
    }
}

/// How thoroughly a file is looked through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Depth {
    /// Its rows; the file itself only where they are not whole.
    Rows,
    /// The file itself as well.
    File,
}

fn read_file(file: &Path, depth: Depth) -> Result<Read, RecordError> {
    if !file.exists() {
        return Ok(Read::default());
    }
    let looked = readable(file, |tables| {
        let rows = tables.texts()?;
        let (_, report) = verify_rows(rows.iter().map(String::as_str));
        let deep = depth == Depth::File || !report.is_whole();
        Ok((rows, if deep { tables.damage() } else { Vec::new() }))
    });
    let (rows, damage, indexed) = match looked {
        Ok((rows, damage)) if damage.is_empty() => (rows, damage, BTreeSet::new()),
        Ok((mut rows, damage)) => {
            let left = salvaged(file)?;
            rows.extend(left.texts);
            (rows, damage, left.indexed)
        }
        Err(RecordError::Damaged { why, .. }) => {
            let left = salvaged(file)?;
            (left.texts, vec![why], left.indexed)
        }
        // It has lost its first bytes, or never was a record.
        Err(RecordError::NotARecord { file: of, why }) => {
            let left = salvaged(file)?;
            if left.texts.is_empty() && left.indexed.is_empty() {
                return Err(RecordError::NotARecord { file: of, why });
            }
            (left.texts, vec![why], left.indexed)
        }
        Err(error) => return Err(error),
    };
    // The same row may be found in the table and in the bytes.
    let mut seen = BTreeSet::new();
    let once: Vec<&str> = rows
        .iter()
        .map(String::as_str)
        .filter(|r| damage.is_empty() || seen.insert(*r))
        .collect();
    let (events, report) = verify_rows(once);
    let gone = gone(indexed, &events);
    Ok(Read {
        events,
        report,
        damage,
        lost: None,
        gone,
    })
}

/// Events that an index names and that are not there.
fn gone(indexed: BTreeSet<(String, u64)>, events: &[Event]) -> BTreeSet<(String, u64)> {
    // A spoilt index may name devices that never were.
    let wrote = |device: &str| events.iter().any(|e| e.writer.device == device);
    let mut gone = indexed;
    gone.retain(|(device, _)| events.is_empty() || wrote(device));
    for event in events {
        gone.remove(&(event.writer.device.clone(), event.seq));
    }
    gone
}

/// Opens a file for reading. Where the folder is read-only, a copy is read:
/// SQLite needs a place for its own files beside the record.
fn readable<T>(
    file: &Path,
    work: impl Fn(&Tables<'_>) -> Result<T, RecordError>,
) -> Result<T, RecordError> {
    let first = Tables::open(file, Mode::Read).and_then(|tables| work(&tables));
    match first {
        Err(RecordError::ReadOnly { .. } | RecordError::Disk { .. }) => {
            let io = |e: std::io::Error| RecordError::io(file, &e);
            let copy = tempfile::tempdir().map_err(io)?;
            let to = copy.path().join(NAME);
            std::fs::write(&to, std::fs::read(file).map_err(io)?).map_err(io)?;
            if let Ok(log) = std::fs::read(beside(file, "-wal")) {
                std::fs::write(beside(&to, "-wal"), log).map_err(io)?;
            }
            work(&Tables::open(&to, Mode::Read)?)
        }
        done => done,
    }
}

fn salvaged(file: &Path) -> Result<Left, RecordError> {
    let bytes = std::fs::read(file).map_err(|e| RecordError::io(file, &e))?;
    let log = std::fs::read(beside(file, "-wal")).unwrap_or_default();
    Ok(salvage::left(&bytes, &log))
}

/// A file that SQLite keeps beside another.
fn beside(file: &Path, ending: &str) -> PathBuf {
    let mut name = file.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

#[cfg(test)]
pub(super) const KNOWN_VERSION: i64 = super::schema::VERSION;
