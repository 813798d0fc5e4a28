//! Running the program as a user does.

#![allow(dead_code, reason = "each test file uses a part")]

pub(crate) mod crawl;
pub(crate) mod phone;
pub(crate) mod schema;
pub(crate) mod web;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// What came of a run.
pub(crate) struct Ran {
    pub(crate) code: i32,
    pub(crate) out: String,
    pub(crate) err: String,
}

/// Runs the program with these arguments in a folder.
pub(crate) fn drywright(folder: &Path, args: &[&str]) -> Ran {
    drywright_with(folder, args, &[])
}

/// Runs it with more in its environment.
pub(crate) fn drywright_with(folder: &Path, args: &[&str], more: &[(&str, &str)]) -> Ran {
    let Output {
        status,
        stdout,
        stderr,
    } = Command::new(env!("CARGO_BIN_EXE_drywright"))
        .args(args)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .envs(more.iter().copied())
        .output()
        .unwrap();
    let ran = Ran {
        code: status.code().unwrap_or(-1),
        out: String::from_utf8(stdout).unwrap(),
        err: String::from_utf8(stderr).unwrap(),
    };
    assert!(!ran.err.contains("panicked"), "{}", ran.err);
    ran
}

/// The root of the project.
pub(crate) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A room of eight lines.
pub(crate) const EIGHT: &str = r#"[room]
name = "Phone call"
length = "40 ft"
width = "24 ft"
height = "14 ft 6 in"
[light]
power = "21.6 kW"
photoperiod = "12 h"
[crop]
kind = "tall flowering"
canopy = "640 ft2"
"#;

/// Every file below a folder.
pub(crate) fn files_below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files_below(&path));
        } else {
            found.push(path);
        }
    }
    found.sort();
    found
}
