//! What is kept over a restart, so that a phone on a ladder and a half-typed
//! form survive one.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use serde::{Deserialize, Serialize};

use super::secret::{Secret, hash};
use super::visitor::Session;
use crate::out;

/// What is kept.
#[derive(Serialize, Deserialize)]
pub(super) struct Kept {
    /// Key that the terminal prints.
    pub(super) laptop_key: String,
    /// Visitors.
    pub(super) sessions: Vec<Session>,
}

impl Kept {
    pub(super) fn anew() -> Self {
        Self {
            laptop_key: Secret::new().text().to_owned(),
            sessions: Vec::new(),
        }
    }
}

/// Seconds since 1970; 0 on a clock before that.
pub(super) fn now_s() -> u64 {
    SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(0, |d| d.as_secs())
}

/// Where things are kept for a served folder.
pub(super) fn file_for(root: &Path) -> Option<PathBuf> {
    let var = |name: &str| {
        std::env::var_os(name)
            .filter(|v| !v.is_empty())
            .map(PathBuf::from)
    };
    let base = var("XDG_STATE_HOME")
        .or_else(|| Some(var("HOME")?.join(".local/state")))
        .or_else(|| var("LOCALAPPDATA"))?;
    let of = &hash(&root.to_string_lossy())[..16];
    Some(base.join("drywright").join(format!("visitors-{of}.json")))
}

/// What was kept; none where it is missing or cannot be read.
pub(super) fn read(file: &Path) -> Option<Kept> {
    serde_json::from_slice(&std::fs::read(file).ok()?).ok()
}

/// Keeps it, readable to this user only. If that fails, visitors have to be
/// let in again after a restart, and the log says so.
pub(super) fn write(file: &Path, kept: &Kept) {
    let write = || -> anyhow::Result<()> {
        let folder = file.parent().unwrap_or(Path::new("."));
        std::fs::create_dir_all(folder)?;
        let mut temporary = tempfile::NamedTempFile::new_in(folder)?;
        temporary.write_all(&serde_json::to_vec(kept)?)?;
        temporary.as_file().sync_all()?;
        temporary.persist(file)?;
        Ok(())
    };
    if let Err(error) = write() {
        out::message(&format!(
            "cannot keep who was let in over a restart: {error}"
        ));
    }
}
