//! A progress line on standard error, only where a person can see it.

use std::io::IsTerminal;
use std::sync::Mutex;

use indicatif::{ProgressBar, ProgressStyle};
use job::{Cancelled, Progress};

/// Shows what is being done; silent when standard error is no terminal.
pub(crate) struct Watch {
    bar: Option<Mutex<ProgressBar>>,
}

impl Watch {
    pub(crate) fn new() -> Self {
        Self {
            bar: std::io::stderr().is_terminal().then(|| {
                let bar = ProgressBar::new(1);
                if let Ok(style) = ProgressStyle::with_template("{msg} {bar:30} {pos}/{len}") {
                    bar.set_style(style);
                }
                Mutex::new(bar)
            }),
        }
    }

    /// Takes the line away again.
    pub(crate) fn done(&self) {
        if let Some(bar) = &self.bar
            && let Ok(bar) = bar.lock()
        {
            bar.finish_and_clear();
        }
    }
}

impl Progress for Watch {
    fn at(&self, doing: &str, done: usize, of: usize) -> Result<(), Cancelled> {
        if let Some(bar) = &self.bar
            && let Ok(bar) = bar.lock()
        {
            bar.set_message(doing.to_owned());
            bar.set_length(of as u64);
            bar.set_position(done as u64);
        }
        Ok(())
    }
}
