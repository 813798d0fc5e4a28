//! Jobs and rooms made, copied, renamed, archived and brought back. Nothing is
//! ever removed for good.

use std::path::{Path, PathBuf};

use anyhow::Context;

use super::super::refused::Refused;
use super::job::{JobFolder, is_link};
use super::jobs::{ARCHIVE, Jobs, is_reserved};
use super::name::Name;
use crate::files;

/// Files of a new job: name and text.
pub(crate) type Files<'a> = &'a [(&'a str, &'a str)];

impl Jobs {
    /// Makes a job of these files.
    pub(crate) fn create(&self, name: &Name, with: Files<'_>) -> Result<(), Refused> {
        let folder = self.free(name)?;
        // Made aside and put in place whole.
        let aside = tempfile::Builder::new()
            .prefix(".new-")
            .tempdir_in(self.root())
            .map_err(|e| Refused::Disk(e.into()))?;
        for (file, text) in with {
            files::write_whole(&aside.path().join(file), text.as_bytes()).map_err(Refused::Disk)?;
        }
        put(&aside.keep(), &folder)
    }

    /// Copies a job with its texts and machines, not what was made from them.
    pub(crate) fn copy(&self, job: &JobFolder, name: &Name) -> Result<(), Refused> {
        let copied = job.texts()?;
        let with: Vec<(&str, &str)> = copied
            .iter()
            .map(|(p, t)| (p.as_str(), t.as_str()))
            .collect();
        self.create(name, &with)
    }

    /// Gives a job another name.
    pub(crate) fn rename(&self, job: &JobFolder, name: &Name) -> Result<(), Refused> {
        let folder = self.free(name)?;
        put(job.path(), &folder)
    }

    /// Puts a job into the archive.
    pub(crate) fn archive(&self, job: &JobFolder) -> Result<(), Refused> {
        let archive = self.root().join(ARCHIVE);
        if is_link(&archive) {
            return Err(Refused::NotAllowed(
                "The archive is a link to another place; links are not followed.",
            ));
        }
        std::fs::create_dir_all(&archive).map_err(|e| Refused::Disk(e.into()))?;
        put(job.path(), &unused(&archive, job.name.as_str()))
    }

    /// Brings a job back from the archive.
    pub(crate) fn bring_back(&self, name: &str) -> Result<(), Refused> {
        let job = self
            .archived()
            .into_iter()
            .find(|j| j.name.as_str() == name)
            .ok_or_else(|| Refused::NotFound(format!("The archived job \"{name}\"")))?;
        put(job.path(), &unused(self.root(), name))
    }

    /// The folder of a job that is not there yet. Two names that differ in
    /// capitals only are one on some systems.
    pub(crate) fn free(&self, name: &Name) -> Result<PathBuf, Refused> {
        if self.is_one() {
            return Err(Refused::NotAllowed(
                "This server serves one job only. Start it on a folder of jobs to make more.",
            ));
        }
        if is_reserved(name.as_str()) {
            return Err(Refused::BadRequest(format!(
                "\"{name}\" is the name of a folder that is kept for something else; choose another name."
            )));
        }
        let same = |other: &str| other.to_lowercase() == name.as_str().to_lowercase();
        let taken = std::fs::read_dir(self.root())
            .map_err(|e| Refused::Disk(e.into()))?
            .filter_map(Result::ok)
            .any(|e| same(&e.file_name().to_string_lossy()));
        if taken {
            return Err(Refused::BadRequest(format!(
                "\"{name}\" is there already; choose another name."
            )));
        }
        Ok(self.root().join(name.as_str()))
    }
}

impl JobFolder {
    /// Its texts: site, rooms and machines, by path inside the folder.
    pub(crate) fn texts(&self) -> Result<Vec<(String, String)>, Refused> {
        let mut all = Vec::new();
        for (inside, folder) in [
            ("", self.path().to_path_buf()),
            ("catalog/", self.path().join("catalog")),
        ] {
            let Ok(entries) = std::fs::read_dir(&folder) else {
                continue;
            };
            let mut names: Vec<String> = entries
                .filter_map(Result::ok)
                .filter(|e| e.file_type().is_ok_and(|t| t.is_file()))
                .map(|e| e.file_name().to_string_lossy().into_owned())
                .filter(|n| n.ends_with(".toml") && !n.starts_with('.'))
                .collect();
            names.sort();
            for name in names {
                let text = files::read_text(&folder.join(&name)).map_err(Refused::Disk)?;
                all.push((format!("{inside}{name}"), text));
            }
        }
        Ok(all)
    }

    /// Makes a room of this text.
    pub(crate) fn create_room(&self, name: &Name, text: &str) -> Result<(), Refused> {
        if self.rooms().iter().any(|r| r.lower() == name.lower()) {
            return Err(Refused::BadRequest(format!(
                "A room \"{name}\" is there already; choose another name."
            )));
        }
        files::write_whole(&self.new_room_file(name), text.as_bytes()).map_err(Refused::Disk)
    }

    /// Puts a room's file among the older copies.
    pub(crate) fn retire_room(&self, room: &str) -> Result<(), Refused> {
        let file = self.room_file(room)?;
        let text = self.read(&file)?;
        self.keep_copy(&file, &text)?;
        std::fs::remove_file(&file)
            .with_context(|| format!("cannot take out {room}; it is still there"))
            .map_err(Refused::Disk)
    }
}

/// Moves a folder into place; it is there whole, or not at all.
fn put(from: &Path, to: &Path) -> Result<(), Refused> {
    std::fs::rename(from, to)
        .with_context(|| {
            format!(
                "cannot put the job in place as {}",
                to.file_name().unwrap_or_default().to_string_lossy()
            )
        })
        .map_err(Refused::Disk)
}

/// A path of this name that is free; numbered where the name is taken.
fn unused(folder: &Path, name: &str) -> PathBuf {
    let first = folder.join(name);
    if !first.exists() && !is_reserved(name) {
        return first;
    }
    (2..)
        .map(|n| folder.join(format!("{name} {n}")))
        .find(|p| !p.exists())
        .unwrap_or(first)
}
