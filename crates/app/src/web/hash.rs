//! Hashes as hexadecimal digits: of texts, of files that are served, of what
//! is kept of secrets.

use std::fmt::Write as _;

use sha2::{Digest, Sha256};

/// SHA-256 of these bytes.
pub(super) fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// Bytes as hexadecimal digits.
pub(super) fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        // Writing to a String cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}
