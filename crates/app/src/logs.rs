//! Logs from files onto one grid; and why they are refused, with what to tell so
//! that they are not: the command line names its options, a page its fields.

use std::fs::File;
use std::path::{Path, PathBuf};

use anyhow::{Result, anyhow};
use job::proof::{Log, MOST_STEPS, Proof, STEP_S};
use job::{JobError, Progress};
use readings::{
    Ask, Begin, ClockChange, ColumnChoice, DateOrder, Grid, Options, Refusal, Role, Taken, Told,
    WallClock, Zone,
};
use room::Room;

use crate::cli::{AsWritten, Dates, Decimal};

/// Why logs were refused.
#[derive(Debug, thiserror::Error)]
#[error("{}{why}", .log.as_ref().map_or_else(String::new, |l| format!("{} ", l.display())))]
pub(crate) struct LogsRefused {
    /// The log, where it is about one.
    pub(crate) log: Option<PathBuf>,
    /// Why, said of that log.
    pub(crate) why: String,
    /// What to tell.
    pub(crate) asks: Vec<Ask>,
}

impl LogsRefused {
    fn of_log(log: &Path, why: impl ToString) -> Self {
        Self {
            log: Some(log.to_owned()),
            why: why.to_string(),
            asks: Vec::new(),
        }
    }

    /// Of what a person told.
    fn of_told(why: String, ask: Ask) -> Self {
        Self {
            log: None,
            why,
            asks: vec![ask],
        }
    }
}

impl From<Refusal> for LogsRefused {
    fn from(refusal: Refusal) -> Self {
        let why = match &refusal {
            Refusal::Io(error) => format!("{refusal}: {error}"),
            _ => refusal.to_string(),
        };
        Self {
            log: None,
            why,
            asks: refusal.asks(),
        }
    }
}

/// What keeps a proof from being made, as why its logs were refused where it is
/// that; where a column is to be told, the columns that were read stand there.
pub(crate) fn of_proof(error: JobError, taken: &[Taken]) -> anyhow::Error {
    match error {
        JobError::Log { reason, asks } => {
            let is_column = asks.iter().any(|a| a.told == Told::Column);
            let columns = is_column.then(|| columns_read(taken));
            LogsRefused {
                log: None,
                why: [Some(reason), columns.flatten()]
                    .into_iter()
                    .flatten()
                    .collect::<Vec<_>>()
                    .join("; "),
                asks,
            }
            .into()
        }
        other => other.into(),
    }
}

/// Columns that are listed at most.
const COLUMNS_LISTED: usize = 30;

/// What each column of the logs was taken for, in words; `None` without any.
fn columns_read(taken: &[Taken]) -> Option<String> {
    let columns = taken.iter().flat_map(|t| {
        let columns = t.layout.columns.iter();
        let of_columns = columns.map(|c| (&c.head, c.role));
        // Sensors that rows name.
        let named = t
            .channels
            .iter()
            .filter(|c| !t.layout.columns.iter().any(|column| column.head == c.name));
        let of_names = named.map(|c| (&c.name, Role::Reading(c.measure)));
        let unused = t.unused.iter().map(|(name, _)| (name, Role::Ignored));
        of_columns.chain(of_names).chain(unused)
    });
    let words: Vec<String> = columns
        .take(COLUMNS_LISTED)
        .map(|(head, role)| match role {
            Role::Ignored => format!("{head:?} is not used"),
            role => format!("{head:?} is {}", role.word()),
        })
        .collect();
    (!words.is_empty()).then(|| format!("of the columns read {}", words.join(", ")))
}

/// Why a file is no table, whatever a person told of it; `None` where it is one,
/// or may be: judging by it says then what it lacks.
pub(crate) fn no_log(bytes: &[u8]) -> Option<String> {
    let mut nothing = Grid::new(STEP_S, 2);
    let mut source = std::io::Cursor::new(bytes);
    let read = readings::read(&mut source, &Options::default(), &mut nothing, &mut |_| {
        false
    });
    match read.err()? {
        refusal @ (Refusal::Empty | Refusal::Binary) => Some(refusal.to_string()),
        // Times may stand in a way that is to be told, where there are numbers.
        refusal @ Refusal::NoTimes { .. } => {
            let lines = || bytes.split(|b| *b == b'\n').filter(|l| !l.is_empty());
            let numbered = lines().filter(|l| l.iter().any(u8::is_ascii_digit));
            (2 * numbered.count() < lines().count()).then(|| refusal.to_string())
        }
        _ => None,
    }
}

/// Tags that units of a room may have in its logs: those that stand there, else
/// those that the proof gives to the ones it takes for them.
pub(crate) fn tags(room: &Room) -> Vec<String> {
    if room.units.is_empty() {
        (1..=room.selection.max_count.value)
            .map(|n| format!("D{n}"))
            .collect()
    } else {
        room.units.iter().map(|u| u.tag.value.clone()).collect()
    }
}

/// The option of the command line that tells it, with what would do.
pub(crate) fn option(ask: &Ask) -> String {
    let name = match ask.told {
        Told::Delimiter => "--delimiter",
        Told::Decimal => "--decimal",
        Told::Dates => "--dates",
        Told::Zone => "--zone",
        Told::Column => "--column",
        Told::Start => "--start",
    };
    let is_plain = |c: char| c.is_ascii_alphanumeric() || "-/:".contains(c);
    let typed = ask.such_as.iter().map(|answer| match answer {
        answer if answer.chars().all(is_plain) => answer.clone(),
        answer => format!("\"{answer}\""),
    });
    match either(typed.collect()) {
        answers if answers.is_empty() => name.to_owned(),
        answers => format!("{name} {answers}"),
    }
}

/// One of several, in words.
pub(crate) fn either(mut all: Vec<String>) -> String {
    match all.pop() {
        Some(last) if !all.is_empty() => format!("{} or {last}", all.join(", ")),
        last => last.unwrap_or_default(),
    }
}

/// Why logs were refused, as the command line says it; other errors as they are.
pub(crate) fn by_options(error: anyhow::Error) -> anyhow::Error {
    match error.downcast_ref::<LogsRefused>() {
        Some(refused) if !refused.asks.is_empty() => {
            let options: Vec<String> = refused.asks.iter().map(option).collect();
            anyhow!("{refused}; tell it with {}", options.join(" and "))
        }
        _ => error,
    }
}

/// Whether what was found asks for the zone of the logs' clock.
pub(crate) fn asks_zone(proof: &Proof, taken: &[Taken]) -> bool {
    let mut changes = taken.iter().flat_map(|t| &t.changes);
    changes.any(|c| matches!(c, ClockChange::SetBack { .. }))
        || proof.findings.iter().any(|f| f.check == "lights_differ")
}

/// Reads logs onto one grid; what each was taken for comes along.
///
/// - `tags`: those of the units that the logs may name
///
/// # Errors
/// Something told that cannot be understood, a log that cannot be read, or the
/// watcher said stop.
pub(crate) fn logs_read(
    logs: &[PathBuf],
    written: &AsWritten,
    tags: &[String],
    watch: &dyn Progress,
) -> Result<(Log, Vec<Taken>), LogsRefused> {
    let starts = starts(&written.start, logs)?;
    let options = Options {
        tags: tags.to_vec(),
        ..options(written)?
    };
    let mut grid = Grid::new(STEP_S, MOST_STEPS);
    let mut all: Vec<Taken> = Vec::new();
    for (path, begin) in logs.iter().zip(starts) {
        let own = Options {
            begin,
            ..options.clone()
        };
        let taken = read_log(path, &options_for(&own, path, logs)?, &mut grid, watch)?;
        all.push(taken);
        grid.next_log();
    }
    let clock = clock(logs, &all)?;
    Ok((Log { grid, clock }, all))
}

fn options(args: &AsWritten) -> Result<Options, LogsRefused> {
    let delimiter = match args.delimiter.as_deref() {
        None => None,
        Some("tab" | "\\t") => Some(b'\t'),
        Some(sign) => match sign.as_bytes() {
            [one] if one.is_ascii() => Some(*one),
            _ => {
                return Err(LogsRefused::of_told(
                    format!("{sign:?} is not one sign and not \"tab\""),
                    Ask::new(Told::Delimiter, [",", ";", "tab"]),
                ));
            }
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
        tags: Vec::new(),
    })
}

/// When each log began that counts from its start, as was said.
fn starts(said: &[String], paths: &[PathBuf]) -> Result<Vec<Option<Begin>>, LogsRefused> {
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
            return Err(LogsRefused::of_told(
                format!("{text:?} is the start of no log that is read here"),
                Ask::new(Told::Start, [format!("FILE={when}")]),
            ));
        };
        all[at] = Some(Begin::read(when)?);
    }
    Ok(all)
}

/// With several logs a column that one of them lacks is no mistake, as long as
/// one has it.
fn options_for(options: &Options, path: &Path, paths: &[PathBuf]) -> Result<Options, LogsRefused> {
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
        if !matches!(tried, Err(Refusal::NoSuchColumn { .. })) {
            kept.push(choice.clone());
        }
    }
    own.columns = kept;
    Ok(own)
}

fn open(path: &Path) -> Result<File, LogsRefused> {
    let file =
        File::open(path).map_err(|e| LogsRefused::of_log(path, format!("cannot be read: {e}")))?;
    if file.metadata().is_ok_and(|m| m.is_dir()) {
        return Err(LogsRefused::of_log(path, "is a folder; a log is asked"));
    }
    Ok(file)
}

fn read_log(
    path: &Path,
    options: &Options,
    grid: &mut Grid,
    watch: &dyn Progress,
) -> Result<Taken, LogsRefused> {
    let mut file = open(path)?;
    let bytes = file.metadata().map_or(0, |m| m.len());
    let mut at = |read: u64| {
        let mega = |b: u64| (b / 1_000_000) as usize;
        watch.at("reading", mega(read), mega(bytes).max(1)).is_ok()
    };
    readings::read(&mut file, options, grid, &mut at).map_err(|refusal| LogsRefused {
        log: Some(path.to_owned()),
        ..refusal.into()
    })
}

/// One clock for all logs.
fn clock(paths: &[PathBuf], all: &[Taken]) -> Result<WallClock, LogsRefused> {
    let mut clock = WallClock::Own;
    for (path, taken) in paths.iter().zip(all) {
        match (&clock, &taken.clock) {
            (WallClock::Own, other) if path == &paths[0] => clock = other.clone(),
            (a, b) if a == b => {}
            (WallClock::Written(_), WallClock::Written(_)) => {}
            _ => {
                return Err(LogsRefused {
                    asks: vec![Ask::new(Told::Zone, Zone::SUCH_AS)],
                    ..LogsRefused::of_log(
                        path,
                        "tells its times in another way than the first log: one has a zone or offsets, the other has none",
                    )
                });
            }
        }
    }
    Ok(clock)
}

#[cfg(test)]
pub(crate) mod tests {
    use std::collections::BTreeSet;

    use clap::CommandFactory as _;

    use super::*;
    use job::Silent;

    /// Which kind it is; a new kind is given a log here that has it.
    fn kind(refusal: &Refusal) -> usize {
        match refusal {
            Refusal::Io(_) => 0,
            Refusal::Empty => 1,
            Refusal::Binary => 2,
            Refusal::NoTimes { .. } => 3,
            Refusal::NoClock { .. } => 4,
            Refusal::NoReadings { .. } => 5,
            Refusal::CellsDoNotFit { .. } => 6,
            Refusal::DatesOpen { .. } => 7,
            Refusal::DecimalOpen { .. } => 8,
            Refusal::DecimalBoth => 9,
            Refusal::UnitOpen { .. } => 10,
            Refusal::NoSuchColumn { .. } => 11,
            Refusal::BeginOpen { .. } => 12,
            Refusal::ElapsedUnitOpen { .. } => 13,
            Refusal::BeginNotAsked => 14,
            Refusal::Choice { .. } => 15,
            Refusal::NoRows { .. } => 16,
            Refusal::Stopped => 17,
            Refusal::CountOpen { .. } => 18,
            Refusal::TagOpen { .. } => 19,
        }
    }
    const KINDS: usize = 20;

    const DATED: &str =
        "Time,Temp (°C),RH (%)\n2025-03-01 07:00,22.5,60\n2025-03-01 07:05,22.5,60\n";
    const COUNTED: &str = "Time (h),Temp (°C),RH (%)\n0,24.5,60\n1,25.0,58\n";

    fn told(set: impl FnOnce(&mut AsWritten)) -> AsWritten {
        let mut written = AsWritten::default();
        set(&mut written);
        written
    }

    /// Logs, and what is told of them, that are refused.
    fn refused() -> Vec<(&'static str, AsWritten)> {
        let plain = |text| (text, AsWritten::default());
        let column = |what: &str| (DATED, told(|w| w.columns = vec![what.into()]));
        let start = |text, when: &str| (text, told(|w| w.start = vec![when.into()]));
        vec![
            plain(" \n"),
            plain("Time\0"),
            plain("Dear all,\nthe log follows.\n"),
            plain("Date,Temp (°C),RH (%)\n2025-03-01,22,60\n2025-03-02,22,60\n"),
            plain("Time,Mood\n2025-03-01 07:00,good\n2025-03-01 07:05,good\n"),
            plain(
                "Time,Temp (°C),RH (%)\n2025-03-01 07:00,22,5,60,1\n2025-03-01 07:05,22,5,60,1\n",
            ),
            plain("Time,Temp (°C),RH (%)\n01/03/2025 07:00,22,60\n01/03/2025 07:05,22,60\n"),
            plain("Time;CO2 (ppm)\n2025-03-01 07:00;1,234\n2025-03-01 07:05;1,345\n"),
            plain(
                "Time;Temp (°C);RH (%)\n2025-03-01 07:00;22,5;60.5\n2025-03-01 07:05;22,5;60.5\n",
            ),
            plain("Time,Temp,RH (%)\n2025-03-01 07:00,45,60\n2025-03-01 07:05,45,60\n"),
            plain("Time,Temp (°C),Condensate (L)\n2025-03-01 07:00,22,1\n2025-03-01 07:05,22,2\n"),
            plain(
                "Time,Temp (°C),RH (%),D1\n2025-03-01 07:00,22,60,0.1\n2025-03-01 07:05,22,60,1.1\n",
            ),
            plain(COUNTED),
            plain("Time,Temp (°C),RH (%)\n0,24.5,60\n300,25.0,58\n"),
            start(DATED, "2026-03-01 06:00"),
            start(DATED, "03/01/2026 06:00"),
            start(DATED, "b.csv=2026-03-01 06:00"),
            (
                COUNTED,
                told(|w| {
                    w.start = vec!["2026-03-08 02:30".into()];
                    w.zone = Some("America/Denver".into());
                }),
            ),
            (DATED, told(|w| w.zone = Some("Mars/Base".into()))),
            (DATED, told(|w| w.delimiter = Some("::".into()))),
            column("x=rh"),
            column("warm"),
            column("Temp (°C)=vpd °C"),
            plain("Time,Temp (°C),RH (%)\n2025-02-30 07:00,22,60\n2025-02-31 07:05,22,60\n"),
        ]
    }

    /// Every way in which logs are refused.
    pub(crate) fn every_refusal() -> Vec<LogsRefused> {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.csv");
        let mut all: Vec<LogsRefused> = vec![
            Refusal::Io(std::io::Error::other("gone")).into(),
            Refusal::Stopped.into(),
        ];
        let mut kinds = BTreeSet::from([0, 17]);
        for (text, written) in refused() {
            std::fs::write(&path, text).unwrap();
            let logs = [path.clone()];
            let tags = ["D1".to_owned()];
            let refused = logs_read(&logs, &written, &tags, &Silent).map(|_| text);
            all.push(refused.unwrap_err());
            if let Ok(options) = options(&written) {
                let begin = starts(&written.start, &logs).ok().and_then(|s| s[0]);
                let options = Options {
                    begin,
                    tags: tags.to_vec(),
                    ..options
                };
                let mut grid = Grid::new(STEP_S, 1 << 10);
                let mut source = std::io::Cursor::new(text);
                let read = readings::read(&mut source, &options, &mut grid, &mut |_| true);
                kinds.extend(read.err().map(|r| kind(&r)));
            }
        }
        assert_eq!(kinds.len(), KINDS, "{kinds:?}");
        // Two logs, of which one tells its times in a zone.
        let second = folder.path().join("b.csv");
        std::fs::write(&path, DATED).unwrap();
        std::fs::write(
            &second,
            DATED.replace(":00,", ":00Z,").replace(":05,", ":05Z,"),
        )
        .unwrap();
        let both = logs_read(&[path, second], &AsWritten::default(), &[], &Silent);
        all.push(both.map(|_| "both").unwrap_err());
        all.push(
            logs_read(&[folder.path().into()], &AsWritten::default(), &[], &Silent)
                .map(|_| "")
                .unwrap_err(),
        );
        let without = JobError::Log {
            reason: "the logs have no dry bulb of the room".into(),
            asks: vec![Ask::new(Told::Column, ["NAME=dry bulb °C"])],
        };
        all.push(of_proof(without, &[]).downcast().unwrap());
        all
    }

    /// The words are of no surface; the command line adds its options where
    /// telling something helps.
    #[test]
    fn every_refusal_names_the_option_that_helps() {
        let mut told = Vec::new();
        for refused in every_refusal() {
            let (words, asks) = (refused.to_string(), refused.asks.clone());
            assert!(!words.contains("--"), "{words}");
            let said = by_options(refused.into()).to_string();
            assert!(said.starts_with(&words), "{said}");
            assert_eq!(said.contains(" --"), !asks.is_empty(), "{said}");
            for ask in asks {
                assert!(said.contains(&option(&ask)), "{said}");
                told.push(ask.told);
            }
        }
        assert!(Told::ALL.iter().all(|t| told.contains(t)), "{told:?}");
    }

    /// What is missing is looked for among the columns that were read.
    #[test]
    fn a_log_without_humidity_lists_its_columns() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.csv");
        let text = "Time,T1 (°C),Wilga [x]\n2025-03-01 07:00,22.5,60\n2025-03-01 07:05,22.5,60\n";
        std::fs::write(&path, text).unwrap();
        let (_, taken) = logs_read(&[path], &AsWritten::default(), &[], &Silent).unwrap();
        let without = JobError::Log {
            reason: "the logs have no humidity of the room".into(),
            asks: vec![Ask::new(Told::Column, ["NAME=rh %"])],
        };
        let said = by_options(of_proof(without, &taken)).to_string();
        assert_eq!(
            said,
            "the logs have no humidity of the room; of the columns read \"Time\" is time, \"T1 (°C)\" is dry bulb, \"Wilga [x]\" is not used; tell it with --column \"NAME=rh %\""
        );
    }

    #[test]
    fn every_answer_has_its_option() {
        let cli = crate::cli::Cli::command();
        for verb in ["prove", "fault"] {
            let command = cli.find_subcommand(verb).unwrap();
            for told in Told::ALL {
                let name = option(&Ask::new(told, [""; 0]));
                let mut names = command.get_arguments().filter_map(clap::Arg::get_long);
                assert!(names.any(|n| name == format!("--{n}")), "{verb} {name}");
            }
        }
        let ask = Ask::new(Told::Zone, Zone::SUCH_AS);
        assert_eq!(option(&ask), "--zone America/Denver, UTC or -07:00");
        let ask = Ask::new(Told::Column, ["NAME=rh %"]);
        assert_eq!(option(&ask), "--column \"NAME=rh %\"");
    }
}
