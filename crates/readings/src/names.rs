//! Names of sensors that rows carry.

use std::collections::HashMap;

use crate::rows::Reason;

/// Different sensors that a log may name.
pub(crate) const MOST_SENSORS: usize = 500;
/// Between name and unit in a key.
pub(crate) const BETWEEN: char = '\u{1f}';

/// Names of sensors in a block.
#[derive(Default)]
pub(crate) struct Names {
    pub(crate) list: Vec<String>,
    known: HashMap<Vec<u8>, u32>,
    buffer: Vec<u8>,
    before: Option<(Vec<u8>, u32)>,
}

impl Names {
    /// Another row begins.
    pub(crate) fn begin(&mut self) {
        self.buffer.clear();
    }

    /// A cell of its name.
    pub(crate) fn push(&mut self, cell: &[u8]) {
        if !self.buffer.is_empty() {
            self.buffer.push(BETWEEN as u8);
        }
        self.buffer.extend_from_slice(cell.trim_ascii());
    }

    /// The number of the name that was pushed.
    pub(crate) fn number(&mut self) -> Result<u32, Reason> {
        if self.buffer.iter().all(|b| *b == BETWEEN as u8) {
            return Err(Reason::NoSensor);
        }
        if let Some((text, number)) = &self.before
            && *text == self.buffer
        {
            return Ok(*number);
        }
        let number = match self.known.get(&self.buffer) {
            Some(number) => *number,
            None if MOST_SENSORS <= self.list.len() => return Err(Reason::TooManySensors),
            None => {
                let number = self.list.len() as u32;
                self.list
                    .push(String::from_utf8_lossy(&self.buffer).into_owned());
                self.known.insert(self.buffer.clone(), number);
                number
            }
        };
        self.before = Some((self.buffer.clone(), number));
        Ok(number)
    }
}
