//! What the tests of sheets share.

#![allow(dead_code, reason = "each test file uses a part")]
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::path::{Path, PathBuf};

use equipment::Catalog;
use sheet::Drawing;
use sheet::drawing::{Letters, PaperPoint};
use sheet::sheets::kit::PAGE;

/// The root of the project.
pub(crate) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A file of the project.
pub(crate) fn text(path: &str) -> String {
    let path = root().join(path);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// The machine files of the project.
pub(crate) fn catalog() -> Catalog {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(root().join("catalog"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .collect();
    paths.sort();
    let files: Vec<(String, String)> = paths
        .iter()
        .map(|p| (p.display().to_string(), std::fs::read_to_string(p).unwrap()))
        .collect();
    Catalog::read(&files).unwrap_or_else(|p| panic!("{p}"))
}

/// What is let pass \[mm\].
#[derive(Clone, Copy, Debug)]
pub(crate) struct Slack {
    /// Of a text over the edge of the paper.
    pub(crate) edge_mm: f64,
    /// Of a text over another.
    pub(crate) overlap_mm: f64,
}

/// What is wrong with a figure: larger than the page, letters too small, texts
/// over the edge or over one another, by the boxes round them.
pub(crate) fn problems(name: &str, drawing: &Drawing, slack: Slack) -> Vec<String> {
    let size = drawing.size;
    let mut found = Vec::new();
    if size.width_mm > PAGE.width_mm + 1e-9 || size.height_mm > PAGE.height_mm + 1e-9 {
        found.push(format!("{name}: {size:?}"));
    }
    let texts: Vec<_> = drawing
        .texts()
        .map(|(label, corners)| (label, bounds(&corners)))
        .collect();
    for (i, (label, a)) in texts.iter().enumerate() {
        if label.letters.cap_mm() < Letters::Small.cap_mm() {
            found.push(format!("{name}: \"{}\" is too small", label.text));
        }
        let inside = -slack.edge_mm <= a[0]
            && -slack.edge_mm <= a[1]
            && a[2] <= size.width_mm + slack.edge_mm
            && a[3] <= size.height_mm + slack.edge_mm;
        if !inside {
            found.push(format!("{name}: \"{}\" {a:?} of {size:?}", label.text));
        }
        for (other, b) in &texts[i + 1..] {
            let apart = a[2] <= b[0] + slack.overlap_mm
                || b[2] <= a[0] + slack.overlap_mm
                || a[3] <= b[1] + slack.overlap_mm
                || b[3] <= a[1] + slack.overlap_mm;
            if !apart {
                found.push(format!("{name}: \"{}\" on \"{}\"", label.text, other.text));
            }
        }
    }
    found
}

/// Least x, least y, greatest x, greatest y.
fn bounds(corners: &[PaperPoint; 4]) -> [f64; 4] {
    let (x, y) = (corners.map(|c| c.x_mm), corners.map(|c| c.y_mm));
    let least = |v: [f64; 4]| v.into_iter().fold(f64::INFINITY, f64::min);
    let most = |v: [f64; 4]| v.into_iter().fold(f64::NEG_INFINITY, f64::max);
    [least(x), least(y), most(x), most(y)]
}
