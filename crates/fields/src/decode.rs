//! Bytes of a file to text.

use crate::problem::{Fault, Page, Problem, Problems};

/// Largest file that is read. A room file is a few kilobytes.
pub const MAX_BYTES: usize = 2_000_000;

/// The text of a file, or why it cannot be one: too large, binary, not UTF-8.
///
/// A byte order mark at the start is dropped.
///
/// # Errors
/// One [`Problem`] with the place of the first bad byte.
pub fn decode(file_name: &str, bytes: &[u8]) -> Result<String, Problems> {
    if bytes.len() > MAX_BYTES {
        let mut p = Page::new(file_name, "").problem(0..0, Fault::NotText, "");
        p.what = format!("{} bytes is too large", bytes.len());
        p.allowed = format!("at most {MAX_BYTES} bytes");
        p.mend = "is this the right file?".to_owned();
        return Err(Problems(vec![p]));
    }
    if let Some(zero) = bytes.iter().position(|&b| b == 0) {
        let mut p = bad_byte(file_name, bytes, zero);
        p.what = "a zero byte stands here: this is a binary file or UTF-16 text".to_owned();
        p.mend = "save it as plain text in UTF-8".to_owned();
        return Err(Problems(vec![p]));
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.strip_prefix('\u{feff}').unwrap_or(text).to_owned()),
        Err(e) => {
            let at = e.valid_up_to();
            let mut p = bad_byte(file_name, bytes, at);
            p.what = format!("byte 0x{:02X} is not UTF-8 text", bytes[at]);
            p.mend = "save the file in UTF-8".to_owned();
            Err(Problems(vec![p]))
        }
    }
}

/// A problem at a byte of a file that is not text.
fn bad_byte(file_name: &str, bytes: &[u8], at: usize) -> Problem {
    let before = String::from_utf8_lossy(&bytes[..at]);
    let page = Page::new(file_name, &before);
    let mut p = page.problem(before.len()..before.len(), Fault::NotText, "");
    p.span = at..at + 1;
    p
}
