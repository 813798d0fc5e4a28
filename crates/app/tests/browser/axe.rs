//! An automated audit of accessibility: axe-core from npm, kept under
//! `target/`, used for this check only.

use std::process::Command;

use super::screen::Screen;
use crate::common::root;

/// The version that is audited with.
const VERSION: &str = "4.14.1";

/// Its source, installed where it is missing.
pub(crate) fn source() -> String {
    let folder = root().join("target/axe");
    let file = folder.join("node_modules/axe-core/axe.min.js");
    if !file.exists() {
        std::fs::create_dir_all(&folder).unwrap();
        let ran = Command::new("npm")
            .args(["install", "--no-audit", "--no-fund", "--prefix"])
            .arg(&folder)
            .arg(format!("axe-core@{VERSION}"))
            .output()
            .expect("npm is missing: it brings the audit of accessibility");
        assert!(
            ran.status.success(),
            "{}",
            String::from_utf8_lossy(&ran.stderr)
        );
    }
    std::fs::read_to_string(file).unwrap()
}

/// Serious and critical faults of the page: rule and where.
pub(crate) async fn faults(screen: &Screen, source: &str) -> Vec<String> {
    let text = format!(
        "{source};
         const done = arguments[arguments.length - 1];
         axe.run(document, {{ resultTypes: ['violations'] }}).then(found => done(
           found.violations
             .filter(v => v.impact === 'serious' || v.impact === 'critical')
             .flatMap(v => v.nodes.map(n => v.id + ': ' + n.html.slice(0, 160)))),
           why => done([String(why)]));"
    );
    serde_json::from_value(screen.script_later(&text).await).unwrap()
}
