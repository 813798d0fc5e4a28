//! `drywright demo`: an invented job, made and designed.

use std::path::Path;

use anyhow::{Context, Result, bail};
use job::Effort;

use super::design::{Asked, run as design};
use crate::Verdict;
use crate::cli::Shown;
use crate::files;
use crate::out;

/// The files of the demonstration job.
pub(crate) const FILES: &[(&str, &str)] = &[
    (
        "site.toml",
        include_str!("../../../../cases/demo/site.toml"),
    ),
    (
        "flower-2.room.toml",
        include_str!("../../../../cases/demo/flower-2.room.toml"),
    ),
    (
        "drying-1.room.toml",
        include_str!("../../../../cases/demo/drying-1.room.toml"),
    ),
    (
        "veg-1.room.toml",
        include_str!("../../../../cases/demo/veg-1.room.toml"),
    ),
];

/// The room whose dossier is put in the foreground.
const FIRST_ROOM: &str = "flower-2";

pub(crate) fn run(dir: &Path, shown: Shown) -> Result<Verdict> {
    if dir.exists() {
        let used = std::fs::read_dir(dir)
            .with_context(|| format!("cannot read {}", dir.display()))?
            .next()
            .is_some();
        let is_demo = dir.join(format!("{FIRST_ROOM}.room.toml")).exists();
        if used && !is_demo {
            bail!(
                "{} exists and is not a demonstration job; name another folder: drywright demo DIR",
                dir.display()
            );
        }
    }
    for (name, text) in FILES {
        // A room file that was edited is the user's: it is not written over.
        let path = dir.join(name);
        if !path.exists() {
            files::write_whole(&path, text.as_bytes())?;
        }
    }
    let verdict = design(
        &Asked {
            path: dir,
            out: None,
            paper: None,
            effort: Effort::Full,
        },
        shown,
    )?;
    let first = dir.join("out").join(FIRST_ROOM).join("dossier.pdf");
    let dossier = dir.join("out").join("dossier.pdf");
    let bytes =
        std::fs::read(&first).with_context(|| format!("cannot read {}", first.display()))?;
    files::write_whole(&dossier, &bytes)?;
    if !shown.json {
        out::print(&next(dir, &dossier))?;
    }
    Ok(match verdict {
        // A demonstration that shows a Stop finding has done its work.
        Verdict::Stop | Verdict::Clear => Verdict::Clear,
    })
}

fn next(dir: &Path, dossier: &Path) -> String {
    let d = dir.display();
    format!(
        "\nThe job, its rooms and its machines are invented.\n\
         Look at {}, then try:\n\
         \x20 edit {d}/{FIRST_ROOM}.room.toml, break a line, and: drywright check {d}\n\
         \x20 drywright load {d}/{FIRST_ROOM}.room.toml --working\n\
         \x20 drywright design {d}\n",
        dossier.display()
    )
}
