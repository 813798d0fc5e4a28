//! Logs that lie in one folder.

use std::path::PathBuf;

use super::super::refused::Refused;
use super::job::is_link;
use super::name::Name;
use crate::files;

/// Most logs in one folder.
const MOST: usize = 500;

/// Endings of files that are something else here: what a person puts in as a
/// log must not be taken for a room, a site, a machine or a record.
const NO_LOGS: [&str; 2] = [".toml", ".sqlite"];

/// Folder among the logs for those that were taken out.
pub(crate) const TAKEN_OUT: &str = "taken-out";

/// What is there under the name of a log.
enum There {
    Nothing,
    /// The same readings.
    Same,
    /// Other readings.
    Other,
}

/// A folder of logs; it may not exist yet.
pub(crate) struct Logs {
    folder: PathBuf,
}

impl Logs {
    pub(super) const fn at(folder: PathBuf) -> Self {
        Self { folder }
    }

    /// Their names; none where the folder is a link.
    pub(crate) fn names(&self) -> Vec<Name> {
        if self.is_here().is_err() {
            return Vec::new();
        }
        let Ok(entries) = std::fs::read_dir(&self.folder) else {
            return Vec::new();
        };
        let mut names: Vec<Name> = entries
            .filter_map(Result::ok)
            // `file_type` does not follow links: a link to a file is no log.
            .filter(|e| e.file_type().is_ok_and(|t| t.is_file()))
            .filter_map(|e| Name::new(&e.file_name().to_string_lossy()).ok())
            .collect();
        names.sort();
        names
    }

    /// The file of a log of this name.
    pub(crate) fn file(&self, name: &str) -> Result<PathBuf, Refused> {
        self.is_here()?;
        let log = self.names().into_iter().find(|l| l.as_str() == name);
        let log = log.ok_or_else(|| Refused::NotFound(format!("The log \"{name}\"")))?;
        Ok(self.folder.join(log.as_str()))
    }

    /// Puts a log in. One of the same name and bytes is there already; one of
    /// the same name and other bytes is not written over.
    pub(crate) fn add(&self, name: &Name, bytes: &[u8]) -> Result<(), Refused> {
        match self.there(name, bytes)? {
            There::Same => Ok(()),
            There::Other => Err(Refused::BadRequest(format!(
                "A log \"{name}\" with other readings is here already; give the new one another name."
            ))),
            There::Nothing => self.write(name, bytes),
        }
    }

    /// Puts a log in, under a numbered name where one of this name with other
    /// bytes is there; gives the name that it has here.
    pub(crate) fn add_numbered(&self, name: &Name, bytes: &[u8]) -> Result<Name, Refused> {
        let mut free = name.clone();
        // There are no more names to pass by than files in the folder.
        for n in 2.. {
            match self.there(&free, bytes)? {
                There::Same => break,
                There::Other => free = name.numbered(n).map_err(Refused::BadRequest)?,
                There::Nothing => {
                    self.write(&free, bytes)?;
                    break;
                }
            }
        }
        Ok(free)
    }

    /// Takes a log out: it goes into a folder beside the others, under a numbered
    /// name where one of its name went there before. Nothing is deleted.
    pub(crate) fn take_out(&self, name: &str) -> Result<(), Refused> {
        let file = self.file(name)?;
        let folder = self.folder.join(TAKEN_OUT);
        if is_link(&folder) {
            return Err(Refused::NotAllowed(
                "The place for logs that were taken out is a link; links are not followed.",
            ));
        }
        std::fs::create_dir_all(&folder).map_err(|e| Refused::Disk(e.into()))?;
        let name = Name::new(name).map_err(Refused::BadRequest)?;
        let mut free = name.clone();
        // There are no more names to pass by than files in the folder.
        for n in 2.. {
            if !folder.join(free.as_str()).exists() {
                break;
            }
            free = name.numbered(n).map_err(Refused::BadRequest)?;
        }
        std::fs::rename(file, folder.join(free.as_str())).map_err(|e| Refused::Disk(e.into()))
    }

    /// What is there under a name.
    fn there(&self, name: &Name, bytes: &[u8]) -> Result<There, Refused> {
        self.is_here()?;
        let file = self.folder.join(name.as_str());
        if is_link(&file) {
            return Err(Refused::NotAllowed(
                "A link of this name is among the logs; links are not followed.",
            ));
        }
        Ok(match std::fs::read(&file) {
            Ok(there) if there == bytes => There::Same,
            Ok(_) => There::Other,
            Err(_) => There::Nothing,
        })
    }

    fn write(&self, name: &Name, bytes: &[u8]) -> Result<(), Refused> {
        let lower = name.lower();
        if let Some(ending) = NO_LOGS.iter().find(|e| lower.ends_with(**e)) {
            return Err(Refused::BadRequest(format!(
                "\"{name}\" cannot be the name of a log: files that end in {ending} are something else here; end it in .csv or .txt."
            )));
        }
        if MOST <= self.names().len() {
            return Err(Refused::BadRequest(format!(
                "{MOST} logs are in the folder \"{}\" already, and no more are taken: move those that are not needed any more out of it, then put \"{name}\" in again.",
                self.folder
                    .file_name()
                    .unwrap_or_default()
                    .to_string_lossy()
            )));
        }
        std::fs::create_dir_all(&self.folder).map_err(|e| Refused::Disk(e.into()))?;
        files::write_whole(&self.folder.join(name.as_str()), bytes).map_err(Refused::Disk)
    }

    /// Refuses a folder that lies elsewhere.
    fn is_here(&self) -> Result<(), Refused> {
        if is_link(&self.folder) {
            return Err(Refused::NotAllowed(
                "The place for logs is a link to another place; links are not followed.",
            ));
        }
        Ok(())
    }
}
