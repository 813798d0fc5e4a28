//! The pictures of the README, drawn anew by the program.

use std::path::Path;

use anyhow::{Context, Result};

/// Drawings of the demonstration's first room that the README shows.
const SHOWN: [&str; 2] = ["day.svg", "capacity.svg"];

/// Runs the demonstration under `target/pictures` and copies what it draws to
/// `docs/`.
pub(crate) fn run() -> Result<()> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .context("xtask has no parent folder")?;
    let job = root.join("target/pictures");
    if job.exists() {
        // The demonstration leaves room files that are there as they are.
        std::fs::remove_dir_all(&job).with_context(|| format!("cannot clear {}", job.display()))?;
    }
    let folder = job.to_str().context("the path is not text")?;
    super::cargo(
        &[
            "run",
            "--quiet",
            "--package",
            "drywright",
            "--",
            "demo",
            folder,
        ],
        &[],
    )?;
    for name in SHOWN {
        let (from, to) = (
            job.join("out/flower-2").join(name),
            root.join("docs").join(name),
        );
        std::fs::copy(&from, &to)
            .with_context(|| format!("cannot copy {} to {}", from.display(), to.display()))?;
    }
    super::say("docs/ is drawn anew; look at the pictures before they are kept");
    Ok(())
}
