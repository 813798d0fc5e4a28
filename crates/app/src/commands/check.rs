//! `drywright check`: read and judge room files.

use std::path::Path;

use anyhow::Result;
use quantity::{Finding, Severity};

use crate::Verdict;
use crate::cli::Shown;
use crate::out;
use crate::project::{Project, room_files};
use crate::results::{AssumptionResult, CheckResult, findings};

pub(crate) fn run(path: &Path, shown: Shown) -> Result<Verdict> {
    let mut all = Vec::new();
    let mut refused = Vec::new();
    for file in room_files(path)? {
        match Project::open(&file) {
            Ok(project) => {
                let found = job::survey::findings(&project.room);
                all.push((project, found));
            }
            Err(e) => refused.push(format!("{e:#}")),
        }
    }
    if !refused.is_empty() {
        anyhow::bail!("{}", refused.join("\n"));
    }
    if shown.json {
        let results: Vec<CheckResult> = all.iter().map(|(p, f)| result(p, f)).collect();
        match &results[..] {
            [one] => out::json(one)?,
            several => out::json(&several)?,
        }
    } else {
        for (project, found) in &all {
            out::print(&text(project, found, shown))?;
        }
    }
    let stops = all
        .iter()
        .flat_map(|(_, f)| f)
        .any(|f| f.severity == Severity::Stop);
    Ok(Verdict::from_stops(stops))
}

pub(crate) fn result(project: &Project, found: &[Finding]) -> CheckResult {
    CheckResult {
        schema: "drywright/check/1",
        room: project.room.name.value.clone(),
        file: project.path.display().to_string(),
        assumptions: project
            .room
            .assumptions
            .iter()
            .map(|a| AssumptionResult {
                key: a.key.clone(),
                taken: a.taken.show(quantity::UnitSystem::Metric),
                source: a.source.cite.to_string(),
            })
            .collect(),
        findings: findings(found),
    }
}

fn text(project: &Project, found: &[Finding], shown: Shown) -> String {
    let units = project.units(shown);
    let mut table = out::table(&["assumed", "taken", "why"]);
    for a in &project.room.assumptions {
        let taken = sheet::dossier::honest(&a.taken, units);
        table.add_row([a.key.clone(), taken.show(units), out::cite(&a.source)]);
    }
    format!(
        "{}: {} can be read.\n\n{table}\n\n{}",
        project.path.display(),
        project.room.name.value,
        out::findings(found, units)
    )
}
