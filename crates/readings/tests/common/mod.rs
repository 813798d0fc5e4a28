//! What the tests of reading share.

use std::io::Cursor;

use readings::{Measure, Options, Refusal, Sink, Taken, read};

/// Keeps every reading as it comes.
#[derive(Debug, Default, PartialEq)]
pub(crate) struct All {
    pub(crate) channels: Vec<(Measure, String)>,
    /// Moment, channel, value.
    pub(crate) readings: Vec<(i64, usize, f64)>,
    now: i64,
}

impl Sink for All {
    fn channel(&mut self, measure: Measure, name: &str) {
        self.channels.push((measure, name.to_owned()));
    }
    fn moment(&mut self, instant_s: i64) {
        self.now = instant_s;
    }
    fn reading(&mut self, channel: usize, value: f64) {
        self.readings.push((self.now, channel, value));
    }
}

/// Reads bytes with options.
pub(crate) fn try_read(
    bytes: impl Into<Vec<u8>>,
    options: &Options,
) -> Result<(All, Taken), Refusal> {
    let mut all = All::default();
    let mut source = Cursor::new(bytes.into());
    let taken = read(&mut source, options, &mut all, &mut |_| true)?;
    Ok((all, taken))
}
