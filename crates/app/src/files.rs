//! Reading and writing files: refused with a reason, or whole; never half.

use std::io::Write;
use std::path::Path;

use anyhow::{Context, Result, bail};

/// Reads a text file that a person edits.
///
/// # Errors
/// Missing, a folder, unreadable, larger than [`fields::MAX_BYTES`], not text.
pub(crate) fn read_text(path: &Path) -> Result<String> {
    let shown = path.display();
    let meta = std::fs::metadata(path).with_context(|| format!("cannot read {shown}"))?;
    if meta.is_dir() {
        bail!("{shown} is a folder; a file is asked");
    }
    // Asked before reading, so that a huge file costs nothing.
    if meta.len() > fields::MAX_BYTES as u64 {
        bail!(
            "{shown} is {:.1} MB; a file of at most {} MB is read",
            meta.len() as f64 / 1e6,
            fields::MAX_BYTES / 1_000_000
        );
    }
    let bytes = std::fs::read(path).with_context(|| format!("cannot read {shown}"))?;
    fields::decode(&shown.to_string(), &bytes).map_err(|p| crate::project::refused(&p))
}

/// Writes a file whole or not at all: a temporary file beside it, synced, then renamed.
///
/// # Errors
/// The folder is missing or not writable, or the disk is full; an older file of that name stays as it was.
pub(crate) fn write_whole(path: &Path, bytes: &[u8]) -> Result<()> {
    let shown = path.display();
    let folder = match path.parent() {
        Some(p) if !p.as_os_str().is_empty() => p,
        _ => Path::new("."),
    };
    std::fs::create_dir_all(folder)
        .with_context(|| format!("cannot make the folder {}", folder.display()))?;
    let write = || -> std::io::Result<()> {
        let mut file = tempfile::NamedTempFile::new_in(folder)?;
        file.write_all(bytes)?;
        file.as_file().sync_all()?;
        make_readable(file.as_file())?;
        file.persist(path).map_err(|e| e.error)?;
        Ok(())
    };
    write().with_context(|| format!("cannot write {shown}; what was there before is unchanged"))
}

/// A temporary file is private to its maker; a result is for others to read.
#[cfg(unix)]
fn make_readable(file: &std::fs::File) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(std::fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn make_readable(_file: &std::fs::File) -> std::io::Result<()> {
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = std::fs::read_dir(folder)
            .expect("a folder")
            .map(|e| {
                e.expect("an entry")
                    .file_name()
                    .to_string_lossy()
                    .into_owned()
            })
            .collect();
        names.sort();
        names
    }

    #[test]
    fn an_older_file_is_replaced_whole() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("deep/er/a.txt");
        write_whole(&path, b"one, and long").expect("written");
        write_whole(&path, b"two").expect("written");
        assert_eq!(read_text(&path).expect("readable"), "two");
        assert_eq!(names(path.parent().expect("a folder")), ["a.txt"]);
    }

    #[test]
    fn what_cannot_be_put_in_place_leaves_all_as_it_was() {
        let folder = tempfile::tempdir().expect("a folder");
        // A folder of that name with something in it cannot be replaced.
        let path = folder.path().join("a.txt");
        std::fs::create_dir(&path).expect("made");
        std::fs::write(path.join("mine"), "kept").expect("written");
        let message = format!("{:#}", write_whole(&path, b"new").expect_err("refused"));
        assert!(
            message.contains("a.txt") && message.contains("unchanged"),
            "{message}"
        );
        assert_eq!(names(folder.path()), ["a.txt"]);
        assert_eq!(names(&path), ["mine"]);

        let below_a_file = path.join("mine/out/b.txt");
        let message = format!(
            "{:#}",
            write_whole(&below_a_file, b"new").expect_err("refused")
        );
        assert!(message.contains("cannot make the folder"), "{message}");
        assert_eq!(read_text(&path.join("mine")).expect("readable"), "kept");
    }
}
