//! A text together with the hash that a form carries, so that a stale save is
//! told from a fresh one. Times of files are too coarse and clocks go back.

use super::super::hash::sha256;

/// A text as it stood on the disk.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Version {
    /// The text.
    pub(crate) text: String,
    /// Its hash.
    pub(crate) hash: String,
}

impl Version {
    pub(crate) fn of(text: String) -> Self {
        let mut hash = sha256(text.as_bytes());
        // Half of it tells versions of one file apart.
        hash.truncate(32);
        Self { text, hash }
    }
}
