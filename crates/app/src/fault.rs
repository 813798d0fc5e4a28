//! A fault of the program itself reaches nobody as a panic: it is told in
//! plain words, as what it is.

use std::panic::{AssertUnwindSafe, PanicHookInfo};
use std::sync::Mutex;

use anyhow::{Result, anyhow};

/// Where and how the first panic came about, on whatever thread.
static FIRST: Mutex<Option<String>> = Mutex::new(None);

/// Runs a command; a panic inside becomes an error with a message for people.
///
/// # Errors
/// Those of the command, and a fault of the program.
pub(crate) fn caught<T>(command: impl FnOnce() -> Result<T>) -> Result<T> {
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(note));
    // What the command held is dropped with it; nothing half-done is looked at.
    let done = std::panic::catch_unwind(AssertUnwindSafe(command));
    std::panic::set_hook(before);
    done.unwrap_or_else(|_| {
        let place = FIRST
            .lock()
            .ok()
            .and_then(|mut first| first.take())
            .unwrap_or_else(|| "an unknown place".to_owned());
        Err(anyhow!(
            "stopped by a mistake of the program, not of yours, at {place}.\n\
             Files are written whole or not at all: what is on the disk is sound, what was being computed is lost.\n\
             Please report this message together with the files that it came from."
        ))
    })
}

fn note(info: &PanicHookInfo<'_>) {
    let place = info.location().map_or_else(
        || "an unknown place".to_owned(),
        |l| format!("{}:{}", l.file(), l.line()),
    );
    let what = info.payload_as_str().unwrap_or("no more is known");
    if let Ok(mut first) = FIRST.lock() {
        first.get_or_insert_with(|| format!("{place} ({what})"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_becomes_a_message_with_its_place() {
        let numbers: Vec<u8> = Vec::new();
        let message = caught(|| Ok(numbers[numbers.len()]))
            .map_err(|e| format!("{e:#}"))
            .expect_err("it panics");
        assert!(message.contains("mistake of the program"), "{message}");
        assert!(message.contains("fault.rs:"), "{message}");
        assert!(message.contains("index out of bounds"), "{message}");

        let in_a_thread = caught(|| -> Result<()> {
            rayon::join(|| (), || panic!("in a worker"));
            Ok(())
        });
        let message = format!("{:#}", in_a_thread.expect_err("it panics too"));
        assert!(message.contains("in a worker"), "{message}");

        assert_eq!(caught(|| Ok(1)).expect("no panic"), 1);
    }
}
