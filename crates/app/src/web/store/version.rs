//! A text together with the hash that a form carries, so that a stale save is
//! told from a fresh one. Times of files are too coarse and clocks go back.

use std::fmt::Write as _;

use sha2::{Digest, Sha256};

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
        let hash =
            Sha256::digest(text.as_bytes())
                .iter()
                .take(16)
                .fold(String::new(), |mut hex, byte| {
                    // Writing to a String cannot fail.
                    let _ = write!(hex, "{byte:02x}");
                    hex
                });
        Self { text, hash }
    }
}
