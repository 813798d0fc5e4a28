//! `drywright place`, `hang`, `drain`, `power`, `control`: one step of the
//! installation, as text, as drawings, as JSON.

use std::path::Path;

use anyhow::Result;
use job::placement::Placement;
use job::selection::present_set;
use job::{Effort, Load, UnitSet, control, drain, hanging, placement, power};
use quantity::{Finding, Severity, UnitSystem, Working};
use sheet::report::Block;
use sheet::{Drawing, sheets};

use crate::Verdict;
use crate::cli::Shown;
use crate::files;
use crate::out;
use crate::project::{Project, one_room, room_files};
use crate::results::StepResult;
use crate::watch::Watch;

/// Which step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Step {
    /// Where units go.
    Place,
    /// How they are carried.
    Hang,
    /// Where their water goes.
    Drain,
    /// What feeds them.
    Power,
    /// What tells them to run.
    Control,
}

/// What a step has to show.
struct Done {
    name: &'static str,
    blocks: Vec<Block>,
    findings: Vec<Finding>,
    workings: Vec<Working>,
}

pub(crate) fn run(path: &Path, step: Step, out: Option<&Path>, shown: Shown) -> Result<Verdict> {
    if matches!(step, Step::Power | Step::Drain) {
        let files = room_files(path)?;
        if 1 < files.len() {
            let rooms: Vec<Project> = files
                .iter()
                .map(|f| Project::open(f))
                .collect::<Result<_>>()?;
            return super::shared::run(&rooms, shown);
        }
    }
    let project = one_room(path)?;
    let placed = placed(&project)?;
    let units = project.units(shown);
    let done = done(&project, step, &placed, units)?;
    if let Some(folder) = out {
        for (name, drawing) in drawings(done.name, &done.blocks) {
            let path = folder.join(format!("{name}.svg"));
            files::write_whole(&path, sheet::svg::svg(drawing).as_bytes())?;
        }
    }
    let stops = done.findings.iter().any(|f| f.severity == Severity::Stop);
    if shown.json {
        out::json(&StepResult::new(
            &project.room.name.value,
            done.name,
            &placed,
            &done.blocks,
            &done.findings,
        ))?;
    } else {
        out::print(&out::blocks(done.blocks, units))?;
        if shown.working {
            out::print(&out::workings(&done.workings, units))?;
        }
    }
    Ok(Verdict::from_stops(stops))
}

/// The units of the room, chosen at a first look where none are there, in
/// their places.
pub(crate) fn placed(project: &Project) -> Result<Placement> {
    let set = unit_set(project)?;
    Ok(placement::place(&project.room, &project.catalog, &set)?)
}

/// The units of the room, or those chosen at a first look.
pub(super) fn unit_set(project: &Project) -> Result<UnitSet> {
    match present_set(&project.room) {
        Some(set) => Ok(set),
        None => chosen(project, &job::load::hourly(&project.room, Effort::Preview)?),
    }
}

/// The units chosen for a room at a first look.
pub(super) fn chosen(project: &Project, load: &Load) -> Result<UnitSet> {
    let watch = Watch::new();
    let catalog = &project.catalog;
    let selection = job::selection::choose(&project.room, load, catalog, Effort::Preview, &watch);
    watch.done();
    Ok(selection?.design_set())
}

fn done(project: &Project, step: Step, placed: &Placement, units: UnitSystem) -> Result<Done> {
    let (room, catalog) = (&project.room, &project.catalog);
    Ok(match step {
        Step::Place => Done {
            name: "placement",
            blocks: sheets::placement::blocks(room, catalog, placed, units),
            findings: placed.findings.clone(),
            workings: placed.workings.clone(),
        },
        Step::Hang => {
            let found = hanging::hang(room, catalog, placed)?;
            Done {
                name: "hanging",
                blocks: sheets::hanging::blocks(room, catalog, placed, &found, units),
                findings: found.findings,
                workings: found.workings,
            }
        }
        Step::Drain => {
            let found = drain::route(room, catalog, placed)?;
            Done {
                name: "drain",
                blocks: sheets::drain::blocks(room, catalog, placed, &found, units),
                findings: found.findings,
                workings: found.workings,
            }
        }
        Step::Power => {
            let found = power::feed(room, catalog, placed)?;
            let wired = control::wire(room, catalog, placed)?;
            Done {
                name: "power",
                blocks: sheets::power::blocks(room, catalog, placed, (&found, &wired), units),
                findings: found.findings,
                workings: found.workings,
            }
        }
        Step::Control => {
            let found = control::wire(room, catalog, placed)?;
            Done {
                name: "control",
                blocks: sheets::control::blocks(&found),
                findings: found.findings,
                workings: found.workings,
            }
        }
    })
}

/// The drawings of a step, each with the name of its file.
pub(super) fn drawings<'a>(
    step: &str,
    blocks: &'a [Block],
) -> impl Iterator<Item = (String, &'a Drawing)> {
    let all: Vec<&Drawing> = blocks
        .iter()
        .filter_map(|b| match b {
            Block::Figure { drawing, .. } => Some(drawing),
            _ => None,
        })
        .collect();
    let step = step.to_owned();
    all.into_iter()
        .enumerate()
        .map(move |(i, d)| (format!("{step}-{}", i + 1), d))
}
