//! Why the record cannot be read or written, in words.

use std::path::{Path, PathBuf};

use rusqlite::ErrorCode;

/// Why something was not done with a record. What was in it before stays.
#[derive(Debug, thiserror::Error)]
pub(crate) enum RecordError {
    /// A newer program wrote it.
    #[error(
        "{} was written by a newer version of this program (record version {found}; this one knows up to {known}): bring this program up to date. Nothing was changed", file.display()
    )]
    Newer {
        /// Which file.
        file: PathBuf,
        /// Its version.
        found: i64,
        /// The newest known here.
        known: i64,
    },
    /// It is something else.
    #[error("{} is not a record: {why}", file.display())]
    NotARecord {
        /// Which file.
        file: PathBuf,
        /// What it is.
        why: String,
    },
    /// Parts of it cannot be read; nothing is written on top.
    #[error(
        "{} is damaged ({why}), so nothing more is written into it. What is intact can still be read: see drywright start ROOM --verify; --mend puts the damaged file aside and goes on from what is intact", file.display()
    )]
    Damaged {
        /// Which file.
        file: PathBuf,
        /// How it showed.
        why: String,
    },
    /// The disk is full.
    #[error("the disk is full: nothing was written to {}, what was there before is unchanged", file.display())]
    Full {
        /// Which file.
        file: PathBuf,
    },
    /// The folder may be read only.
    #[error("{} cannot be written: the folder or the file is read-only. What was there before is unchanged", file.display())]
    ReadOnly {
        /// Which file.
        file: PathBuf,
    },
    /// Another program holds it.
    #[error("{} is held by another program for more than {} s; try again", file.display(), super::sql::PATIENCE.as_secs())]
    Busy {
        /// Which file.
        file: PathBuf,
    },
    /// There is none.
    #[error("there is no record {}", file.display())]
    Missing {
        /// Which file.
        file: PathBuf,
    },
    /// It knows none of the rooms here.
    #[error("{} is a record of {theirs}; the rooms here are {ours}. It seems to be another job's: nothing was merged", file.display())]
    OtherJob {
        /// Which file.
        file: PathBuf,
        /// Rooms that it knows.
        theirs: String,
        /// Rooms here.
        ours: String,
    },
    /// The event is none that can be kept.
    #[error(transparent)]
    BadEvent(#[from] job::record::BadEvent),
    /// The same form was sent with other content.
    #[error("this form was sent before with other content; open the page anew and send it again")]
    OtherBody,
    /// A picture that cannot be taken.
    #[error("{0}")]
    Photo(String),
    /// Something else of the disk.
    #[error("cannot use {}: {why}", file.display())]
    Disk {
        /// Which file.
        file: PathBuf,
        /// What it says.
        why: String,
    },
}

impl RecordError {
    /// What SQLite says about a file.
    pub(super) fn sql(file: &Path, error: &rusqlite::Error) -> Self {
        let file = file.to_path_buf();
        let why = error.to_string();
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => Self::Full { file },
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => Self::ReadOnly { file },
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy { file },
            Some(ErrorCode::DatabaseCorrupt) => Self::Damaged { file, why },
            Some(ErrorCode::NotADatabase) => Self::NotARecord {
                file,
                why: "its first bytes are not those of a record".into(),
            },
            // SQLite does not say why: whoever may not write there is told so.
            Some(ErrorCode::CannotOpen) if !file.is_dir() => {
                let folder = file.parent().filter(|f| !f.as_os_str().is_empty());
                match tempfile::tempfile_in(folder.unwrap_or(Path::new("."))) {
                    Ok(_) => Self::Disk { file, why },
                    Err(error) => Self::io(&file, &error),
                }
            }
            _ => Self::Disk { file, why },
        }
    }

    /// What the system says about a file.
    pub(super) fn io(file: &Path, error: &std::io::Error) -> Self {
        let file = file.to_path_buf();
        match error.kind() {
            std::io::ErrorKind::StorageFull | std::io::ErrorKind::QuotaExceeded => {
                Self::Full { file }
            }
            std::io::ErrorKind::PermissionDenied | std::io::ErrorKind::ReadOnlyFilesystem => {
                Self::ReadOnly { file }
            }
            _ => Self::Disk {
                file,
                why: error.to_string(),
            },
        }
    }
}
