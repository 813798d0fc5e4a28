//! From bytes to lines of UTF-8, in blocks of bounded size.

use std::io::{ErrorKind, Read, Seek, SeekFrom};

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};
use encoding_rs_io::DecodeReaderBytesBuilder;

use crate::layout::HEAD_BYTES;
use crate::refusal::Refusal;

/// Size at which a block is closed \[bytes\]: on sixteen threads as fast as four
/// times as much, in two thirds of the memory; a quarter of it makes two threads
/// wait for each other more often.
pub(crate) const BLOCK_BYTES: usize = 1 << 18;
/// No line of a log is longer \[bytes\].
const LINE_BYTES: usize = 1 << 23;

/// The first part of a file and how its bytes are written.
pub(crate) struct Start {
    /// The first part in UTF-8, cut at the end of a line unless it is all.
    pub(crate) text: Vec<u8>,
    pub(crate) encoding: &'static Encoding,
    /// Lines end with carriage returns alone.
    pub(crate) returns_only: bool,
}

impl Start {
    /// Reads the first part.
    ///
    /// # Errors
    /// The source cannot be read.
    pub(crate) fn of<S: Read + Seek>(source: &mut S) -> Result<Self, Refusal> {
        source.seek(SeekFrom::Start(0))?;
        let mut raw = Vec::with_capacity(HEAD_BYTES);
        source
            .by_ref()
            .take(HEAD_BYTES as u64)
            .read_to_end(&mut raw)?;
        let whole = raw.len() < HEAD_BYTES;
        let encoding = encoding_of(&raw, whole);
        let (decoded, _, _) = encoding.decode(&raw);
        let mut text = decoded.into_owned().into_bytes();
        let returns_only = !text.contains(&b'\n') && text.contains(&b'\r');
        if returns_only {
            end_lines(&mut text);
        }
        if !whole && let Some(end) = memchr::memrchr(b'\n', &text) {
            text.truncate(end + 1);
        }
        Ok(Self {
            text,
            encoding,
            returns_only,
        })
    }

    /// The whole file again in blocks of whole lines.
    ///
    /// # Errors
    /// The source cannot be read.
    pub(crate) fn blocks<'s, S: Read + Seek + Send>(
        &self,
        source: &'s mut S,
        block_bytes: usize,
    ) -> Result<Blocks<'s>, Refusal> {
        source.seek(SeekFrom::Start(0))?;
        let reader: Box<dyn Read + Send + 's> = if self.encoding == UTF_8 {
            Box::new(source)
        } else {
            Box::new(
                DecodeReaderBytesBuilder::new()
                    .encoding(Some(self.encoding))
                    .bom_override(true)
                    .build(source),
            )
        };
        Ok(Blocks {
            reader,
            block_bytes,
            carry: Vec::new(),
            line: 1,
            first: true,
            done: false,
            returns_only: self.returns_only,
        })
    }
}

fn end_lines(text: &mut [u8]) {
    for byte in text {
        if *byte == b'\r' {
            *byte = b'\n';
        }
    }
}

fn encoding_of(raw: &[u8], whole: bool) -> &'static Encoding {
    if let Some((encoding, _)) = Encoding::for_bom(raw) {
        return encoding;
    }
    let zeros = |from: usize| {
        raw.iter()
            .skip(from)
            .step_by(2)
            .take(400)
            .filter(|b| **b == 0)
            .count()
    };
    let half = raw.len().min(800) / 4;
    if 8 < raw.len() {
        if half < zeros(1) && zeros(0) == 0 {
            return UTF_16LE;
        }
        if half < zeros(0) && zeros(1) == 0 {
            return UTF_16BE;
        }
    }
    match std::str::from_utf8(raw) {
        Ok(_) => UTF_8,
        // A letter may be cut at the end of the first part.
        Err(e) if !whole && e.error_len().is_none() => UTF_8,
        Err(_) => WINDOWS_1252,
    }
}

/// Some whole lines.
#[derive(Debug, Default)]
pub(crate) struct Block {
    pub(crate) bytes: Vec<u8>,
    /// Line of its first, from 1.
    pub(crate) line: u64,
    /// Cells may be quoted.
    pub(crate) quoted: bool,
}

/// A file as blocks of whole lines.
pub(crate) struct Blocks<'s> {
    reader: Box<dyn Read + Send + 's>,
    block_bytes: usize,
    carry: Vec<u8>,
    line: u64,
    first: bool,
    done: bool,
    returns_only: bool,
}

impl Blocks<'_> {
    /// The next block, in the memory of `bytes`; `None` at the end.
    ///
    /// # Errors
    /// The source cannot be read, or has a line that no log has.
    pub(crate) fn next(&mut self, mut bytes: Vec<u8>) -> Result<Option<Block>, Refusal> {
        if self.done {
            return Ok(None);
        }
        // What the memory held last is written over.
        bytes.resize(self.block_bytes.max(self.carry.len() + 1), 0);
        bytes[..self.carry.len()].copy_from_slice(&self.carry);
        let mut before = self.carry.len();
        self.carry.clear();
        loop {
            let wanted = bytes.len();
            let end = before + fill(&mut *self.reader, &mut bytes[before..])?;
            bytes.truncate(end);
            if self.returns_only {
                end_lines(&mut bytes[before..]);
            }
            if self.first && 3 <= bytes.len() {
                self.first = false;
                if bytes.starts_with(b"\xef\xbb\xbf") {
                    bytes.drain(..3);
                }
            }
            if end < wanted {
                self.done = true;
                break;
            }
            if let Some(end) = cut(&bytes) {
                self.carry.extend_from_slice(&bytes[end..]);
                bytes.truncate(end);
                break;
            }
            if LINE_BYTES < 2 * wanted {
                return Err(Refusal::Binary);
            }
            before = bytes.len();
            bytes.resize(2 * wanted, 0);
        }
        if bytes.is_empty() {
            return Ok(None);
        }
        let line = self.line;
        self.line += memchr::memchr_iter(b'\n', &bytes).count() as u64;
        let quoted = memchr::memchr(b'"', &bytes).is_some();
        Ok(Some(Block {
            bytes,
            line,
            quoted,
        }))
    }
}

/// Reads until memory is full or the source at its end: how many bytes.
fn fill(reader: &mut dyn Read, bytes: &mut [u8]) -> std::io::Result<usize> {
    let mut filled = 0;
    while filled < bytes.len() {
        match reader.read(&mut bytes[filled..]) {
            Ok(0) => break,
            Ok(some) => filled += some,
            Err(e) if e.kind() == ErrorKind::Interrupted => {}
            Err(e) => return Err(e),
        }
    }
    Ok(filled)
}

/// Where to cut: after the last line end that stands outside quotes; after the
/// last at all where quotes do not pair.
fn cut(bytes: &[u8]) -> Option<usize> {
    let last = memchr::memrchr(b'\n', bytes)?;
    let quotes = memchr::memchr_iter(b'"', &bytes[..last]).count();
    if quotes.is_multiple_of(2) {
        return Some(last + 1);
    }
    let mut open = true;
    for at in (0..last).rev() {
        match bytes[at] {
            b'"' => open = !open,
            b'\n' if !open => return Some(at + 1),
            _ => {}
        }
    }
    Some(last + 1)
}
