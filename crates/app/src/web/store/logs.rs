//! Logs that lie in one folder.

use std::path::{Path, PathBuf};

use super::super::refused::Refused;
use super::job::is_link;
use super::name::Name;
use crate::files;

/// A folder of logs; it may not exist yet.
pub(crate) struct Logs {
    folder: PathBuf,
}

impl Logs {
    pub(super) const fn at(folder: PathBuf) -> Self {
        Self { folder }
    }

    /// Where they lie.
    pub(crate) fn folder(&self) -> &Path {
        &self.folder
    }

    /// Their names.
    pub(crate) fn names(&self) -> Vec<Name> {
        let Ok(entries) = std::fs::read_dir(&self.folder) else {
            return Vec::new();
        };
        let mut names: Vec<Name> = entries
            .filter_map(Result::ok)
            .filter(|e| e.file_type().is_ok_and(|t| t.is_file()))
            .filter_map(|e| Name::new(&e.file_name().to_string_lossy()).ok())
            .collect();
        names.sort();
        names
    }

    /// The file of a log of this name.
    pub(crate) fn file(&self, name: &str) -> Result<PathBuf, Refused> {
        let log = self.names().into_iter().find(|l| l.as_str() == name);
        let log = log.ok_or_else(|| Refused::NotFound(format!("The log \"{name}\"")))?;
        Ok(self.folder.join(log.as_str()))
    }

    /// Puts a log in. One of the same name and bytes is there already; one of
    /// the same name and other bytes is not written over.
    pub(crate) fn add(&self, name: &Name, bytes: &[u8]) -> Result<(), Refused> {
        if is_link(&self.folder) {
            return Err(Refused::NotAllowed(
                "The place for logs is a link to another place; links are not followed.",
            ));
        }
        let file = self.folder.join(name.as_str());
        match std::fs::read(&file) {
            Ok(there) if there == bytes => return Ok(()),
            Ok(_) => {
                return Err(Refused::BadRequest(format!(
                    "A log \"{name}\" with other readings is here already; give the new one another name."
                )));
            }
            Err(_) => {}
        }
        std::fs::create_dir_all(&self.folder).map_err(|e| Refused::Disk(e.into()))?;
        files::write_whole(&file, bytes).map_err(Refused::Disk)
    }
}
