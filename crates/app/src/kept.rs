//! A proof that was kept for the dossier of a room: which logs, and what a
//! person said of them. It lies beside the room file, the logs in `logs/`, so
//! that the job folder is whole when it is handed on.
//!
//! The proof itself is not kept: it is made again from the same logs and the
//! room as it is now, and says when the design changed since.

use std::io::Read as _;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use clap::ValueEnum;
use job::proof::Proof;
use job::{Effort, Progress};
use readings::Taken;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::cli::AsWritten;
use crate::commands::prove::proved;
use crate::files;
use crate::json;
use crate::project::Project;

/// Folder of the job in which logs lie.
const LOGS: &str = "logs";
/// Version of the file.
const SCHEMA: &str = "kept-proof/1";

/// What is written down of a proof.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Kept {
    schema: String,
    /// The design that was proved.
    design_id: String,
    logs: Vec<KeptLog>,
    /// As the options of `prove`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    dates: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    zone: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    delimiter: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    decimal: Option<String>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    columns: Vec<String>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    start: Vec<String>,
}

/// A log, and the hash of its bytes.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct KeptLog {
    file: String,
    sha256: String,
}

/// A kept proof, made again.
pub(crate) struct KeptProof {
    /// The design that it was kept for.
    pub(crate) design_id: String,
    /// Logs whose bytes are other than when it was kept.
    pub(crate) changed_logs: Vec<String>,
    /// Names of the logs.
    pub(crate) files: Vec<String>,
    pub(crate) proof: Proof,
    pub(crate) taken: Vec<Taken>,
}

fn file_of(project: &Project) -> PathBuf {
    project
        .folder()
        .join(format!("{}.proof.json", project.stem()))
}

/// Whether a proof that is kept in this folder, of any room, was made by the log
/// of this name. A kept proof that cannot be read may have been.
pub(crate) fn needs_log(folder: &Path, log: &str) -> bool {
    let entries = std::fs::read_dir(folder).into_iter().flatten();
    let files = entries.filter_map(Result::ok).map(|e| e.path());
    let mut kept = files.filter(|f| f.to_string_lossy().ends_with(".proof.json"));
    kept.any(|file| {
        let text = files::read_text(&file).unwrap_or_default();
        serde_json::from_str::<Kept>(&text)
            .map_or(true, |kept| kept.logs.iter().any(|l| l.file == log))
    })
}

/// Whether a proof is kept for the room.
pub(crate) fn is_kept(project: &Project) -> bool {
    file_of(project).is_file()
}

/// Keeps what was proved for the dossier: puts the logs into the job folder and
/// writes down how they were read. Gives the files written.
///
/// # Errors
/// Two logs of one name, a log of the same name and other bytes that is there
/// already, or a folder that cannot be written.
pub(crate) fn keep(
    project: &Project,
    (paths, as_written): (&[PathBuf], &AsWritten),
) -> Result<Vec<PathBuf>> {
    let folder = project.folder().join(LOGS);
    let kept = kept_of(project, (paths, as_written))?;
    let mut written = Vec::new();
    for (path, log) in paths.iter().zip(&kept.logs) {
        let there = folder.join(&log.file);
        if !there.exists() {
            let bytes = std::fs::read(path).with_context(|| path.display().to_string())?;
            files::write_whole(&there, &bytes)?;
            written.push(there);
        } else if sha256(&there)? != log.sha256 {
            bail!(
                "{} is there already with other readings: give {} another name to keep it",
                there.display(),
                path.display()
            );
        }
    }
    let path = file_of(project);
    files::write_whole(&path, format!("{}\n", json::text(&kept)?).as_bytes())?;
    written.push(path);
    Ok(written)
}

/// Whether what is kept of the room is this: the same design, logs and reading
/// of them.
pub(crate) fn is_this_kept(project: &Project, logs: (&[PathBuf], &AsWritten)) -> bool {
    let text = kept_of(project, logs).and_then(|kept| json::text(&kept));
    let there = files::read_text(&file_of(project));
    matches!((text, there), (Ok(text), Ok(there)) if there.trim_end() == text.trim_end())
}

/// What is written down of a proof by these logs.
fn kept_of(project: &Project, (paths, as_written): (&[PathBuf], &AsWritten)) -> Result<Kept> {
    let mut logs: Vec<KeptLog> = Vec::new();
    for path in paths {
        let name = path
            .file_name()
            .and_then(|n| n.to_str())
            .with_context(|| format!("{}: its name cannot be kept", path.display()))?;
        if logs.iter().any(|l| l.file == name) {
            bail!("two logs are named {name}: give one of them another name to keep them");
        }
        logs.push(KeptLog {
            file: name.to_owned(),
            sha256: sha256(path)?,
        });
    }
    Ok(Kept {
        schema: SCHEMA.into(),
        design_id: job::design_id(&project.inputs(&project.codes_in_play())),
        logs,
        dates: as_written.dates.and_then(word),
        zone: as_written.zone.clone(),
        delimiter: as_written.delimiter.clone(),
        decimal: as_written.decimal.and_then(word),
        columns: as_written.columns.clone(),
        start: as_written.start.clone(),
    })
}

/// The kept proof of a room, made again; `None` where none was kept.
///
/// # Errors
/// What was kept cannot be read, a log is gone, or the proof cannot be made.
pub(crate) fn made_again(project: &Project, watch: &dyn Progress) -> Result<Option<KeptProof>> {
    let path = file_of(project);
    if !path.exists() {
        return Ok(None);
    }
    let text = files::read_text(&path)?;
    let kept: Kept = serde_json::from_str(&text)
        .with_context(|| format!("{} is no kept proof that can be read", path.display()))?;
    if kept.schema != SCHEMA {
        bail!(
            "{} is of kind {:?}; this program knows {SCHEMA:?}",
            path.display(),
            kept.schema
        );
    }
    let folder = project.folder().join(LOGS);
    let mut changed_logs = Vec::new();
    let mut logs = Vec::new();
    for log in &kept.logs {
        // A name only: what is kept leads nowhere else.
        if Path::new(&log.file).file_name().and_then(|n| n.to_str()) != Some(&log.file) {
            bail!("{}: {:?} is no name of a log", path.display(), log.file);
        }
        let there = folder.join(&log.file);
        if sha256(&there)? != log.sha256 {
            changed_logs.push(log.file.clone());
        }
        logs.push(there);
    }
    let written = AsWritten {
        dates: kept
            .dates
            .as_deref()
            .map(|d| of_word("dates", d))
            .transpose()?,
        zone: kept.zone,
        delimiter: kept.delimiter,
        decimal: kept
            .decimal
            .as_deref()
            .map(|d| of_word("decimal", d))
            .transpose()?,
        columns: kept.columns,
        start: kept.start,
    };
    let (proof, taken) = proved(project, (&logs, &written), Effort::Draft, watch)?;
    Ok(Some(KeptProof {
        design_id: kept.design_id,
        changed_logs,
        files: kept.logs.into_iter().map(|l| l.file).collect(),
        proof,
        taken,
    }))
}

/// The word of an option's value.
fn word(value: impl ValueEnum) -> Option<String> {
    value.to_possible_value().map(|v| v.get_name().to_owned())
}

fn of_word<T: ValueEnum>(key: &str, word: &str) -> Result<T> {
    T::from_str(word, true).map_err(|_| anyhow::anyhow!("{key}: {word:?} is none of its words"))
}

fn sha256(path: &Path) -> Result<String> {
    let about = || format!("cannot read {}", path.display());
    let mut file = std::fs::File::open(path).with_context(about)?;
    let mut hash = Sha256::new();
    let mut buffer = vec![0; 1 << 20];
    loop {
        let n = file.read(&mut buffer).with_context(about)?;
        if n == 0 {
            break;
        }
        hash.update(&buffer[..n]);
    }
    Ok(hash.finalize().iter().map(|b| format!("{b:02x}")).collect())
}
