//! The browser that the tests of the web app drive.

use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};

/// Debian's packages of the browser and of its driver.
const PACKAGES: [&str; 2] = ["chromium", "chromium-driver"];

/// Installs Chromium and its driver by the system's own package manager, where
/// they are missing and this user may.
pub(crate) fn install_where_missing() -> Result<()> {
    if runs("chromium") && runs("chromedriver") {
        return Ok(());
    }
    if !runs("apt-get") {
        bail!(
            "the tests of the web app need Chromium and chromedriver: install both and run this again"
        );
    }
    for args in [
        vec!["update", "-qq"],
        [
            &["install", "-y", "-qq", "--no-install-recommends"],
            &PACKAGES[..],
        ]
        .concat(),
    ] {
        let done = Command::new("apt-get")
            .args(&args)
            .env("DEBIAN_FRONTEND", "noninteractive")
            .status()
            .context("cannot run apt-get")?;
        if !done.success() {
            bail!(
                "cannot install {}: run apt-get install {} as an administrator, then this again",
                PACKAGES.join(" and "),
                PACKAGES.join(" ")
            );
        }
    }
    Ok(())
}

/// Whether a program can be started.
fn runs(program: &str) -> bool {
    Command::new(program)
        .arg("--version")
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|s| s.success())
}
