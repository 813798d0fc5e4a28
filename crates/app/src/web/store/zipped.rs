//! A job as one zip file, and a zip file as a job. Entries are walked one by
//! one: nothing an archive says of itself is trusted.

use std::io::{Cursor, Read, Write};
use std::path::Path;

use anyhow::{Context, bail};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use super::super::refused::Refused;
use super::job::JobFolder;
use super::jobs::Jobs;
use super::name::Name;
use crate::files;

/// Largest zip that is opened \[bytes\].
pub(crate) const LARGEST: usize = 100 * 1024 * 1024;
/// Most entries, most bytes of one and of all.
const ENTRIES: usize = 2_000;
const ONE: u64 = 50 * 1024 * 1024;
const ALL: u64 = 200 * 1024 * 1024;

impl JobFolder {
    /// The whole job as a zip: texts, machines, what was made. Links are left
    /// out, and what begins with a dot.
    pub(crate) fn zipped(&self) -> Result<Vec<u8>, Refused> {
        let made = || -> anyhow::Result<Vec<u8>> {
            let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
            add(&mut zip, self.path(), "", 0)?;
            Ok(zip.finish()?.into_inner())
        };
        made().map_err(Refused::Disk)
    }
}

fn add(
    zip: &mut ZipWriter<Cursor<Vec<u8>>>,
    folder: &Path,
    inside: &str,
    depth: usize,
) -> anyhow::Result<()> {
    const DEEPEST: usize = 6;
    let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    let mut entries: Vec<_> = std::fs::read_dir(folder)?.filter_map(Result::ok).collect();
    entries.sort_by_key(std::fs::DirEntry::file_name);
    for entry in entries {
        let name = entry.file_name().to_string_lossy().into_owned();
        if name.starts_with('.') {
            continue;
        }
        let kind = entry.file_type()?;
        let path = format!("{inside}{name}");
        if kind.is_dir() && depth < DEEPEST {
            add(zip, &entry.path(), &format!("{path}/"), depth + 1)?;
        } else if kind.is_file() {
            zip.start_file(path, options)?;
            zip.write_all(&std::fs::read(entry.path())?)?;
        }
    }
    Ok(())
}

impl Jobs {
    /// Opens a zip as a job of this name.
    pub(crate) fn open_zip(&self, name: &Name, bytes: Vec<u8>) -> Result<(), Refused> {
        let folder = self.free(name)?;
        let aside = tempfile::Builder::new()
            .prefix(".new-")
            .tempdir_in(self.root())
            .map_err(|e| Refused::Disk(e.into()))?;
        unpack(bytes, aside.path()).map_err(|e| Refused::BadRequest(format!("{e:#}")))?;
        if !JobFolder::at(name.clone(), aside.path().to_path_buf()).is_job() {
            return Err(Refused::BadRequest(
                "This zip holds no job: no site.toml and no NAME.room.toml at its top.".into(),
            ));
        }
        let aside = aside.keep();
        std::fs::rename(&aside, &folder).map_err(|e| Refused::Disk(e.into()))
    }
}

/// Puts the files of a zip into an empty folder, or nothing that lies outside.
fn unpack(bytes: Vec<u8>, into: &Path) -> anyhow::Result<()> {
    let mut zip =
        ZipArchive::new(Cursor::new(bytes)).context("this is no zip file that can be read")?;
    if ENTRIES < zip.len() {
        bail!(
            "the zip has {} entries; at most {ENTRIES} are taken",
            zip.len()
        );
    }
    let mut seen: Vec<String> = Vec::new();
    let mut left = ALL;
    for i in 0..zip.len() {
        let entry = zip.by_index(i).context("the zip is damaged")?;
        let name = entry.name().context("the zip is damaged")?.into_owned();
        if entry.is_dir() {
            continue;
        }
        let is_link = entry
            .unix_mode()
            .is_some_and(|mode| mode & 0o170_000 == 0o120_000);
        if is_link {
            bail!(
                "\"{}\" is a link; links are not taken",
                name.escape_default()
            );
        }
        let parts: Vec<&str> = name.split('/').collect();
        if parts.len() > 6
            || parts
                .iter()
                .any(|p| Name::new(p).map_or(true, |name| name.as_str() != *p))
        {
            bail!(
                "\"{}\" cannot be the name of a file of a job",
                name.escape_default()
            );
        }
        let folded = name.to_lowercase();
        if seen.contains(&folded) {
            bail!("\"{name}\" is in the zip twice, capitals aside");
        }
        seen.push(folded);
        // Counted while it is read: what the entry says of its size may be a lie.
        let most = ONE.min(left);
        let mut content = Vec::new();
        entry
            .take(most + 1)
            .read_to_end(&mut content)
            .with_context(|| format!("\"{name}\" is damaged"))?;
        if most < content.len() as u64 {
            bail!("\"{name}\" is too large, or all files together are");
        }
        left -= content.len() as u64;
        files::write_whole(&into.join(&name), &content)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn zip(entries: &[(&str, &[u8])]) -> Vec<u8> {
        let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
        for (name, content) in entries {
            zip.start_file(*name, SimpleFileOptions::default()).unwrap();
            zip.write_all(content).unwrap();
        }
        zip.finish().unwrap().into_inner()
    }

    fn refused(bytes: Vec<u8>) -> String {
        let outer = tempfile::tempdir().unwrap();
        let inner = outer.path().join("in");
        std::fs::create_dir(&inner).unwrap();
        let words = format!("{:#}", unpack(bytes, &inner).expect_err("refused"));
        // Nothing beside the folder was written.
        assert_eq!(std::fs::read_dir(outer.path()).unwrap().count(), 1);
        words
    }

    #[test]
    fn names_that_lead_elsewhere_are_refused() {
        for name in [
            "../a",
            "/a",
            "a/../b",
            "C:\\a",
            "a\\..\\b",
            "CON",
            "a/NUL.toml",
            ".a",
            "a.",
            "a//b",
            "a/b/c/d/e/f/g",
        ] {
            let words = refused(zip(&[(name, b"x")]));
            assert!(words.contains("cannot be the name"), "{name}: {words}");
        }
        let twins = refused(zip(&[("a.toml", b"1"), ("A.toml", b"2")]));
        assert!(twins.contains("twice"), "{twins}");
        let mut linked = ZipWriter::new(Cursor::new(Vec::new()));
        linked
            .add_symlink("a", "/etc", SimpleFileOptions::default())
            .unwrap();
        let words = refused(linked.finish().unwrap().into_inner());
        assert!(words.contains("link"), "{words}");
        assert!(refused(b"not a zip".to_vec()).contains("no zip"));
    }

    #[test]
    fn what_is_too_large_or_too_many_is_refused() {
        // 60 MB of zeros are a few kilobytes in a zip.
        let zeros = vec![0_u8; 60 * 1024 * 1024];
        assert!(refused(zip(&[("a", &zeros)])).contains("too large"));
        let names: Vec<String> = (0..=ENTRIES).map(|n| n.to_string()).collect();
        let many: Vec<(&str, &[u8])> = names.iter().map(|n| (n.as_str(), &b""[..])).collect();
        assert!(refused(zip(&many)).contains("entries"));
    }

    #[test]
    fn a_job_comes_back_as_it_went() {
        let root = tempfile::tempdir().unwrap();
        let jobs = Jobs::open(root.path()).unwrap();
        let name = |n: &str| Name::new(n).unwrap();
        let with = [
            ("site.toml", "[site]\n"),
            ("a.room.toml", "# a\n"),
            ("catalog/m.toml", "# m\n"),
        ];
        jobs.create(&name("one"), &with).unwrap();
        let bytes = jobs.job("one").unwrap().zipped().unwrap();
        jobs.open_zip(&name("two"), bytes.clone()).unwrap();
        assert_eq!(
            jobs.job("two").unwrap().texts().unwrap(),
            jobs.job("one").unwrap().texts().unwrap()
        );
        assert!(
            jobs.open_zip(&name("TWO"), bytes).is_err(),
            "a name that is taken"
        );
        assert!(
            jobs.open_zip(&name("three"), zip(&[("x.txt", b"")]))
                .is_err(),
            "no job"
        );
        assert_eq!(jobs.list().len(), 2);
    }

    #[test]
    fn jobs_are_copied_renamed_archived_and_brought_back() {
        let root = tempfile::tempdir().unwrap();
        let jobs = Jobs::open(root.path()).unwrap();
        let name = |n: &str| Name::new(n).unwrap();
        let names = || {
            jobs.list()
                .iter()
                .map(|j| j.name.to_string())
                .collect::<Vec<_>>()
        };
        jobs.create(&name("one"), &[("a.room.toml", "# a\n")])
            .unwrap();
        jobs.copy(&jobs.job("one").unwrap(), &name("two")).unwrap();
        jobs.rename(&jobs.job("two").unwrap(), &name("three"))
            .unwrap();
        assert_eq!(names(), ["one", "three"]);
        jobs.archive(&jobs.job("one").unwrap()).unwrap();
        assert_eq!(names(), ["three"]);
        assert_eq!(jobs.archived().len(), 1);
        jobs.bring_back("one").unwrap();
        assert_eq!(names(), ["one", "three"]);
        assert!(jobs.bring_back("one").is_err());
        let job = jobs.job("one").unwrap();
        job.create_room(&name("b"), "# b\n").unwrap();
        assert!(job.create_room(&name("B"), "").is_err());
        job.retire_room("b").unwrap();
        assert_eq!(job.rooms(), [name("a")]);
        let kept = std::fs::read_to_string(job.path().join(".older/b.room.toml.1"));
        assert_eq!(kept.unwrap(), "# b\n");
    }
}
