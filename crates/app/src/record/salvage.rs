//! Events out of a damaged file: its pages are read one by one, without the
//! tree that leads to them, so that a page that is lost takes no other with it.
//! The index by device tells also of events whose own page is lost.
//!
//! **Source** SQLite, "Database File Format", sections 1.3 (header), 1.6
//! (b-tree pages, overflow), 2.1 (records), 4.1 (write-ahead log).

use std::collections::BTreeSet;

/// Sizes that a page may have.
const SIZES: [usize; 8] = [512, 1024, 2048, 4096, 8192, 16384, 32768, 65536];
/// Bytes of the file's own head, before the first page's.
const FILE_HEAD: usize = 100;
/// Bytes before the first frame of the log, and before the page of a frame.
const LOG_HEAD: usize = 32;
const FRAME_HEAD: usize = 24;
/// First byte of a page that holds rows.
const LEAF: u8 = 0x0d;
/// First byte of a page of an index: at its end, and on the way there.
const INDEX_LEAF: u8 = 0x0a;
const INDEX_INTERIOR: u8 = 0x02;
/// What every stored event begins with.
const BEGINS: &[u8] = b"{\"format\":";
/// Columns of a row, the text last.
const COLUMNS: usize = 5;

/// What is left of a record.
#[derive(Debug, Default)]
pub(super) struct Left {
    /// Texts of events, each once, in the order in which they were found.
    pub(super) texts: Vec<String>,
    /// Devices and numbers of all events that the index knows.
    pub(super) indexed: BTreeSet<(String, u64)>,
}

/// What is left in the bytes of a record and of the log beside it.
pub(super) fn left(file: &[u8], log: &[u8]) -> Left {
    let size = page_size(file);
    let in_file: Vec<&[u8]> = file.chunks(size).collect();
    let mut in_log = in_file.clone();
    for (number, page) in frames(log, size) {
        if in_log.len() < number {
            in_log.resize(number, &[]);
        }
        if let Some(place) = number.checked_sub(1).and_then(|i| in_log.get_mut(i)) {
            *place = page;
        }
    }
    let mut seen = BTreeSet::new();
    let mut left = Left::default();
    for pages in [&in_file, &in_log] {
        for (i, page) in pages.iter().enumerate() {
            let head = if i == 0 { FILE_HEAD } else { 0 };
            for text in on_page(page, head, pages, size) {
                if seen.insert(text.clone()) {
                    left.texts.push(text);
                }
            }
            left.indexed.extend(in_index(page, head));
        }
    }
    left
}

fn page_size(file: &[u8]) -> usize {
    let said = u16_at(file, 16).map_or(0, |s| if s == 1 { 65536 } else { s });
    if SIZES.contains(&said) { said } else { 4096 }
}

/// Pages of the log with their numbers, older ones first.
fn frames(log: &[u8], size: usize) -> impl Iterator<Item = (usize, &[u8])> {
    // A number beyond this is no page's of a record.
    const MOST_PAGES: usize = 1 << 20;
    log.get(LOG_HEAD..)
        .unwrap_or_default()
        .chunks_exact(FRAME_HEAD + size)
        .filter_map(|frame| Some((u32_at(frame, 0)?, frame.get(FRAME_HEAD..)?)))
        .filter(|(number, _)| (1..MOST_PAGES).contains(number))
}

/// Texts of events in the rows of one page.
fn on_page(page: &[u8], head: usize, pages: &[&[u8]], size: usize) -> Vec<String> {
    if page.get(head) != Some(&LEAF) {
        return Vec::new();
    }
    let rows = u16_at(page, head + 3).unwrap_or(0);
    (0..rows)
        .filter_map(|row| u16_at(page, head + 8 + 2 * row))
        .filter_map(|at| payload(page, at, pages, size))
        .filter_map(|bytes| last_text(&bytes))
        .collect()
}

/// Bytes of the row at a place, with what of it lies on further pages.
fn payload(page: &[u8], at: usize, pages: &[&[u8]], size: usize) -> Option<Vec<u8>> {
    let (length, at) = varint(page, at)?;
    let (_, at) = varint(page, at)?;
    // Larger than any event: the length is spoilt.
    if 64 << 20 < length {
        return None;
    }
    let most = size - 35;
    if length <= most {
        return Some(page.get(at..at + length)?.to_vec());
    }
    let least = (size - 12) * 32 / 255 - 23;
    let fits = least + (length - least) % (size - 4);
    let here = if fits <= most { fits } else { least };
    let mut bytes = page.get(at..at + here)?.to_vec();
    let mut next = u32_at(page, at + here)?;
    while bytes.len() < length {
        let more = pages.get(next.checked_sub(1)?)?;
        let wanted = (length - bytes.len()).min(size - 4);
        bytes.extend_from_slice(more.get(4..4 + wanted)?);
        next = u32_at(more, 0)?;
    }
    Some(bytes)
}

/// Devices and numbers of events on a page of the index by device.
fn in_index(page: &[u8], head: usize) -> Vec<(String, u64)> {
    // Head of the page, and of each of its cells.
    let (page_head, cell_head) = match page.get(head) {
        Some(&INDEX_LEAF) => (8, 0),
        Some(&INDEX_INTERIOR) => (12, 4),
        _ => return Vec::new(),
    };
    let cells = u16_at(page, head + 3).unwrap_or(0);
    (0..cells)
        .filter_map(|cell| u16_at(page, head + page_head + 2 * cell))
        .filter_map(|at| {
            let (length, at) = varint(page, at + cell_head)?;
            indexed(page.get(at..at.checked_add(length)?)?)
        })
        .collect()
}

/// Device and number of an entry: what is indexed, then the row.
fn indexed(entry: &[u8]) -> Option<(String, u64)> {
    let [device, seq, _row] = columns(entry)?[..] else {
        return None;
    };
    let device = std::str::from_utf8(text(device)?).ok()?;
    Some((device.to_owned(), whole(seq)?))
}

/// The last column of a row, if it is the text of an event.
fn last_text(row: &[u8]) -> Option<String> {
    let columns = columns(row)?;
    let bytes = text(*columns.last()?)?;
    (columns.len() == COLUMNS && bytes.starts_with(BEGINS))
        .then(|| String::from_utf8_lossy(bytes).into_owned())
}

/// Kind and bytes of a column.
type Column<'a> = (usize, &'a [u8]);

/// Columns of a row.
fn columns(row: &[u8]) -> Option<Vec<Column<'_>>> {
    let (head, mut at) = varint(row, 0)?;
    let mut from = head;
    let mut all = Vec::new();
    while at < head {
        let (kind, next) = varint(row, at)?;
        let length = match kind {
            0 | 8 | 9 => 0,
            1..=4 => kind,
            5 => 6,
            6 | 7 => 8,
            _ => kind.checked_sub(12)? / 2,
        };
        let to = from.checked_add(length)?;
        all.push((kind, row.get(from..to)?));
        (from, at) = (to, next);
    }
    Some(all)
}

/// Bytes of a text.
fn text((kind, bytes): Column<'_>) -> Option<&[u8]> {
    (13 <= kind && kind % 2 == 1).then_some(bytes)
}

/// A whole number that is not below zero.
fn whole((kind, bytes): Column<'_>) -> Option<u64> {
    match kind {
        8 => Some(0),
        9 => Some(1),
        1..=6 if bytes[0] < 0x80 => Some(bytes.iter().fold(0, |n, byte| n << 8 | u64::from(*byte))),
        _ => None,
    }
}

/// A number of 1 to 9 bytes, and where what follows it begins.
fn varint(bytes: &[u8], at: usize) -> Option<(usize, usize)> {
    let mut value: u64 = 0;
    for i in 0..9 {
        let byte = *bytes.get(at + i)?;
        if i == 8 {
            value = value << 8 | u64::from(byte);
            return Some((usize::try_from(value).ok()?, at + 9));
        }
        value = value << 7 | u64::from(byte & 0x7f);
        if byte < 0x80 {
            return Some((usize::try_from(value).ok()?, at + i + 1));
        }
    }
    None
}

fn u16_at(bytes: &[u8], at: usize) -> Option<usize> {
    let two = bytes.get(at..at + 2)?;
    Some(usize::from(two[0]) << 8 | usize::from(two[1]))
}

fn u32_at(bytes: &[u8], at: usize) -> Option<usize> {
    let high = u16_at(bytes, at)?;
    Some(high << 16 | u16_at(bytes, at + 2)?)
}
