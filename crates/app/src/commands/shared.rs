//! What the rooms of a job folder share: `power` and `drain` on a folder, and
//! a part of `design`.

use std::path::{Path, PathBuf};

use anyhow::Result;
use job::shared::{InRoom, Shared, shared};
use job::{Design, Placement, drain, power};
use quantity::{Severity, UnitSystem};
use sheet::report::{Block, Report, TitleBlock};
use sheet::{dossier, numbers, sheets};

use crate::Verdict;
use crate::cli::Shown;
use crate::files;
use crate::json;
use crate::out;
use crate::project::Project;
use crate::results::StepResult;

/// The name of this in files and results.
const NAME: &str = "shared";

/// Plans the circuits and drains of each room and adds up what they share.
pub(super) fn run(projects: &[Project], shown: Shown) -> Result<Verdict> {
    let mut planned = Vec::new();
    for project in projects {
        let placed = super::step::placed(project)?;
        let (room, catalog) = (&project.room, &project.catalog);
        planned.push((
            power::feed(room, catalog, &placed)?,
            drain::route(room, catalog, &placed)?,
        ));
    }
    let rooms: Vec<InRoom> = projects
        .iter()
        .zip(&planned)
        .map(|(project, (power, drain))| InRoom {
            room: &project.room,
            power,
            drain,
        })
        .collect();
    show(&shared(&rooms), projects, shown)
}

fn show(shared: &Shared, projects: &[Project], shown: Shown) -> Result<Verdict> {
    let blocks = sheets::shared::blocks(shared);
    let units = units(projects, shown);
    if shown.json {
        out::json(&result(shared, projects.first(), &blocks))?;
    } else if blocks.is_empty() {
        out::print(
            "The rooms share no panel and no drain main. For one room alone, name its file.\n",
        )?;
    } else {
        out::print(&out::blocks(blocks, units))?;
        if shown.working {
            out::print(&out::workings(&shared.workings, units))?;
        }
    }
    Ok(Verdict::from_stops(stops(shared)))
}

/// As numbers, for the job as a whole.
fn result(shared: &Shared, first: Option<&Project>, blocks: &[Block]) -> StepResult {
    let job = first.and_then(|p| p.room.site.job.as_ref());
    StepResult::new(
        job.map_or("", |j| &j.value),
        NAME,
        &Placement::default(),
        blocks,
        &shared.findings,
    )
}

/// Writes the sheet of what designed rooms share, and its numbers; nothing where
/// they share nothing. Gives the files and what was found.
pub(super) fn write(
    designed: &[(&Project, &Design)],
    folder: &Path,
    paper: sheet::Paper,
    shown: Shown,
) -> Result<Option<(Vec<PathBuf>, Shared)>> {
    let rooms: Vec<InRoom> = designed
        .iter()
        .map(|(project, design)| InRoom {
            room: &project.room,
            power: &design.power,
            drain: &design.drain,
        })
        .collect();
    let shared = shared(&rooms);
    let blocks = sheets::shared::blocks(&shared);
    let (Some((project, _)), false) = (designed.first(), blocks.is_empty()) else {
        return Ok(None);
    };
    let numbers = json::text(&result(&shared, Some(project), &blocks))?;
    let mut report = Report::new(TitleBlock {
        sheet_prefix: numbers::SHARED.into(),
        ..dossier::title_of_site(&project.room.site, project.units(shown))
    });
    report.blocks = blocks;
    report
        .blocks
        .push(sheet::Block::Workings(shared.workings.clone()));
    let pdf = folder.join(format!("{NAME}.pdf"));
    files::write_whole(&pdf, &sheet::pdf::pdf(&report, paper)?)?;
    let json = folder.join(format!("{NAME}.json"));
    files::write_whole(&json, format!("{numbers}\n").as_bytes())?;
    Ok(Some((vec![pdf, json], shared)))
}

/// Whether a finding says stop.
pub(super) fn stops(shared: &Shared) -> bool {
    shared.findings.iter().any(|f| f.severity == Severity::Stop)
}

fn units(projects: &[Project], shown: Shown) -> UnitSystem {
    projects
        .first()
        .map_or(UnitSystem::Metric, |p| p.units(shown))
}
