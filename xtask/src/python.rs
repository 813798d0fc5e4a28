//! Python packages for a chore, in a virtual environment under `target/`.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

/// The Python of a virtual environment in `folder` with these packages at
/// their versions; kept between runs.
pub(crate) fn with(folder: &Path, packages: &[&str]) -> Result<PathBuf> {
    std::fs::create_dir_all(folder).with_context(|| format!("cannot make {}", folder.display()))?;
    let environment = folder.join("python");
    let inside = if cfg!(windows) {
        "Scripts/python.exe"
    } else {
        "bin/python"
    };
    let python = environment.join(inside);
    if !python.exists() {
        let name = if cfg!(windows) { "python" } else { "python3" };
        output(Command::new(name).args(["-m", "venv"]).arg(&environment))
            .context("Python 3 with its venv module is needed")?;
    }
    output(
        Command::new(&python)
            .args([
                "-m",
                "pip",
                "install",
                "--quiet",
                "--disable-pip-version-check",
            ])
            .args(packages),
    )
    .with_context(|| format!("{} could not be installed", packages.join(", ")))?;
    Ok(python)
}

/// What a command wrote, or why it failed.
pub(crate) fn output(command: &mut Command) -> Result<String> {
    let program = command.get_program().to_string_lossy().into_owned();
    let out = command
        .output()
        .with_context(|| format!("cannot start {program}"))?;
    if !out.status.success() {
        bail!(
            "{program} failed: {}",
            String::from_utf8_lossy(&out.stderr).trim()
        );
    }
    Ok(String::from_utf8_lossy(&out.stdout).into_owned())
}
