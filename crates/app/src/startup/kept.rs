//! A room whose files cannot be read any more, as the record of its start-up
//! keeps it.

use std::path::Path;

use anyhow::{Context as _, Result, bail};
use job::startup::started_against;

use crate::project::{Project, folder_of, one_room_file, room_files, room_stem};
use crate::record::Store;

/// The room that a start-up goes on with.
pub(crate) struct AtHand {
    /// Its texts, read.
    pub(crate) project: Project,
    /// Why the files could not be read, where it is the record's.
    pub(crate) kept_since: Option<String>,
}

impl AtHand {
    /// The room that a path means: as its files stand, else as the record keeps
    /// it. A room file that is gone may be named by the file that it was.
    ///
    /// # Errors
    /// Neither can be read.
    pub(crate) fn of(path: &Path) -> Result<Self> {
        let (file, why) = match one_room_file(path) {
            Ok(file) => match Project::open(&file) {
                Ok(project) => {
                    return Ok(Self {
                        project,
                        kept_since: None,
                    });
                }
                Err(why) => (file, why),
            },
            // Several rooms: it is not said which.
            Err(why) if room_files(path).is_ok() => return Err(why),
            Err(why) if path.is_dir() => {
                let Some(file) = only_room(path) else {
                    return Err(why);
                };
                (path.join(file), why)
            }
            Err(why) => (path.to_path_buf(), why),
        };
        let why = format!("{why:#}");
        match as_kept(&file) {
            Ok(Some(project)) => Ok(Self {
                project,
                kept_since: Some(why),
            }),
            Ok(None) => bail!(why),
            Err(also) => bail!("{why}\n{also:#}"),
        }
    }
}

/// The file of the only room that a record in this folder tells of.
fn only_room(folder: &Path) -> Option<String> {
    let events = Store::of(folder).read().ok()?.events;
    let mut rooms: Vec<&str> = events.iter().map(|e| e.room.as_str()).collect();
    rooms.sort_unstable();
    rooms.dedup();
    match rooms[..] {
        [only] => Some(format!("{only}.room.toml")),
        _ => None,
    }
}

/// The room of a file as the record beside it was last started or changed
/// against; `None` where nothing is kept of it.
///
/// # Errors
/// What is kept cannot be read by this program.
pub(crate) fn as_kept(file: &Path) -> Result<Option<Project>> {
    let room = room_stem(file);
    let store = Store::of(&folder_of(file));
    if !store.exists() {
        return Ok(None);
    }
    let mut events = store.read()?.events;
    events.retain(|e| e.room == room && e.is_intact());
    let Some(basis) = started_against(&events) else {
        return Ok(None);
    };
    Project::of_kept(file, basis.inputs())
        .map(Some)
        .map_err(|all| crate::project::refused(&all))
        .context("the record keeps the room as well, but that cannot be read either")
}

/// What is to be said where a start-up goes on by the record.
pub(crate) fn words(why: &str) -> String {
    format!(
        "The files of this room cannot be read. The start-up goes on with the room as the record keeps it, last started or changed against; what is entered counts. Mend the files when you can: {why}"
    )
}
