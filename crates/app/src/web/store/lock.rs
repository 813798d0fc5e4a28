//! One server on one folder.

use std::fs::{File, TryLockError};
use std::path::Path;

use anyhow::{Context, Result, bail};

/// Name of the file that is locked; the jobs themselves never are.
const NAME: &str = ".drywright.lock";

/// Holds the folder until it is dropped.
///
/// # Errors
/// Another server holds it, or the folder cannot be written to.
pub(super) fn hold(folder: &Path) -> Result<File> {
    let path = folder.join(NAME);
    let file = File::options()
        .create(true)
        .write(true)
        .truncate(false)
        .open(&path)
        .with_context(|| format!("cannot make {}", path.display()))?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => bail!(
            "another drywright server has {} open; use that one, or stop it first",
            folder.display()
        ),
        Err(TryLockError::Error(error)) => {
            Err(error).with_context(|| format!("cannot lock {}", path.display()))
        }
    }
}
