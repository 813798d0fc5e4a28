//! A fuzzing client of another origin against the JSON of the web app.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

use anyhow::{Context, Result, ensure};

use crate::python;

/// The client.
const CLIENT: [&str; 1] = ["schemathesis==4.32.5"];
/// Requests of each kind for each endpoint, unless the command line says
/// another number.
const EXAMPLES: &str = "40";

/// A server that ends with its owner.
struct Server(Child);

impl Drop for Server {
    fn drop(&mut self) {
        // Ended already: nothing to do.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

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
    let mut server = Server(
        Command::new(std::env::var("CARGO").unwrap_or_else(|_| "cargo".into()))
            .current_dir(root)
            .args(["run", "--quiet", "--package", "drywright", "--", "serve"])
            .arg(&jobs)
            .args(["--port", "0"])
            .env("XDG_STATE_HOME", folder.join("state"))
            .stdout(Stdio::piped())
            .spawn()
            .context("cannot start the server")?,
    );
    let out = server.0.stdout.take().context("the server has no output")?;
    let mut address = String::new();
    BufReader::new(out)
        .read_line(&mut address)
        .context("the server said no address")?;
    let examples = std::env::args().nth(2).unwrap_or_else(|| EXAMPLES.into());
    let asked = Command::new(&python)
        .arg(root.join("xtask/fuzz_api/run.py"))
        .arg(address.trim())
        .arg(&folder)
        .arg(examples)
        .current_dir(&folder)
        .status()
        .context("cannot start the client")?;
    ensure!(asked.success(), "the client found what should not be");
    Ok(())
}
