//! The as-wired list that an electrician writes.

use thiserror::Error;

/// A line of an as-wired list that cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error(
    "line {line}: read \"{read}\"; allowed: two terminals such as \"D1:V+ - C1:PWR+\" or \"D1:V+,C1:PWR+\", or a remark after #; {mend}"
)]
pub struct WiringFault {
    /// Line, from 1.
    pub line: usize,
    /// What stands there.
    pub read: String,
    /// How to mend it.
    pub mend: String,
}

/// Reads lines "D1:V+ - C1:PWR+" or "D1:V+,C1:PWR+". A remark starts with #
/// at the start of a line or after a space; blank lines and a CSV head of
/// "from,to" are passed over.
///
/// ```
/// let wires = job::control::read_as_wired("D1:V+ - C1:PWR+ # red\n").unwrap();
/// assert_eq!(wires, [("D1:V+".to_owned(), "C1:PWR+".to_owned())]);
/// ```
///
/// # Errors
/// Every line that cannot be read.
pub fn read_as_wired(text: &str) -> Result<Vec<(String, String)>, Vec<WiringFault>> {
    let mut wires = Vec::new();
    let mut faults = Vec::new();
    for (i, whole) in text.lines().enumerate() {
        let line = without_remark(whole.trim_start_matches('\u{feff}')).trim();
        if line.is_empty() || (wires.is_empty() && is_head(line)) {
            continue;
        }
        match ends(line) {
            Ok(pair) => wires.push(pair),
            Err(mend) => faults.push(WiringFault {
                line: i + 1,
                read: line.to_owned(),
                mend,
            }),
        }
    }
    if faults.is_empty() {
        Ok(wires)
    } else {
        Err(faults)
    }
}

fn without_remark(line: &str) -> &str {
    if line.trim_start().starts_with('#') {
        return "";
    }
    // A mark may hold #, so a remark needs a space before it.
    let end = [" #", "\t#"].iter().filter_map(|s| line.find(s)).min();
    end.and_then(|e| line.get(..e)).unwrap_or(line)
}

fn is_head(line: &str) -> bool {
    !line.contains(':')
        && line
            .split(',')
            .map(|w| w.trim().trim_matches('"').to_lowercase())
            .eq(["from".to_owned(), "to".to_owned()])
}

fn ends(line: &str) -> Result<(String, String), String> {
    let parts: Vec<&str> = if line.contains(',') {
        line.split(',').collect()
    } else {
        // Marks hold + and -, so the dash between two terminals stands free.
        line.split(" - ").collect()
    };
    let [a, b] = parts.as_slice() else {
        return Err(match parts.len() {
            1 => "put \" - \" with spaces, or a comma, between two terminals".to_owned(),
            n => format!("put one conductor on a line, not {n} terminals"),
        });
    };
    Ok((end(a)?, end(b)?))
}

fn end(text: &str) -> Result<String, String> {
    let text = text.trim().trim_matches('"').trim();
    match text.split_once(':') {
        Some((device, terminal)) if !device.trim().is_empty() && !terminal.trim().is_empty() => {
            Ok(format!("{}:{}", device.trim(), terminal.trim()))
        }
        _ => Err(format!(
            "write \"{text}\" as tag of the device, colon, mark of the terminal"
        )),
    }
}
