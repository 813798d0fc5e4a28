//! A room file with what belongs to it: the site file beside it, the machine
//! files of the job folder, and those that are built in.

use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use anyhow::{Context, Result, bail};
use equipment::Catalog;
use fields::{Fault, Problem, Problems};
use job::Inputs;
use quantity::{Given, Origin, UnitSystem};
use room::Room;

use crate::cli::Shown;
use crate::files;

/// Ending of a room file's name.
const ROOM_ENDING: &str = ".room.toml";
/// What stands before the name of a machine file that is built in.
const BUILT_IN_MARK: &str = "(built in) ";

/// Machine files that are part of the program. All of them are invented.
pub(crate) const BUILT_IN: &[(&str, &str)] = &[
    (
        "catalog/generic-30.toml",
        include_str!("../../../catalog/generic-30.toml"),
    ),
    (
        "catalog/generic-70.toml",
        include_str!("../../../catalog/generic-70.toml"),
    ),
    (
        "catalog/generic-90-cold.toml",
        include_str!("../../../catalog/generic-90-cold.toml"),
    ),
    (
        "catalog/generic-150.toml",
        include_str!("../../../catalog/generic-150.toml"),
    ),
    (
        "catalog/generic-200.toml",
        include_str!("../../../catalog/generic-200.toml"),
    ),
    (
        "catalog/generic-250.toml",
        include_str!("../../../catalog/generic-250.toml"),
    ),
    (
        "catalog/generic-split-14.toml",
        include_str!("../../../catalog/generic-split-14.toml"),
    ),
    (
        "catalog/generic-split-28.toml",
        include_str!("../../../catalog/generic-split-28.toml"),
    ),
    (
        "catalog/generic-packaged-5-ton.toml",
        include_str!("../../../catalog/generic-packaged-5-ton.toml"),
    ),
    (
        "catalog/generic-chilled-30.toml",
        include_str!("../../../catalog/generic-chilled-30.toml"),
    ),
    (
        "catalog/generic-pair-remote.toml",
        include_str!("../../../catalog/generic-pair-remote.toml"),
    ),
    (
        "catalog/generic-bus-remote.toml",
        include_str!("../../../catalog/generic-bus-remote.toml"),
    ),
    (
        "catalog/generic-relay-4.toml",
        include_str!("../../../catalog/generic-relay-4.toml"),
    ),
];

/// The texts that a room is read from, as they stand on the disk; unread.
#[derive(Clone, Debug)]
pub(crate) struct Texts {
    /// The room file.
    path: PathBuf,
    /// The room file as messages name it.
    shown: PathBuf,
    site: Option<String>,
    room: String,
    /// Machine files of the job folder, by name.
    machines: Vec<(String, String)>,
}

impl Texts {
    /// A room file with what lies beside it.
    fn open(path: &Path, shown: &Path, room: String) -> Result<Self> {
        let folder = folder_of(path);
        let site_path = folder.join("site.toml");
        let site = match site_path.try_exists() {
            Ok(true) => Some(files::read_text(&site_path)?),
            _ => None,
        };
        Ok(Self {
            path: path.to_path_buf(),
            shown: shown.to_path_buf(),
            site,
            room,
            machines: files_of(&folder.join("catalog"))?,
        })
    }

    /// A room of a job folder. Its text may be other than what the file says.
    /// Files go by their names alone.
    pub(crate) fn in_folder(path: &Path, room: String) -> Result<Self> {
        let name = path.file_name().map_or(path, Path::new);
        Self::open(path, name, room)
    }

    /// Hash of all that a room is read from: where nothing of it changed,
    /// nothing that is said of the room does.
    pub(crate) fn key(&self) -> String {
        let path = ("path".to_owned(), self.path.display().to_string());
        job::design_id(&Inputs {
            site: self.site.clone(),
            room: self.room.clone(),
            machines: self.machines.iter().cloned().chain([path]).collect(),
        })
    }

    /// Reads them all.
    ///
    /// # Errors
    /// Every problem of every file.
    pub(crate) fn read(self) -> Result<Project, Problems> {
        let key = self.key();
        let machine_files = with_built_in(self.machines);
        Project::from_texts(
            &self.path,
            &self.shown,
            self.site,
            self.room,
            machine_files,
            key,
        )
    }
}

/// One room, ready for the steps.
#[derive(Debug)]
pub(crate) struct Project {
    /// The room file.
    pub(crate) path: PathBuf,
    /// What it says.
    pub(crate) room: Room,
    /// Machines at hand.
    pub(crate) catalog: Arc<Catalog>,
    /// All machine files read, by name.
    pub(crate) machine_files: Vec<(String, String)>,
    /// Hash of all that it was read from.
    pub(crate) key: String,
    site: Option<String>,
    text: String,
}

impl Project {
    /// Opens a room file with the site file and catalogue of its folder.
    pub(crate) fn open(path: &Path) -> Result<Self> {
        let text = files::read_text(path)?;
        let texts = Texts::open(path, path, text)?;
        texts.read().map_err(|problems| refused(&problems))
    }

    /// A room from the texts that a record keeps, machine files by code. None
    /// of them is read from the disk.
    ///
    /// # Errors
    /// Every problem of every text.
    pub(crate) fn of_kept(path: &Path, kept: Inputs) -> Result<Self, Problems> {
        let key = job::design_id(&kept);
        let name = path.file_name().map_or(path, Path::new);
        Self::from_texts(path, name, kept.site, kept.room, kept.machines, key)
    }

    fn from_texts(
        path: &Path,
        shown: &Path,
        site: Option<String>,
        text: String,
        machine_files: Vec<(String, String)>,
        key: String,
    ) -> Result<Self, Problems> {
        let site_name = shown.with_file_name("site.toml").display().to_string();
        let room_name = shown.display().to_string();
        let room = Room::read(
            site.as_deref().map(|s| (site_name.as_str(), s)),
            (&room_name, &text),
        );
        let catalog = catalog_of(&machine_files);
        let (room, catalog) = match (room, catalog) {
            (Ok(room), Ok(catalog)) => (room, catalog),
            (room, catalog) => {
                let mut all = Problems::default();
                for problems in [room.err(), catalog.err()].into_iter().flatten() {
                    all.append(problems);
                }
                return Err(all);
            }
        };
        let unknown = unknown_machines(&room, &catalog);
        if !unknown.is_empty() {
            return Err(unknown);
        }
        Ok(Self {
            path: path.to_path_buf(),
            room,
            catalog,
            machine_files,
            key,
            site,
            text,
        })
    }

    /// Name of the room file without its ending: names its results.
    pub(crate) fn stem(&self) -> String {
        room_stem(&self.path)
    }

    /// The job folder.
    pub(crate) fn folder(&self) -> PathBuf {
        folder_of(&self.path)
    }

    /// The texts that a design of this room is made from, with the machine
    /// files whose codes are in use.
    pub(crate) fn inputs(&self, used: &[String]) -> Inputs {
        let mut machines: Vec<(String, String)> = self
            .machine_files
            .iter()
            .map(|(name, text)| (code_of(name, text), text.clone()))
            .filter(|(code, _)| used.contains(code))
            .collect();
        machines.sort();
        Inputs {
            site: self.site.clone(),
            room: self.text.clone(),
            machines,
        }
    }

    /// Codes of machines that the room names or may choose from.
    pub(crate) fn codes_in_play(&self) -> Vec<String> {
        let room = &self.room;
        let named = room
            .cooling
            .iter()
            .filter_map(|c| c.model.as_ref())
            .chain(room.units.iter().map(|u| &u.model))
            .chain(&room.selection.models)
            .chain(room.controllers.iter().map(|c| &c.model))
            .map(|g| g.value.clone());
        let mut codes: Vec<String> = named.collect();
        if room.controllers.is_empty() {
            codes.extend(self.catalog.controllers.keys().cloned());
        }
        if room.selection.models.is_empty() {
            codes.extend(self.catalog.dehumidifiers.keys().cloned());
        }
        codes.sort();
        codes.dedup();
        codes
    }

    /// Units of what is shown: the command line's, else the site's.
    pub(crate) fn units(&self, shown: Shown) -> UnitSystem {
        shown.units.map_or(self.room.site.display.value, Into::into)
    }
}

/// Machines that the room names and that are not at hand.
fn unknown_machines(room: &Room, catalog: &Catalog) -> Problems {
    let units: Vec<&str> = catalog.dehumidifiers.keys().map(String::as_str).collect();
    let coolers: Vec<&str> = catalog.coolers.keys().map(String::as_str).collect();
    let controllers: Vec<&str> = catalog.controllers.keys().map(String::as_str).collect();
    let mut problems = Problems::default();
    let mut look = |key: &str, given: &Given<String>, at_hand: &[&str]| {
        let Origin::Surveyed(line) = &given.origin else {
            return;
        };
        if !at_hand.contains(&given.value.as_str()) {
            problems.push(Problem {
                file: line.file.clone(),
                line: line.line,
                column: line.column,
                span: 0..0,
                fault: Fault::UnknownChoice,
                key: key.to_owned(),
                read: format!("\"{}\"", given.value),
                what: "not in the catalogue".to_owned(),
                allowed: at_hand.join(", "),
                mend:
                    "write one of these, or add its machine file to catalog/ beside the room file"
                        .to_owned(),
            });
        }
    };
    for unit in &room.units {
        look("unit.model", &unit.model, &units);
    }
    for model in &room.selection.models {
        look("selection.models", model, &units);
    }
    for model in room.cooling.iter().filter_map(|c| c.model.as_ref()) {
        look("cooling.model", model, &coolers);
    }
    for controller in &room.controllers {
        look("controller.model", &controller.model, &controllers);
    }
    problems
}

/// The room files that a path means: itself, or all of a job folder.
pub(crate) fn room_files(path: &Path) -> Result<Vec<PathBuf>> {
    let meta =
        std::fs::metadata(path).with_context(|| format!("cannot read {}", path.display()))?;
    if !meta.is_dir() {
        return Ok(vec![path.to_path_buf()]);
    }
    let mut rooms: Vec<PathBuf> = std::fs::read_dir(path)
        .with_context(|| format!("cannot read the folder {}", path.display()))?
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|p| {
            p.file_name()
                .is_some_and(|n| n.to_string_lossy().ends_with(ROOM_ENDING))
        })
        .collect();
    rooms.sort();
    if rooms.is_empty() {
        bail!(
            "{} holds no room file; a room file is called NAME{ROOM_ENDING}",
            path.display()
        );
    }
    Ok(rooms)
}

/// Name of a room file without its ending.
pub(crate) fn room_stem(path: &Path) -> String {
    let name = path
        .file_name()
        .map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    name.strip_suffix(ROOM_ENDING)
        .or_else(|| name.strip_suffix(".toml"))
        .unwrap_or(&name)
        .to_owned()
}

/// The one room that a path means.
pub(crate) fn one_room(path: &Path) -> Result<Project> {
    Project::open(&one_room_file(path)?)
}

/// The one room file that a path means.
pub(crate) fn one_room_file(path: &Path) -> Result<PathBuf> {
    let mut rooms = room_files(path)?;
    match &mut rooms[..] {
        [one] => Ok(std::mem::take(one)),
        several => bail!(
            "{} holds {} rooms; name one: {}",
            path.display(),
            several.len(),
            several
                .iter()
                .map(|p| p.display().to_string())
                .collect::<Vec<_>>()
                .join(", ")
        ),
    }
}

/// Machine files of a folder's `catalog/`, then built-in ones whose code is
/// not taken.
pub(crate) fn machine_files(folder: &Path) -> Result<Vec<(String, String)>> {
    Ok(with_built_in(files_of(&folder.join("catalog"))?))
}

/// These machine files, then built-in ones whose code they do not take.
/// The catalogue of these files: read once, for the same files come with every
/// room and every page.
fn catalog_of(files: &[(String, String)]) -> Result<Arc<Catalog>, Problems> {
    /// Catalogues kept; the one asked longest ago goes.
    const KEPT: usize = 4;
    type Kept = VecDeque<(Vec<(String, String)>, Arc<Catalog>)>;
    static READ: Mutex<Kept> = Mutex::new(VecDeque::new());
    let lock = || READ.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some((_, catalog)) = lock().iter().find(|(f, _)| f == files) {
        return Ok(catalog.clone());
    }
    let catalog = Arc::new(Catalog::read(files)?);
    let mut kept = lock();
    kept.push_back((files.to_vec(), catalog.clone()));
    while KEPT < kept.len() {
        kept.pop_front();
    }
    Ok(catalog)
}

fn with_built_in(mut all: Vec<(String, String)>) -> Vec<(String, String)> {
    let taken: Vec<String> = all.iter().map(|(name, text)| code_of(name, text)).collect();
    for (name, text) in BUILT_IN {
        if !taken.contains(&file_stem(name)) {
            all.push((format!("{BUILT_IN_MARK}{name}"), (*text).to_owned()));
        }
    }
    all
}

/// All machine files of one folder, by name; none where it does not exist.
pub(crate) fn files_of(folder: &Path) -> Result<Vec<(String, String)>> {
    if !folder.is_dir() {
        return Ok(Vec::new());
    }
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .with_context(|| format!("cannot read the folder {}", folder.display()))?
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .collect();
    paths.sort();
    paths
        .into_iter()
        .map(|p| Ok((p.display().to_string(), files::read_text(&p)?)))
        .collect()
}

/// Code of the machine that a file describes; the name of the file where it
/// cannot be read, since that is told elsewhere. Files that are built in are
/// named after their codes.
pub(crate) fn code_of(name: &str, text: &str) -> String {
    if name.starts_with(BUILT_IN_MARK) {
        return file_stem(name);
    }
    match equipment::read_machine(name, text) {
        Ok(machine) => machine.code().to_owned(),
        Err(_) => file_stem(name),
    }
}

/// Name of a machine file without folder and ending.
fn file_stem(name: &str) -> String {
    let file = name.rsplit(['/', '\\']).next().unwrap_or(name);
    file.strip_suffix(".toml").unwrap_or(file).to_owned()
}

/// The job folder of a room file.
pub(crate) fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(p) if !p.as_os_str().is_empty() => p.to_path_buf(),
        _ => PathBuf::from("."),
    }
}

/// All problems of the files, one under the other.
pub(crate) fn refused(problems: &Problems) -> anyhow::Error {
    let list: String = problems.iter().map(|p| format!("\n{p}")).collect();
    let count = problems.len();
    let noun = if count == 1 { "problem" } else { "problems" };
    anyhow::anyhow!("{count} {noun}, nothing was computed:{list}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn built_in_files_are_named_after_their_codes() {
        for (name, text) in BUILT_IN {
            assert_eq!(code_of(name, text), file_stem(name));
        }
    }

    #[test]
    fn the_key_changes_with_each_text_and_with_nothing_else() {
        let texts = Texts {
            path: "a/r.room.toml".into(),
            shown: "r.room.toml".into(),
            site: None,
            room: "x".into(),
            machines: vec![("m.toml".into(), "y".into())],
        };
        assert_eq!(texts.key(), texts.clone().key());
        let others = [
            Texts {
                path: "b/r.room.toml".into(),
                ..texts.clone()
            },
            Texts {
                site: Some("s".into()),
                ..texts.clone()
            },
            Texts {
                room: "xx".into(),
                ..texts.clone()
            },
            Texts {
                machines: vec![("m.toml".into(), "z".into())],
                ..texts.clone()
            },
        ];
        for other in others {
            assert_ne!(texts.key(), other.key());
        }
    }
}
