//! What the project says about itself stays true. Each rule is a function from
//! text to faults, tested on text that breaks it, then applied to the project.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod architecture;
mod dependencies;
mod pure;
mod units_in_docs;
mod words;

use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Every file under `folder` of the project, with its path from the root, but
/// for what is built and what the version control keeps.
fn files_under(folder: &str) -> Vec<(String, PathBuf)> {
    let mut found = Vec::new();
    let mut folders = vec![root().join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.strip_prefix(root()).unwrap().to_str().unwrap();
            if ["target", "out", ".git"].contains(&name) {
                continue;
            }
            if path.is_dir() {
                folders.push(path);
            } else {
                found.push((name.replace('\\', "/"), path));
            }
        }
    }
    found.sort();
    found
}

/// The Rust sources under `crates/NAME/src`, with their paths from the root.
fn sources_of(crate_name: &str) -> Vec<(String, String)> {
    files_under(&format!("crates/{crate_name}/src"))
        .into_iter()
        .filter(|(name, _)| name.ends_with(".rs"))
        .map(|(name, path)| (name, std::fs::read_to_string(path).unwrap()))
        .collect()
}

fn crate_names() -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(root().join("crates"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}
