//! All jobs of the served folder.

use std::fs::File;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

use super::super::refused::Refused;
use super::job::{JobFolder, LOGS, is_link};
use super::lock;
use super::logs::Logs;
use super::name::Name;
use crate::project::room_files;

/// The served folder: one folder per job, or a single job folder.
pub(crate) struct Jobs {
    root: PathBuf,
    /// The one job, where the served folder is a job folder itself.
    only: Option<Name>,
    _held: File,
}

/// Folder inside the root in which archived jobs lie.
pub(super) const ARCHIVE: &str = "archive";
/// Folder inside the root in which logs of calls lie that are about no room.
const CALL_LOGS: &str = "call-logs";

/// Whether the root keeps this name for something that is no job, whatever its
/// capitals.
pub(super) fn is_reserved(name: &str) -> bool {
    [ARCHIVE, CALL_LOGS].contains(&name.to_lowercase().as_str())
}

impl Jobs {
    /// Opens a folder of jobs, or one job folder, and holds it.
    ///
    /// # Errors
    /// Not a folder, not usable, or held by another server.
    pub(crate) fn open(dir: &Path) -> Result<Self> {
        let root = dir
            .canonicalize()
            .with_context(|| format!("cannot read {}", dir.display()))?;
        if !root.is_dir() {
            bail!("{} is a file; a folder of jobs is asked", dir.display());
        }
        let held = lock::hold(&root)?;
        let only = room_files(&root).ok().map(|_| {
            let name = root.file_name().map(|n| n.to_string_lossy().into_owned());
            Name::new(&name.unwrap_or_default()).or_else(|_| Name::new("job"))
        });
        Ok(Self {
            root,
            only: only.and_then(Result::ok),
            _held: held,
        })
    }

    /// The served folder.
    pub(crate) fn root(&self) -> &Path {
        &self.root
    }

    /// Whether the served folder is one job itself, so that none can be added.
    pub(crate) const fn is_one(&self) -> bool {
        self.only.is_some()
    }

    /// Jobs that are not archived, by name.
    pub(crate) fn list(&self) -> Vec<JobFolder> {
        match &self.only {
            Some(name) => vec![JobFolder::at(name.clone(), self.root.clone())],
            None => self.in_folder(&self.root),
        }
    }

    /// Logs of calls that are about no room here; of a served job, its own.
    pub(crate) fn call_logs(&self) -> Logs {
        let folder = if self.is_one() { LOGS } else { CALL_LOGS };
        Logs::at(self.root.join(folder))
    }

    /// Archived jobs, by name.
    pub(crate) fn archived(&self) -> Vec<JobFolder> {
        let archive = self.root.join(ARCHIVE);
        if self.is_one() || is_link(&archive) {
            return Vec::new();
        }
        self.in_folder(&archive)
    }

    fn in_folder(&self, folder: &Path) -> Vec<JobFolder> {
        let Ok(entries) = std::fs::read_dir(folder) else {
            return Vec::new();
        };
        let mut jobs: Vec<JobFolder> = entries
            .filter_map(Result::ok)
            // `file_type` does not follow links: a link to elsewhere is no job.
            .filter(|e| e.file_type().is_ok_and(|t| t.is_dir()))
            .filter(|e| folder != self.root || !is_reserved(&e.file_name().to_string_lossy()))
            .filter_map(|e| {
                let name = Name::new(&e.file_name().to_string_lossy()).ok()?;
                let job = JobFolder::at(name, e.path());
                job.is_job().then_some(job)
            })
            .collect();
        jobs.sort_by(|a, b| a.name.cmp(&b.name));
        jobs
    }

    /// The job of this name.
    pub(crate) fn job(&self, name: &str) -> Result<JobFolder, Refused> {
        self.list()
            .into_iter()
            .find(|j| j.name.as_str() == name)
            .ok_or_else(|| Refused::NotFound(format!("The job \"{name}\"")))?
            .whole()
    }
}
