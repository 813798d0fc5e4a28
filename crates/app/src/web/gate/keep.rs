//! What is kept over a restart, so that a phone on a ladder and a half-typed
//! form survive one.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use serde::{Deserialize, Serialize};

use super::secret::hash;
use super::visitor::Session;
use crate::out;

/// What is kept.
#[derive(Default, Serialize, Deserialize)]
pub(super) struct Kept {
    /// Port of the last time: drafts and cookies in browsers belong to it.
    #[serde(default)]
    pub(super) port: Option<u16>,
    /// Visitors.
    pub(super) sessions: Vec<Session>,
}

/// Seconds since 1970; 0 on a clock before that.
pub(crate) fn now_s() -> u64 {
    SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(0, |d| d.as_secs())
}

/// The folder of this user for what a program keeps between its runs; outside
/// of the folder that is served, so that nothing that serves files reaches it.
pub(crate) fn folder() -> Option<PathBuf> {
    let var = |name: &str| {
        std::env::var_os(name)
            .filter(|v| !v.is_empty())
            .map(PathBuf::from)
    };
    let base = var("XDG_STATE_HOME")
        .or_else(|| Some(var("HOME")?.join(".local/state")))
        .or_else(|| var("LOCALAPPDATA"))?;
    Some(base.join("drywright"))
}

/// Where things are kept for a served folder.
pub(super) fn file_for(root: &Path) -> Option<PathBuf> {
    let of = &hash(&root.to_string_lossy())[..16];
    Some(folder()?.join(format!("visitors-{of}.json")))
}

/// What was kept; none where it is missing or cannot be read.
pub(super) fn read(file: &Path) -> Option<Kept> {
    serde_json::from_slice(&std::fs::read(file).ok()?).ok()
}

/// Keeps it. If that fails, visitors have to be let in again after a restart,
/// and the log says so.
pub(super) fn write(file: &Path, kept: &Kept) {
    if let Err(error) = write_private(file, kept) {
        out::message(&format!(
            "cannot keep who was let in over a restart: {error}"
        ));
    }
}

/// Writes something whole or not at all, readable to this user only.
pub(crate) fn write_private(file: &Path, what: &impl Serialize) -> anyhow::Result<()> {
    let folder = file.parent().unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder)?;
    // A temporary file is made so that nobody else may read it.
    let mut temporary = tempfile::NamedTempFile::new_in(folder)?;
    temporary.write_all(&serde_json::to_vec(what)?)?;
    temporary.as_file().sync_all()?;
    temporary.persist(file)?;
    Ok(())
}
