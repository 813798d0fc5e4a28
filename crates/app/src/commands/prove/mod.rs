//! `drywright prove`: what the logs say that room and units did.

mod result;

use std::path::{Path, PathBuf};

use anyhow::Result;
use fields::edit::{Change, changed};
use job::proof::{Proof, Proposal, prove};
use job::{Effort, Progress};
use quantity::Severity;
use readings::{Ask, Taken, Told, Zone};
use sheet::families::Families;
use sheet::report::{Block, Level, Report};
use sheet::sheets::proof::{LogRead, blocks};
use sheet::{dossier, numbers};

use crate::Verdict;
use crate::cli::{AsWritten, ProveArgs, Shown};
use crate::files;
use crate::json;
use crate::kept;
use crate::logs::{asks_zone, by_options, logs_read, of_proof, option, tags};
use crate::out;
use crate::project::{Project, one_room};
use crate::watch::Watch;

pub(crate) use result::ProofResult;

pub(crate) fn run(args: &ProveArgs, shown: Shown) -> Result<Verdict> {
    let project = one_room(&args.room)?;
    let watch = Watch::new();
    let effort = if args.thorough {
        Effort::Full
    } else {
        Effort::Draft
    };
    let proved = proved(&project, (&args.logs, &args.written), effort, &watch);
    watch.done();
    let (proof, taken) = proved.map_err(by_options)?;
    let names: Vec<String> = args.logs.iter().map(|p| p.display().to_string()).collect();
    let logs: Vec<LogRead<'_>> = names
        .iter()
        .zip(&taken)
        .map(|(file, taken)| LogRead { file, taken })
        .collect();
    let units = project.units(shown);
    let result = ProofResult::new(&project.room.name.value, &proof, &logs);
    let all = blocks(&project.room, &proof, &logs, units);
    let mut written = Vec::new();
    if let Some(folder) = &args.out {
        let mut meta = dossier::title_of_site(&project.room.site, units);
        meta.room.clone_from(&project.room.name.value);
        meta.sheet_prefix = numbers::PROOF.into();
        meta.design_id = job::design_id(&project.inputs(&project.codes_in_play()));
        let mut report = Report::new(meta);
        report.blocks.clone_from(&all);
        let workings = Families::new(&[("Proof from logs", &proof.workings)]);
        report.blocks.extend([
            Block::Heading(Level::One, "Workings".into()),
            Block::Families(workings.all),
        ]);
        let paper = super::design::paper(args.paper, units);
        let pdf = folder.join("proof.pdf");
        files::write_whole(&pdf, &sheet::pdf::pdf(&report, paper)?)?;
        let numbers = folder.join("proof.json");
        files::write_whole(&numbers, format!("{}\n", json::text(&result)?).as_bytes())?;
        written.extend([pdf, numbers]);
        if !proof.proposals.is_empty() {
            let path = folder.join(format!("{}.as-found.room.toml", project.stem()));
            let text = as_found(&project, &proof.proposals, &names)?;
            files::write_whole(&path, text.as_bytes())?;
            written.push(path);
        }
    }
    if args.keep {
        written.extend(kept::keep(&project, (&args.logs, &args.written))?);
    }
    if shown.json {
        out::json(&result)?;
    } else {
        out::print(&out::blocks(all, units))?;
        if asks_zone(&proof, &taken) {
            let told = option(&Ask::new(Told::Zone, Zone::SUCH_AS));
            out::print(&format!(
                "\nThe zone of a log's clock is told with {told}.\n"
            ))?;
        }
        if shown.working {
            out::print(&out::workings(&proof.workings, units))?;
        }
        if !written.is_empty() {
            let list: Vec<String> = written
                .iter()
                .map(|f| format!("  {}", f.display()))
                .collect();
            out::print(&format!("\nWritten:\n{}\n", list.join("\n")))?;
        }
    }
    Ok(Verdict::from_stops(
        proof.findings.iter().any(|f| f.severity == Severity::Stop),
    ))
}

/// Reads the logs and judges the room by them; what each log was taken for
/// comes along.
///
/// # Errors
/// An option that cannot be understood, a log that cannot be read, a room that
/// cannot be run, or the watcher said stop.
pub(crate) fn proved(
    project: &Project,
    (logs, written): (&[PathBuf], &AsWritten),
    effort: Effort,
    watch: &dyn Progress,
) -> Result<(Proof, Vec<Taken>)> {
    let (log, taken) = logs_read(logs, written, &tags(&project.room), watch)?;
    let proof = prove(&project.room, &project.catalog, &log, effort, watch)
        .map_err(|e| of_proof(e, &taken))?;
    Ok((proof, taken))
}

/// The room file with what was found, and what stood there before.
fn as_found(project: &Project, proposals: &[Proposal], logs: &[String]) -> Result<String> {
    let changes: Vec<Change> = proposals
        .iter()
        .map(|p| Change::Set {
            section: p.section.into(),
            nth: p.nth,
            key: p.key.into(),
            typed: p.typed.clone(),
        })
        .collect();
    let text = project.inputs(&[]).room;
    let changed = changed(&room::ROOM_FORMAT, &text, &changes)?;
    let names: Vec<&str> = logs
        .iter()
        .map(|l| {
            Path::new(l)
                .file_name()
                .and_then(|n| n.to_str())
                .unwrap_or(l)
        })
        .collect();
    let mut head = format!(
        "# Proposed from the logs {}. As found, beside as surveyed:\n",
        names.join(", ")
    );
    for p in proposals {
        let cut = p.cut.map_or_else(String::new, |cut| {
            let found = p.in_file(cut.found);
            format!("; {}, the log gives {found}", cut.words(p.unit))
        });
        head += &format!(
            "#   [{}] {} = \"{}\"  (as surveyed or assumed: {}{cut}): {}\n",
            p.section, p.key, p.typed, p.before, p.what
        );
    }
    Ok(format!("{head}{changed}"))
}
