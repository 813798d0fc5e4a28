//! A file of the survey that a form or an editor changes: read, judged, saved
//! over the version that the page was drawn from.

use std::path::PathBuf;

use fields::edit::{Change, Written, changed, written};
use fields::{Format, Problem, Problems};
use quantity::UnitSystem;
use room::{ROOM_FORMAT, Room, SITE_FORMAT};
use serde::Deserialize;

use crate::web::app::App;
use crate::web::refused::Refused;
use crate::web::store::{JobFolder, OlderCopy, Version};
use crate::web::view::form::{Filled, name_of, parts_of};
use crate::web::view::layout::{Place, job_href, sheet_href};

/// Which file of a job: the site's, or that of a room.
#[derive(Clone, Debug, Deserialize)]
pub(in super::super) struct FileAt {
    pub(in super::super) job: String,
    #[serde(default)]
    pub(in super::super) room: Option<String>,
}

impl FileAt {
    /// The file.
    pub(in super::super) fn file(&self, app: &App) -> Result<SurveyFile, Refused> {
        match &self.room {
            Some(room) => SurveyFile::room(app, &self.job, room),
            None => SurveyFile::site(app, &self.job),
        }
    }

    /// Its name.
    pub(in super::super) fn name(&self) -> String {
        match &self.room {
            Some(room) => format!("{room}.room.toml"),
            None => "site.toml".to_owned(),
        }
    }

    /// The address of a page about it.
    pub(in super::super) fn href(&self, word: &str) -> String {
        match &self.room {
            Some(room) => sheet_href(&self.job, room, word),
            None => format!("{}/site/{word}", job_href(&self.job)),
        }
    }

    /// Where its pages belong.
    pub(in super::super) fn place(&self) -> Place<'_> {
        match &self.room {
            Some(room) => Place::Room {
                job: &self.job,
                room,
                sheet: "survey",
                stamp: "",
            },
            None => Place::Job { job: &self.job },
        }
    }
}

/// A site or room file.
pub(in super::super) struct SurveyFile {
    folder: JobFolder,
    path: PathBuf,
    /// The table of its fields.
    pub(in super::super) format: &'static Format,
    /// How it stands on the disk.
    pub(in super::super) version: Version,
    /// Text of the site file, for a room.
    site: Option<String>,
}

impl SurveyFile {
    pub(in super::super) fn room(app: &App, job: &str, room: &str) -> Result<Self, Refused> {
        let folder = app.jobs.job(job)?;
        let path = folder.room_file(room)?;
        let version = folder.read(&path)?;
        let site = folder.read(&folder.site_file())?.text;
        Ok(Self {
            folder,
            path,
            format: &ROOM_FORMAT,
            version,
            site: Some(site).filter(|s| !s.is_empty()),
        })
    }

    pub(in super::super) fn site(app: &App, job: &str) -> Result<Self, Refused> {
        let folder = app.jobs.job(job)?;
        let path = folder.site_file();
        let version = folder.read(&path)?;
        Ok(Self {
            folder,
            path,
            format: &SITE_FORMAT,
            version,
            site: None,
        })
    }

    /// Units in which the job is shown: as its files say, also while they are not
    /// whole.
    pub(in super::super) fn display(&self) -> UnitSystem {
        let says = |format: &Format, text: &str| {
            let sections = written(format, text).ok()?;
            let of_site = |w: &&Written| w.section == "site";
            sections.iter().find(of_site)?.keys.get("display").cloned()
        };
        let of_site = || says(&SITE_FORMAT, self.site.as_deref()?);
        // A room file stands before that of the site.
        match says(self.format, &self.version.text).or_else(of_site) {
            Some(word) if word == "us" => UnitSystem::Us,
            _ => UnitSystem::Metric,
        }
    }

    /// Its name, as in the command line's words.
    pub(in super::super) fn name(&self) -> String {
        self.path
            .file_name()
            .map_or_else(String::new, |n| n.to_string_lossy().into_owned())
    }

    /// What is wrong with a text of this file.
    pub(in super::super) fn problems(&self, text: &str) -> Vec<Problem> {
        let name = self.name();
        let found = if std::ptr::eq(self.format, &raw const SITE_FORMAT) {
            SITE_FORMAT.read(&name, text).err()
        } else {
            let site = self.site.as_deref().map(|s| ("site.toml", s));
            Room::read(site, (&name, text)).err()
        };
        let Problems(all) = found.unwrap_or_default();
        all.into_iter().filter(|p| *p.file == *name).collect()
    }

    /// Sections as they stand, in a text.
    pub(in super::super) fn written(&self, text: &str) -> Result<Vec<Written>, String> {
        written(self.format, text).map_err(|e| e.to_string())
    }

    /// What a form shows of a text.
    pub(in super::super) fn filled(&self, text: &str) -> Filled {
        let mut filled = Filled::default();
        let sections = match self.written(text) {
            Ok(sections) => sections,
            Err(words) => {
                filled.others.push(words);
                return filled;
            }
        };
        for w in &sections {
            for (key, typed) in &w.keys {
                let name = name_of(w.section, w.nth, key);
                filled.texts.insert(name, typed.clone());
            }
        }
        self.mark(&mut filled, &sections, self.problems(text));
        filled
    }

    /// Puts each problem beside its input.
    fn mark(&self, filled: &mut Filled, sections: &[Written], problems: Vec<Problem>) {
        for problem in problems {
            let (section, key) = problem.key.rsplit_once('.').unwrap_or((&problem.key, ""));
            let of_kind = sections.iter().filter(|w| w.section == section);
            let nth = of_kind
                .filter(|w| w.line <= problem.line)
                .map(|w| w.nth)
                .max()
                .unwrap_or(0);
            let known = self
                .format
                .section(section)
                .is_some_and(|s| s.fields.iter().any(|f| f.key == key));
            let words = problem.to_string();
            if known {
                filled.errors.insert(name_of(section, nth, key), words);
            } else {
                filled.others.push(words);
            }
        }
    }

    /// The changes that a form asks for, against the text on the disk.
    pub(in super::super) fn changes(
        &self,
        form: &[(String, String)],
    ) -> Result<Vec<Change>, String> {
        let sections = self.written(&self.version.text)?;
        let stands = |section: &str, nth: usize, key: &str| {
            sections
                .iter()
                .find(|w| w.section == section && w.nth == nth)
                .and_then(|w| w.keys.get(key))
                .map_or("", String::as_str)
        };
        let mut changes = Vec::new();
        for (name, typed) in form {
            let Some((section, nth, key)) = parts_of(name) else {
                continue;
            };
            let typed = typed.trim();
            let old = stands(section, nth, key);
            let (section, key) = (section.to_owned(), key.to_owned());
            if typed == old.trim() {
                continue;
            }
            changes.push(if typed.is_empty() {
                Change::Unset { section, nth, key }
            } else {
                Change::Set {
                    section,
                    nth,
                    key,
                    typed: typed.to_owned(),
                }
            });
        }
        if let Some((_, what)) = form.iter().find(|(name, _)| name == "remove")
            && let Some((section, nth)) = what.split_once('|')
        {
            changes.push(Change::Remove {
                section: section.to_owned(),
                nth: nth.parse().map_err(|_| format!("there is no {what}"))?,
            });
        }
        Ok(changes)
    }

    /// The text with these changes.
    pub(in super::super) fn changed(&self, changes: &[Change]) -> Result<String, String> {
        changed(self.format, &self.version.text, changes).map_err(|e| e.to_string())
    }

    /// Problems of a text that the text on the disk does not have.
    pub(in super::super) fn new_problems(&self, text: &str) -> Vec<Problem> {
        let before = self.problems(&self.version.text);
        let known = |p: &Problem| {
            before
                .iter()
                .any(|b| b.key == p.key && b.read == p.read && b.what == p.what)
        };
        self.problems(text)
            .into_iter()
            .filter(|p| !known(p))
            .collect()
    }

    /// A form that was not taken: everything typed, with what is new and wrong.
    pub(in super::super) fn refused(&self, form: &[(String, String)], text: &str) -> Filled {
        let mut filled = Filled {
            texts: form.iter().cloned().collect(),
            ..Filled::default()
        };
        let sections = self.written(text).unwrap_or_default();
        self.mark(&mut filled, &sections, self.new_problems(text));
        filled
    }

    /// The older copies kept of it, the newest first.
    pub(in super::super) fn older(&self) -> Vec<OlderCopy> {
        self.folder.older(&self.path)
    }

    /// Saves a text over the version that the page was drawn from.
    pub(in super::super) fn save(&self, text: &str, base: &str) -> Result<(), Refused> {
        self.folder.save(&self.path, text, base).map(|_| ())
    }
}
