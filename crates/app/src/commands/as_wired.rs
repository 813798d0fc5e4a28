//! `drywright control ROOM --as-wired FILE`: was it wired as it was planned?

use std::path::Path;

use anyhow::{Result, bail};
use job::control::{check_as_wired, read_as_wired, wire};
use quantity::Severity;

use crate::Verdict;
use crate::cli::Shown;
use crate::files;
use crate::out;
use crate::project::one_room;
use crate::results::StepResult;

pub(crate) fn run(path: &Path, list: &Path, shown: Shown) -> Result<Verdict> {
    let project = one_room(path)?;
    let text = files::read_text(list)?;
    let wires = match read_as_wired(&text) {
        Ok(wires) => wires,
        Err(faults) => {
            let told: String = faults
                .iter()
                .map(|f| format!("\n{}: {f}", list.display()))
                .collect();
            bail!("{} lines cannot be read:{told}", faults.len());
        }
    };
    let placed = super::step::placed(&project)?;
    let planned = wire(&project.room, &project.catalog, &placed)?;
    let found = check_as_wired(&planned, &wires);
    if shown.json {
        out::json(&StepResult::new(
            &project.room.name.value,
            "control",
            &placed,
            &[],
            &found,
        ))?;
    } else if found.is_empty() {
        out::print(&format!(
            "{} connections, wired as planned. Go on with power off: continuity, no short, then polarity.\n",
            wires.len()
        ))?;
    } else {
        out::print(&out::findings(&found, project.units(shown)))?;
    }
    Ok(Verdict::from_stops(
        found.iter().any(|f| f.severity == Severity::Stop),
    ))
}
