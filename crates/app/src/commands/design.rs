//! `drywright design`: dossier, drawings, numbers.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use job::{Design, Effort, Progress};
use quantity::UnitSystem;
use sheet::dossier::{Dossier, Kept, KeptChapter, Workings};
use sheet::sheets::proof::LogRead;

use crate::Verdict;
use crate::cli::{Paper, Shown};
use crate::files;
use crate::json;
use crate::kept;
use crate::out;
use crate::project::{Project, code_of, room_files};
use crate::results::DesignResult;
use crate::watch::Watch;

/// What the command line asks for.
pub(crate) struct Asked<'a> {
    pub(crate) path: &'a Path,
    pub(crate) out: Option<&'a Path>,
    pub(crate) paper: Option<Paper>,
    pub(crate) effort: Effort,
}

pub(crate) fn run(asked: &Asked<'_>, shown: Shown) -> Result<Verdict> {
    let files = room_files(asked.path)?;
    // All files are read before any is designed: a broken one costs no time.
    let projects: Vec<Project> = files
        .iter()
        .map(|f| Project::open(f))
        .collect::<Result<_>>()?;
    let several = 1 < projects.len();
    let mut results = Vec::new();
    let mut designed = Vec::new();
    let mut stops = false;
    for project in &projects {
        let mut folder = asked
            .out
            .map_or_else(|| project.folder().join("out"), Path::to_path_buf);
        if several {
            folder = folder.join(project.stem());
        }
        let (design, written) = one(project, &folder, asked, shown)?;
        stops |= design.stops();
        if shown.json {
            results.push(DesignResult::new(&project.room.name.value, &design));
        } else {
            out::print(&report(project, &design, &written, shown))?;
        }
        designed.push((project, design));
    }
    let designed: Vec<_> = designed.iter().map(|(p, d)| (*p, d)).collect();
    if let Some((first, _)) = designed.first() {
        let folder = asked
            .out
            .map_or_else(|| first.folder().join("out"), Path::to_path_buf);
        let paper = paper(asked.paper, first.units(shown));
        if let Some((written, shared)) = super::shared::write(&designed, &folder, paper, shown)? {
            stops |= super::shared::stops(&shared);
            if !shown.json {
                let written: Vec<String> = written
                    .iter()
                    .map(|f| format!("  {}", f.display()))
                    .collect();
                out::print(&format!(
                    "What the rooms share:\n\n{}\nWritten:\n{}\n",
                    out::findings(&shared.findings, first.units(shown)),
                    written.join("\n")
                ))?;
            }
        }
    }
    match &results[..] {
        [] => {}
        [one] => out::json(one)?,
        several => out::json(&several)?,
    }
    Ok(Verdict::from_stops(stops))
}

/// Designs one room and writes what belongs to it; gives the files written.
fn one(
    project: &Project,
    folder: &Path,
    asked: &Asked<'_>,
    shown: Shown,
) -> Result<(Design, Vec<PathBuf>)> {
    let watch = Watch::new();
    let units = project.units(shown);
    let inputs = project.inputs(&project.codes_in_play());
    let designed = job::design(
        &project.room,
        &project.catalog,
        &inputs,
        asked.effort,
        &watch,
    );
    let design = designed.inspect_err(|_| watch.done())?;
    let wanted = Wanted {
        units,
        paper: paper(asked.paper, units),
        workings: Workings::Appended,
    };
    let mut written = Vec::new();
    for (name, bytes) in outputs(project, &design, &wanted, &watch)? {
        let path = folder.join(name);
        files::write_whole(&path, &bytes)?;
        written.push(path);
    }
    watch.done();
    written.extend(keep_records(project)?);
    Ok((design, written))
}

/// How what a design makes shall be.
pub(crate) struct Wanted {
    /// Units of the reader.
    pub(crate) units: UnitSystem,
    /// Paper of the dossier.
    pub(crate) paper: sheet::Paper,
    /// Whether the dossier prints the workings.
    pub(crate) workings: Workings,
}

/// Everything that a design makes, by the name of its file.
pub(crate) fn outputs(
    project: &Project,
    design: &Design,
    wanted: &Wanted,
    watch: &dyn Progress,
) -> Result<Vec<(String, Vec<u8>)>> {
    let (room, units) = (&project.room, wanted.units);
    let kept = kept::made_again(project, watch).map_err(|e| format!("{e:#}"));
    let made = kept.as_ref().ok().and_then(Option::as_ref);
    let read = made.map_or_else(Vec::new, |k| {
        let both = k.files.iter().zip(&k.taken);
        both.map(|(file, taken)| LogRead { file, taken }).collect()
    });
    let proof = match (made, &kept) {
        (Some(k), _) => Some(Kept::Made(KeptChapter {
            proof: &k.proof,
            logs: &read,
            design_id: &k.design_id,
            changed_logs: &k.changed_logs,
        })),
        (None, Err(why)) => Some(Kept::NotMade(why)),
        (None, Ok(_)) => None,
    };
    let dossier = Dossier::with_proof(
        room,
        &project.catalog,
        design,
        proof,
        (units, wanted.workings),
    );
    let pdf = sheet::pdf::pdf(&dossier.report, wanted.paper)?;
    let numbers = json::text(&DesignResult::new(&room.name.value, design))?;
    let mut outputs = vec![
        ("dossier.pdf".to_owned(), pdf),
        (
            "numbers.json".to_owned(),
            format!("{numbers}\n").into_bytes(),
        ),
    ];
    for (name, drawing) in dossier.drawings() {
        outputs.push((format!("{name}.svg"), sheet::svg::svg(drawing).into_bytes()));
    }
    outputs.extend(handed_on(&dossier, design, units)?);
    Ok(outputs)
}

/// What is handed on to other programs: plans as DXF, the parts list as CSV.
fn handed_on(
    dossier: &Dossier,
    design: &Design,
    units: UnitSystem,
) -> Result<Vec<(String, Vec<u8>)>> {
    let mut outputs = Vec::new();
    let title = &dossier.report.meta;
    for (name, drawing, view) in dossier.plans() {
        let notes = [
            format!("{} / {}", title.job, title.room),
            format!("revision {}, {}", title.revision, title.date),
            format!("design {}", &design.id[..8]),
            sheet::shown::DEFER.to_owned(),
        ];
        let dxf = sheet::dxf::dxf(drawing, view, &notes)?;
        outputs.push((format!("{name}.dxf"), dxf.into_bytes()));
    }
    outputs.push(("parts.csv".to_owned(), parts(design, units)?));
    Ok(outputs)
}

/// The parts list; amounts in the reader's units and in SI.
fn parts(design: &Design, units: UnitSystem) -> Result<Vec<u8>> {
    let mut csv = csv::Writer::from_writer(Vec::new());
    csv.write_record([
        "step",
        "what",
        "size",
        "amount",
        "amount_si",
        "si_unit",
        "place",
    ])?;
    for part in design.parts() {
        csv.write_record([
            format!("{:?}", part.step).to_lowercase(),
            part.what.show(units),
            part.size.show(units),
            part.amount.show(units),
            format!("{}", part.amount.si),
            part.amount.dim.suffix().to_owned(),
            part.place.0.to_string(),
        ])?;
    }
    csv.into_inner().context("cannot finish the parts list")
}

/// Copies the machine files in play into the job folder, so that it is whole
/// when it is handed on. Files that are there stay as they are.
pub(super) fn keep_records(project: &Project) -> Result<Vec<PathBuf>> {
    let in_play = project.codes_in_play();
    let folder = project.folder().join("catalog");
    let mut written = Vec::new();
    for (name, text) in &project.machine_files {
        let code = code_of(name, text);
        let path = folder.join(format!("{code}.toml"));
        if in_play.contains(&code) && !path.exists() {
            files::write_whole(&path, text.as_bytes())?;
            written.push(path);
        }
    }
    Ok(written)
}

pub(crate) fn paper(asked: Option<Paper>, units: UnitSystem) -> sheet::Paper {
    match (asked, units) {
        (Some(Paper::A4), _) | (None, UnitSystem::Metric) => sheet::Paper::A4,
        (Some(Paper::Letter), _) | (None, UnitSystem::Us) => sheet::Paper::Letter,
    }
}

fn report(project: &Project, design: &Design, written: &[PathBuf], shown: Shown) -> String {
    let units = project.units(shown);
    let findings: Vec<_> = design.findings().into_iter().cloned().collect();
    let list: String = written
        .iter()
        .map(|p| format!("  {}\n", p.display()))
        .collect();
    format!(
        "{} (design {})\n\n{}\n{}\nWritten:\n{list}",
        project.room.name.value,
        &design.id[..8],
        super::select::text(&design.selection, units),
        out::findings(&findings, units),
    )
}
