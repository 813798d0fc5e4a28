//! All SQL of the project but for the tables themselves, which are
//! [`super::schema`]'s; in the subset that PostgreSQL shares. What only SQLite
//! knows stands in [`settings`] and [`damage`].

use std::path::Path;
use std::time::Duration;

use rusqlite::{Connection, OpenFlags, OptionalExtension as _, TransactionBehavior, params};

use super::error::RecordError;
use super::schema::{self, MIGRATIONS, VERSION};

/// Longest wait for another program that writes.
pub(super) const PATIENCE: Duration = Duration::from_secs(10);

/// How long a request is remembered \[ms\]: 7 days.
const REMEMBERED_MS: i64 = 7 * 24 * 3_600_000;

/// How a file is opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mode {
    /// Made if it is not there, brought up to date.
    Write,
    /// Nothing is changed.
    Read,
}

/// A row to be added.
pub(super) struct Row<'a> {
    pub(super) device: &'a str,
    pub(super) seq: u64,
    pub(super) hash: String,
    pub(super) text: String,
}

/// An open record.
pub(super) struct Tables<'a> {
    file: &'a Path,
    connection: Connection,
    version: i64,
}

impl<'a> Tables<'a> {
    /// Opens a file.
    pub(super) fn open(file: &'a Path, mode: Mode) -> Result<Self, RecordError> {
        let fail = |e: rusqlite::Error| RecordError::sql(file, &e);
        let how = match mode {
            Mode::Write => OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE,
            // Not read-only: the last to close puts SQLite's own files away.
            Mode::Read => OpenFlags::SQLITE_OPEN_READ_WRITE,
        };
        let connection = Connection::open_with_flags(file, how | OpenFlags::SQLITE_OPEN_NO_MUTEX)
            .map_err(fail)?;
        let mut tables = Self {
            file,
            connection,
            version: 0,
        };
        tables.connection.busy_timeout(PATIENCE).map_err(fail)?;
        // First of all: a newer file is left as it is.
        let version = tables.version()?;
        if VERSION < version {
            return Err(RecordError::Newer {
                file: file.to_path_buf(),
                found: version,
                known: VERSION,
            });
        }
        tables.version = version;
        if mode == Mode::Write {
            settings(&tables.connection).map_err(fail)?;
            schema::bring_up(&mut tables.connection, MIGRATIONS).map_err(fail)?;
            tables.version = VERSION;
        }
        Ok(tables)
    }

    /// Version of its tables; 0: there are none yet.
    fn version(&self) -> Result<i64, RecordError> {
        match schema::version(&self.connection) {
            Ok(version) => Ok(version),
            Err(_) if self.is_empty()? => Ok(0),
            Err(error) if error.sqlite_error_code() == Some(rusqlite::ErrorCode::Unknown) => {
                Err(RecordError::NotARecord {
                    file: self.file.to_path_buf(),
                    why: "it is a database of something else".into(),
                })
            }
            Err(error) => Err(self.fail(&error)),
        }
    }

    /// Texts of all events in the order in which they were added. Sorted here
    /// and not by an index, so that a spoilt index hides none.
    pub(super) fn texts(&self) -> Result<Vec<String>, RecordError> {
        let read = || {
            let mut all = self.connection.prepare("SELECT place, text FROM event")?;
            let rows = all.query_map([], |row| {
                let place = row.get_ref(0)?.as_i64().unwrap_or(i64::MAX);
                let text = row.get_ref(1)?.as_bytes().unwrap_or_default();
                Ok((place, String::from_utf8_lossy(text).into_owned()))
            })?;
            let mut all = rows.collect::<Result<Vec<_>, rusqlite::Error>>()?;
            all.sort_by_key(|(place, _)| *place);
            Ok(all.into_iter().map(|(_, text)| text).collect())
        };
        if self.version == 0 {
            return Ok(Vec::new());
        }
        read().map_err(|e| self.fail(&e))
    }

    /// Does something that is kept whole or not at all.
    pub(super) fn change<T>(
        &mut self,
        work: impl FnOnce(&Change<'_>) -> Result<T, RecordError>,
    ) -> Result<T, RecordError> {
        let file = self.file;
        let transaction = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(|e| RecordError::sql(file, &e))?;
        let change = Change { file, transaction };
        let done = work(&change)?;
        change
            .transaction
            .commit()
            .map_err(|e| RecordError::sql(file, &e))?;
        Ok(done)
    }

    /// What is wrong with the file itself, in words; none if nothing is.
    pub(super) fn damage(&self) -> Vec<String> {
        damage(&self.connection, "integrity_check")
    }

    /// Refuses to go on with a file whose pages are damaged.
    pub(super) fn sound(&self) -> Result<(), RecordError> {
        match damage(&self.connection, "quick_check").into_iter().next() {
            None => Ok(()),
            Some(why) => Err(RecordError::Damaged {
                file: self.file.to_path_buf(),
                why,
            }),
        }
    }

    /// Puts all that is in it into one file of this name, which must not be
    /// there.
    pub(super) fn copy_to(&self, to: &Path) -> Result<(), RecordError> {
        self.connection
            .execute("VACUUM INTO ?1", params![to.to_string_lossy()])
            .map(drop)
            .map_err(|e| self.fail(&e))
    }

    /// Puts photos into a table of their own, each by its name. Only a file that
    /// is handed on has one: in a job folder they lie as files.
    pub(super) fn add_photos<'p>(
        &mut self,
        photos: impl IntoIterator<Item = (&'p str, Vec<u8>)>,
    ) -> Result<usize, RecordError> {
        let file = self.file;
        let put = || {
            let transaction = self.connection.transaction()?;
            transaction.execute_batch(
                "CREATE TABLE photo (name VARCHAR(64) NOT NULL, jpeg BLOB NOT NULL, PRIMARY KEY (name))",
            )?;
            let mut added = 0;
            for (name, jpeg) in photos {
                added += transaction.execute(
                    "INSERT INTO photo (name, jpeg) VALUES (?1, ?2)",
                    params![name, jpeg],
                )?;
            }
            transaction.commit()?;
            Ok(added)
        };
        put().map_err(|e| RecordError::sql(file, &e))
    }

    /// Hands each photo of a file that was handed on to `take`, one in memory
    /// at a time; none where it has no table of them.
    pub(super) fn each_photo(
        &self,
        mut take: impl FnMut(Vec<u8>) -> Result<(), RecordError>,
    ) -> Result<(), RecordError> {
        let names = || {
            let has = "SELECT count(*) FROM sqlite_master WHERE type = 'table' AND name = 'photo'";
            if self
                .connection
                .query_row(has, [], |row| row.get::<_, i64>(0))?
                == 0
            {
                return Ok(Vec::new());
            }
            let mut all = self
                .connection
                .prepare("SELECT name FROM photo ORDER BY name")?;
            let rows = all.query_map([], |row| row.get::<_, String>(0))?;
            rows.collect::<Result<Vec<String>, rusqlite::Error>>()
        };
        for name in names().map_err(|e| self.fail(&e))? {
            let one = "SELECT jpeg FROM photo WHERE name = ?1";
            let jpeg = self
                .connection
                .query_row(one, params![name], |row| row.get(0));
            take(jpeg.map_err(|e| self.fail(&e))?)?;
        }
        Ok(())
    }

    fn fail(&self, error: &rusqlite::Error) -> RecordError {
        RecordError::sql(self.file, error)
    }
}

/// A change that is not yet kept.
pub(super) struct Change<'a> {
    file: &'a Path,
    transaction: rusqlite::Transaction<'a>,
}

impl Change<'_> {
    /// Text of the last event of a device.
    pub(super) fn last_of(&self, device: &str) -> Result<Option<String>, RecordError> {
        self.transaction
            .query_row(
                "SELECT text FROM event WHERE device = ?1 ORDER BY seq DESC, place DESC LIMIT 1",
                params![device],
                |row| row.get(0),
            )
            .optional()
            .map_err(|e| self.fail(&e))
    }

    /// Whether an event of this hash is there.
    pub(super) fn has(&self, device: &str, seq: u64, hash: &str) -> Result<bool, RecordError> {
        self.transaction
            .query_row(
                "SELECT count(*) FROM event WHERE device = ?1 AND seq = ?2 AND hash = ?3",
                params![device, number(seq), hash],
                |row| Ok(0 < row.get::<_, i64>(0)?),
            )
            .map_err(|e| self.fail(&e))
    }

    /// Adds an event after all that are there.
    pub(super) fn add(&self, row: &Row<'_>) -> Result<(), RecordError> {
        self.transaction
            .execute(
                "INSERT INTO event (place, device, seq, hash, text)
                 SELECT coalesce(max(place), 0) + 1, ?1, ?2, ?3, ?4 FROM event",
                params![row.device, number(row.seq), row.hash, row.text],
            )
            .map(drop)
            .map_err(|e| self.fail(&e))
    }

    /// Hash of the body of a request that was answered, and of the event that
    /// it made.
    pub(super) fn request(&self, name: &str) -> Result<Option<(String, String)>, RecordError> {
        self.transaction
            .query_row(
                "SELECT body, hash FROM request WHERE name = ?1",
                params![name],
                |row| Ok((row.get(0)?, row.get(1)?)),
            )
            .optional()
            .map_err(|e| self.fail(&e))
    }

    /// Remembers a request and forgets old ones.
    pub(super) fn remember(
        &self,
        name: &str,
        body: &str,
        hash: &str,
        at_ms: i64,
    ) -> Result<(), RecordError> {
        let both = || {
            self.transaction.execute(
                "DELETE FROM request WHERE at_ms < ?1",
                params![at_ms.saturating_sub(REMEMBERED_MS)],
            )?;
            self.transaction.execute(
                "INSERT INTO request (name, body, hash, at_ms) VALUES (?1, ?2, ?3, ?4)",
                params![name, body, hash, at_ms],
            )
        };
        both().map(drop).map_err(|e| self.fail(&e))
    }

    /// Text of an event by its hash.
    pub(super) fn by_hash(&self, hash: &str) -> Result<Option<String>, RecordError> {
        self.transaction
            .query_row(
                "SELECT text FROM event WHERE hash = ?1 ORDER BY place LIMIT 1",
                params![hash],
                |row| row.get(0),
            )
            .optional()
            .map_err(|e| self.fail(&e))
    }

    fn fail(&self, error: &rusqlite::Error) -> RecordError {
        RecordError::sql(self.file, error)
    }
}

/// A number of an event as the tables hold it.
fn number(seq: u64) -> i64 {
    i64::try_from(seq).unwrap_or(i64::MAX)
}

/// SQLite's own settings: a commit is on the disk before it is acknowledged,
/// also where the drive has a cache of its own, and readers never wait.
fn settings(connection: &Connection) -> Result<(), rusqlite::Error> {
    connection.pragma_update(None, "journal_mode", "WAL")?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    connection.pragma_update(None, "fullfsync", true)
}

/// What SQLite finds wrong with its file.
fn damage(connection: &Connection, check: &str) -> Vec<String> {
    let look = || {
        let mut all = connection.prepare(&format!("PRAGMA {check}(20)"))?;
        let rows = all.query_map([], |row| row.get::<_, String>(0))?;
        rows.collect::<Result<Vec<String>, rusqlite::Error>>()
    };
    match look() {
        Ok(said) if said == ["ok"] => Vec::new(),
        Ok(said) => said,
        Err(error) => vec![error.to_string()],
    }
}

impl Tables<'_> {
    /// Whether nothing at all is in the file.
    fn is_empty(&self) -> Result<bool, RecordError> {
        self.connection
            .query_row("SELECT count(*) FROM sqlite_master", [], |row| {
                Ok(row.get::<_, i64>(0)? == 0)
            })
            .map_err(|e| self.fail(&e))
    }
}
