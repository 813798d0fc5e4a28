//! A fuzzing client of another origin against the JSON of the web app.

use std::path::Path;
use std::process::Command;

use anyhow::{Context, Result, ensure};

use crate::python;
use crate::serving::Serving;

/// The client.
const CLIENT: [&str; 1] = ["schemathesis==4.32.5"];
/// Requests of each kind for each endpoint, unless the command line says
/// another number.
const EXAMPLES: &str = "40";

/// Starts `drywright serve` on a copy of the demonstration and sends it what
/// its OpenAPI document allows and much that it does not.
///
/// # Errors
/// No Python 3, no package index, or an answer that the document forbids.
pub(crate) fn run() -> Result<()> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .context("xtask has no parent folder")?;
    let folder = root.join("target/fuzz-api");
    let python = python::with(&folder, &CLIENT)?;
    let jobs = folder.join("jobs");
    let job = jobs.join("demonstration");
    std::fs::create_dir_all(&job).with_context(|| format!("cannot make {}", job.display()))?;
    for file in ["site.toml", "veg-1.room.toml"] {
        std::fs::copy(root.join("cases/demo").join(file), job.join(file))
            .with_context(|| format!("cannot copy {file}"))?;
    }
    // A room that cannot be read is answered too.
    std::fs::write(job.join("broken.room.toml"), "[room]\nname = 3\n")
        .context("cannot write the broken room")?;
    let server = Serving::on(root, &jobs, &folder.join("state"), false)?;
    let examples = std::env::args().nth(2).unwrap_or_else(|| EXAMPLES.into());
    let asked = Command::new(&python)
        .arg(root.join("xtask/fuzz_api/run.py"))
        .arg(&server.address)
        .arg(&folder)
        .arg(examples)
        .current_dir(&folder)
        .status()
        .context("cannot start the client")?;
    ensure!(asked.success(), "the client found what should not be");
    Ok(())
}
