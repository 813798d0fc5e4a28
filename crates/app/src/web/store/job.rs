//! One job folder.

use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::SystemTime;

use super::super::refused::{Refused, Stale};
use super::logs::Logs;
use super::name::Name;
use super::version::Version;
use crate::files;

/// Ending of a room file's name.
const ROOM: &str = ".room.toml";
/// Name of the site file.
const SITE: &str = "site.toml";
/// Folder in which logs lie.
pub(super) const LOGS: &str = "logs";
/// Folder in which older copies lie.
const OLDER: &str = ".older";
/// Places of a job at which there may be no link: it would lead reading and
/// writing out of the job.
const PLACES: [&str; 7] = [
    SITE,
    LOGS,
    OLDER,
    "catalog",
    "out",
    "photos",
    "record.sqlite",
];
/// Older copies kept of each file.
const COPIES: usize = 10;

/// One compare-and-write at a time, so that of two saves on the same version
/// one is told that it is stale.
static SAVING: Mutex<()> = Mutex::new(());

/// A text that was replaced by a later one.
#[derive(Clone, Debug)]
pub(crate) struct OlderCopy {
    /// Its number; later ones have higher numbers.
    pub(crate) number: u32,
    /// The text.
    pub(crate) version: Version,
    /// When it was replaced, by the clock of this machine.
    pub(crate) replaced: Option<SystemTime>,
}

/// One job folder.
#[derive(Clone, Debug)]
pub(crate) struct JobFolder {
    /// Its name.
    pub(crate) name: Name,
    path: PathBuf,
}

impl JobFolder {
    pub(super) const fn at(name: Name, path: PathBuf) -> Self {
        Self { name, path }
    }

    /// Where it lies.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// Whether there is anything of a job in it.
    pub(super) fn is_job(&self) -> bool {
        is_plain_file(&self.path.join(SITE))
            || !self.rooms().is_empty()
            || !self.retired_rooms().is_empty()
    }

    /// Refuses a job of which a part lies elsewhere.
    pub(crate) fn whole(self) -> Result<Self, Refused> {
        match PLACES.iter().find(|p| is_link(&self.path.join(p))) {
            None => Ok(self),
            Some(place) => Err(Refused::Job(format!(
                "\"{place}\" of the job \"{}\" is a link to another place; links are not followed. \
                 Put what it leads to into the job folder itself.",
                self.name
            ))),
        }
    }

    /// Names of its rooms.
    pub(crate) fn rooms(&self) -> Vec<Name> {
        let Ok(entries) = std::fs::read_dir(&self.path) else {
            return Vec::new();
        };
        let mut rooms: Vec<Name> = entries
            .filter_map(Result::ok)
            .filter(|e| e.file_type().is_ok_and(|t| t.is_file()))
            .filter_map(|e| {
                let file = e.file_name().to_string_lossy().into_owned();
                Name::new(file.strip_suffix(ROOM)?).ok()
            })
            .collect();
        rooms.sort();
        rooms
    }

    /// The file of a room of this name.
    pub(crate) fn room_file(&self, name: &str) -> Result<PathBuf, Refused> {
        let room = self.rooms().into_iter().find(|r| r.as_str() == name);
        let room = room.ok_or_else(|| Refused::NotFound(format!("The room \"{name}\"")))?;
        Ok(self.path.join(format!("{room}{ROOM}")))
    }

    /// The folder for what is made of a room of this name.
    pub(crate) fn out_folder(&self, room: &str) -> Result<PathBuf, Refused> {
        self.room_file(room)?;
        let folder = self.path.join("out").join(room);
        if is_link(&folder) {
            return Err(Refused::NotAllowed(
                "The place for what is made of this room is a link to another place; links are not followed.",
            ));
        }
        Ok(folder)
    }

    /// The file that a new room of this name gets.
    pub(crate) fn new_room_file(&self, name: &Name) -> PathBuf {
        self.path.join(format!("{name}{ROOM}"))
    }

    /// The logs that were put beside the rooms.
    pub(crate) fn logs(&self) -> Logs {
        Logs::at(self.path.join(LOGS))
    }

    /// The site file; it may not exist yet.
    pub(crate) fn site_file(&self) -> PathBuf {
        self.path.join(SITE)
    }

    /// A text file of the job as it stands; empty where there is none.
    pub(crate) fn read(&self, file: &Path) -> Result<Version, Refused> {
        match std::fs::symlink_metadata(file) {
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(Version::of(String::new())),
            Ok(meta) if !meta.is_file() => Err(Refused::NotAllowed(
                "This is a link or a folder, not a file of the job; it is not followed.",
            )),
            _ => files::read_text(file)
                .map(Version::of)
                .map_err(Refused::Disk),
        }
    }

    /// Saves a text over the version that it was made from; the older one is
    /// kept beside it. Nothing is written if the file has changed meanwhile.
    pub(crate) fn save(
        &self,
        file: &Path,
        text: &str,
        base_hash: &str,
    ) -> Result<Version, Refused> {
        let _one = SAVING
            .lock()
            .unwrap_or_else(std::sync::PoisonError::into_inner);
        let now = self.read(file)?;
        if now.text == text {
            // Sent twice, or by two who agree.
            return Ok(now);
        }
        if now.hash != base_hash {
            return Err(Refused::Stale(Box::new(Stale {
                file: file_name(file),
                yours: text.to_owned(),
                on_disk: now.text,
                base: self
                    .older(file)
                    .into_iter()
                    .map(|copy| copy.version)
                    .find(|v| v.hash == base_hash)
                    .map(|v| v.text),
            })));
        }
        if file.exists() {
            self.keep_copy(file, &now)?;
        }
        files::write_whole(file, text.as_bytes()).map_err(Refused::Disk)?;
        Ok(Version::of(text.to_owned()))
    }

    /// The older copies kept of a file, the newest first.
    pub(crate) fn older(&self, file: &Path) -> Vec<OlderCopy> {
        let folder = self.path.join(OLDER);
        let name = file_name(file);
        let numbers = copies(&folder, &name);
        let read = |number: u32| {
            let path = folder.join(format!("{name}.{number}"));
            let meta = std::fs::symlink_metadata(&path).ok()?;
            let version = self.read(&path).ok()?;
            Some(OlderCopy {
                number,
                version,
                replaced: meta.modified().ok(),
            })
        };
        numbers.into_iter().rev().filter_map(read).collect()
    }

    /// Rooms that were taken out: copies of them are kept, and no file of that
    /// name is there, whatever its capitals.
    pub(crate) fn retired_rooms(&self) -> Vec<Name> {
        let there: Vec<String> = self.rooms().iter().map(Name::lower).collect();
        let mut retired: Vec<Name> = std::fs::read_dir(self.path.join(OLDER))
            .into_iter()
            .flatten()
            .filter_map(Result::ok)
            .filter_map(|e| {
                let copy = e.file_name().to_string_lossy().into_owned();
                let (file, number) = copy.rsplit_once('.')?;
                number.parse::<u32>().ok()?;
                Name::new(file.strip_suffix(ROOM)?).ok()
            })
            .filter(|room| !there.contains(&room.lower()))
            .collect();
        retired.sort();
        retired.dedup();
        retired
    }

    /// Brings a room back as it was when it was taken out.
    pub(crate) fn bring_back_room(&self, room: &str) -> Result<Name, Refused> {
        let gone = || Refused::NotFound(format!("A room \"{room}\" that was taken out"));
        let name = self
            .retired_rooms()
            .into_iter()
            .find(|r| r.as_str() == room);
        let name = name.ok_or_else(gone)?;
        let file = self.new_room_file(&name);
        let last = self.older(&file).into_iter().next().ok_or_else(gone)?;
        files::write_whole(&file, last.version.text.as_bytes()).map_err(Refused::Disk)?;
        Ok(name)
    }

    /// Copies are numbered upwards; the oldest beyond [`COPIES`] go.
    pub(super) fn keep_copy(&self, file: &Path, version: &Version) -> Result<(), Refused> {
        let name = file_name(file);
        let folder = self.path.join(OLDER);
        let numbers = copies(&folder, &name);
        let next = numbers.last().map_or(1, |n| n + 1);
        files::write_whole(
            &folder.join(format!("{name}.{next}")),
            version.text.as_bytes(),
        )
        .map_err(Refused::Disk)?;
        let surplus = (numbers.len() + 1).saturating_sub(COPIES);
        for number in numbers.iter().take(surplus) {
            // An old copy that cannot be removed does no harm.
            let _ = std::fs::remove_file(folder.join(format!("{name}.{number}")));
        }
        Ok(())
    }
}

fn file_name(file: &Path) -> String {
    file.file_name()
        .map_or_else(String::new, |n| n.to_string_lossy().into_owned())
}

/// Numbers of the older copies of a file, rising.
fn copies(folder: &Path, name: &str) -> Vec<u32> {
    let mut numbers: Vec<u32> = std::fs::read_dir(folder)
        .into_iter()
        .flatten()
        .filter_map(Result::ok)
        .filter_map(|e| {
            let copy = e.file_name().to_string_lossy().into_owned();
            copy.strip_prefix(name)?.strip_prefix('.')?.parse().ok()
        })
        .collect();
    numbers.sort_unstable();
    numbers
}

/// A link, whatever it leads to.
pub(super) fn is_link(path: &Path) -> bool {
    std::fs::symlink_metadata(path).is_ok_and(|m| m.is_symlink())
}

/// A file itself, not a link to one.
fn is_plain_file(path: &Path) -> bool {
    std::fs::symlink_metadata(path).is_ok_and(|m| m.is_file())
}
