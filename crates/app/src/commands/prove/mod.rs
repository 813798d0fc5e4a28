//! `drywright prove`: what the logs say that room and units did.

mod result;

use std::fs::File;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use fields::edit::{Change, changed};
use job::proof::{Log, MOST_STEPS, Proof, Proposal, STEP_S, prove};
use job::{Effort, Progress};
use quantity::Severity;
use readings::{Begin, ColumnChoice, DateOrder, Grid, Options, Taken, WallClock, Zone};
use sheet::families::Families;
use sheet::report::{Block, Level, Report};
use sheet::sheets::proof::{LogRead, blocks};
use sheet::{dossier, numbers};

use crate::Verdict;
use crate::cli::{AsWritten, Dates, Decimal, ProveArgs, Shown};
use crate::files;
use crate::json;
use crate::kept;
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
    let (proof, taken) = proved?;
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
    let (log, taken) = logs_read(logs, written, watch)?;
    let proof = prove(&project.room, &project.catalog, &log, effort, watch)?;
    Ok((proof, taken))
}

/// Reads logs onto one grid; what each was taken for comes along.
///
/// # Errors
/// An option that cannot be understood, a log that cannot be read, or the
/// watcher said stop.
pub(crate) fn logs_read(
    logs: &[PathBuf],
    written: &AsWritten,
    watch: &dyn Progress,
) -> Result<(Log, Vec<Taken>)> {
    let starts = starts(&written.start, logs)?;
    read_logs(logs, &options(written)?, &starts, watch)
}

fn options(args: &AsWritten) -> Result<Options> {
    let delimiter = match args.delimiter.as_deref() {
        None => None,
        Some("tab" | "\\t") => Some(b'\t'),
        Some(sign) => match sign.as_bytes() {
            [one] if one.is_ascii() => Some(*one),
            _ => bail!("--delimiter {sign:?} is not one sign and not \"tab\""),
        },
    };
    Ok(Options {
        delimiter,
        decimal: args.decimal.map(|d| match d {
            Decimal::Comma => b',',
            Decimal::Point => b'.',
        }),
        dates: args.dates.map(|d| match d {
            Dates::Dmy => DateOrder::Dmy,
            Dates::Mdy => DateOrder::Mdy,
            Dates::Ymd => DateOrder::Ymd,
        }),
        zone: args.zone.as_deref().map(Zone::read).transpose()?,
        columns: args
            .columns
            .iter()
            .map(|c| ColumnChoice::read(c))
            .collect::<Result<_, _>>()?,
        begin: None,
    })
}

/// When each log began that counts from its start, as was said.
fn starts(said: &[String], paths: &[PathBuf]) -> Result<Vec<Option<Begin>>> {
    let mut all = vec![None; paths.len()];
    for text in said {
        let Some((file, when)) = text.split_once('=') else {
            all.fill(Some(Begin::read(text)?));
            continue;
        };
        let is_of = |path: &PathBuf| {
            path == Path::new(file) || path.file_name().is_some_and(|name| name == file)
        };
        let Some(at) = paths.iter().position(is_of) else {
            bail!("--start {text:?} is of no log that is read here");
        };
        all[at] = Some(Begin::read(when)?);
    }
    Ok(all)
}

/// Reads all logs onto one grid.
fn read_logs(
    paths: &[PathBuf],
    options: &Options,
    starts: &[Option<Begin>],
    watch: &dyn Progress,
) -> Result<(Log, Vec<Taken>)> {
    let mut grid = Grid::new(STEP_S, MOST_STEPS);
    let mut all: Vec<Taken> = Vec::new();
    for (path, begin) in paths.iter().zip(starts) {
        let own = Options {
            begin: *begin,
            ..options.clone()
        };
        let taken = read_log(path, &options_for(&own, path, paths)?, &mut grid, watch)?;
        all.push(taken);
        grid.next_log();
    }
    let clock = clock(paths, &all)?;
    Ok((Log { grid, clock }, all))
}

/// With several logs a column that one of them lacks is no mistake, as long as
/// one has it.
fn options_for(options: &Options, path: &Path, paths: &[PathBuf]) -> Result<Options> {
    if paths.len() < 2 {
        return Ok(options.clone());
    }
    let mut own = options.clone();
    let mut kept = Vec::new();
    for choice in &options.columns {
        let alone = Options {
            columns: vec![choice.clone()],
            ..options.clone()
        };
        let mut nothing = Grid::new(STEP_S, 2);
        let mut source = open(path)?;
        let tried = readings::read(&mut source, &alone, &mut nothing, &mut |_| false);
        if !matches!(tried, Err(readings::Refusal::NoSuchColumn { .. })) {
            kept.push(choice.clone());
        }
    }
    own.columns = kept;
    Ok(own)
}

fn open(path: &Path) -> Result<File> {
    let shown = path.display();
    let file = File::open(path).with_context(|| format!("cannot read {shown}"))?;
    if file.metadata().is_ok_and(|m| m.is_dir()) {
        bail!("{shown} is a folder; a log is asked");
    }
    Ok(file)
}

fn read_log(
    path: &Path,
    options: &Options,
    grid: &mut Grid,
    watch: &dyn Progress,
) -> Result<Taken> {
    let mut file = open(path)?;
    let bytes = file.metadata().map_or(0, |m| m.len());
    let mut at = |read: u64| {
        let mega = |b: u64| (b / 1_000_000) as usize;
        watch.at("reading", mega(read), mega(bytes).max(1)).is_ok()
    };
    readings::read(&mut file, options, grid, &mut at)
        .map_err(|e| anyhow::anyhow!("{} {e}", path.display()))
}

/// One clock for all logs.
fn clock(paths: &[PathBuf], all: &[Taken]) -> Result<WallClock> {
    let mut clock = WallClock::Own;
    for (path, taken) in paths.iter().zip(all) {
        let name = path.display();
        match (&clock, &taken.clock) {
            (WallClock::Own, other) if path == &paths[0] => clock = other.clone(),
            (a, b) if a == b => {}
            (WallClock::Written(_), WallClock::Written(_)) => {}
            _ => bail!(
                "{name} tells its times in another way than {}: one has a zone or offsets, the other has none. Name the zone with --zone",
                paths[0].display()
            ),
        }
    }
    Ok(clock)
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
