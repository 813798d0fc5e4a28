//! Rooms from a short text with edits, shared by the tests.
#![allow(dead_code, reason = "each test program uses a part of it")]

use std::path::Path;
use std::sync::OnceLock;

use equipment::Catalog;
use job::{Effort, Load, Selection, Silent, load, selection};
use room::Room;

/// A small crop in an ample room at sea level, so that capacity decides and not
/// the rests between starts; all invented.
pub(crate) const LEAFY: &str = r#"
[site]
pressure = "101325 Pa"
[room]
name = "Leafy"
length = "10 m"
width = "8 m"
height = "4 m"
[light]
power = "2 kW"
ppfd = "250 umol/m2/s"
efficacy = "2.8 umol/J"
photoperiod = "16 h"
[crop]
kind = "leafy greens"
canopy = "20 m2"
[target.lights_on]
dry_bulb = "22 °C"
rh = "65..75 %"
[target.lights_off]
dry_bulb = "22 °C"
rh = "65..75 %"
[selection]
models = ["generic-30"]
max_count = 30
"#;

/// Text of a room file that is edited key by key.
#[derive(Clone)]
pub(crate) struct Sheet(pub(crate) String);

impl Sheet {
    /// The small room of leafy greens.
    pub(crate) fn leafy() -> Self {
        Self(LEAFY.into())
    }

    /// The same room, empty and dark.
    pub(crate) fn dark() -> Self {
        let (before, rest) = LEAFY.split_once("[light]").unwrap();
        let (_, after) = rest.split_once("[target.lights_on]").unwrap();
        Self(format!("{before}[target.lights_on]{after}"))
    }

    /// The same text with a key of a section set anew; a section that is not
    /// there yet is added.
    #[must_use]
    pub(crate) fn set(&self, section: &str, key: &str, value: &str) -> Self {
        let header = format!("[{section}]");
        let mut lines = Vec::new();
        let (mut inside, mut found) = (false, false);
        for line in self.0.lines() {
            if line.starts_with('[') {
                inside = line == header;
            }
            if inside && line.split('=').next().is_some_and(|k| k.trim() == key) {
                continue;
            }
            lines.push(line.to_owned());
            if inside && line == header {
                found = true;
                lines.push(format!("{key} = {value}"));
            }
        }
        if !found {
            lines.push(header);
            lines.push(format!("{key} = {value}"));
        }
        Self(lines.join("\n") + "\n")
    }

    /// The same text without a key of a section.
    #[must_use]
    pub(crate) fn without(&self, section: &str, key: &str) -> Self {
        let marked = self.set(section, key, "REMOVED");
        let lines = marked.0.lines().filter(|l| !l.ends_with("= REMOVED"));
        Self(lines.map(|l| format!("{l}\n")).collect())
    }

    /// The same text with more at its end.
    #[must_use]
    pub(crate) fn and(&self, more: &str) -> Self {
        Self(format!("{}{more}\n", self.0))
    }

    /// The room, which must be readable.
    pub(crate) fn room(&self) -> Room {
        read(&self.0)
    }

    /// Its load at a first look.
    pub(crate) fn load(&self) -> Load {
        load::hourly(&self.room(), Effort::Preview).unwrap()
    }

    /// Its selection at a first look.
    pub(crate) fn selection(&self) -> Selection {
        let room = self.room();
        let load = load::hourly(&room, Effort::Preview).unwrap();
        selection::choose(&room, &load, catalog(), Effort::Preview, &Silent).unwrap()
    }
}

/// A room from its text, which must be readable.
pub(crate) fn read(text: &str) -> Room {
    match Room::read(None, ("test.room.toml", text)) {
        Ok(room) => room,
        Err(problems) => {
            let said: Vec<String> = problems.iter().map(ToString::to_string).collect();
            panic!("{}\n{text}", said.join("\n"))
        }
    }
}

/// Every record of the catalogue that is shipped.
pub(crate) fn catalog() -> &'static Catalog {
    static CATALOG: OnceLock<Catalog> = OnceLock::new();
    CATALOG.get_or_init(|| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../catalog");
        let mut files: Vec<(String, String)> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .map(|path| {
                let text = std::fs::read_to_string(&path).unwrap();
                (path.display().to_string(), text)
            })
            .collect();
        files.sort();
        Catalog::read(&files).unwrap()
    })
}
