//! Cells of a line that is walked through.

use crate::number::{Marks, leading};
use crate::rows::Rows;
use crate::word::Picture;

/// A cell of which is known where it begins.
#[derive(Clone, Copy)]
pub(crate) struct Begun<'t> {
    pub(crate) rest: &'t [u8],
    pub(crate) is_quoted: bool,
    pub(crate) delimiter: u8,
    /// No column follows.
    pub(crate) is_last: bool,
}

impl<'t> Begun<'t> {
    /// From its first byte inside quotes.
    pub(crate) fn text(self) -> &'t [u8] {
        &self.rest[usize::from(self.is_quoted)..]
    }

    /// What follows the cell, if it ends after so many bytes: with its quotes,
    /// then at a delimiter, or with the line.
    #[inline]
    pub(crate) fn after(self, length: usize) -> Option<&'t [u8]> {
        let mut after = &self.text()[length..];
        if self.is_quoted {
            after = after.strip_prefix(b"\"")?;
        }
        if !self.is_last {
            return after.strip_prefix(&[self.delimiter]);
        }
        // A delimiter at the end of a line opens no column.
        while let Some(other) = after.strip_prefix(&[self.delimiter]) {
            after = other;
        }
        after
            .strip_prefix(b"\r")
            .unwrap_or(after)
            .strip_prefix(b"\n")
    }

    /// All of it, and what follows.
    pub(crate) fn whole(self) -> Option<(&'t [u8], &'t [u8])> {
        let text = self.text();
        let is_end = |b: &u8| match self.is_quoted {
            true => *b == b'"',
            false => *b == self.delimiter,
        };
        let end = text.iter().position(|b| is_end(b) || *b == b'\n')?;
        // The end of a line may have two bytes.
        let cell = match text[end] {
            b'\n' if !self.is_quoted => text[..end].strip_suffix(b"\r").unwrap_or(&text[..end]),
            _ => &text[..end],
        };
        Some((cell, self.after(cell.len())?))
    }

    /// Reads its number; gives what follows.
    pub(crate) fn number(
        self,
        marks: Marks,
        picture: &mut Picture,
        slot: usize,
        rows: &mut Rows,
    ) -> Option<&'t [u8]> {
        if let Some((number, length)) = leading(self.text(), marks.decimal)
            && let Some(after) = self.after(length)
        {
            rows.number(slot, number);
            let written = &self.rest[..self.rest.len() - after.len()];
            if let Some(other) = Picture::of(written, marks.decimal) {
                *picture = other;
            }
            return Some(after);
        }
        let (text, after) = self.whole()?;
        rows.cell(slot, text, marks);
        Some(after)
    }
}
