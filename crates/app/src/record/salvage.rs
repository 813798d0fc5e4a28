//! Events out of a damaged file: its pages are read one by one, without the
//! tree that leads to them, so that a page that is lost takes no other with it.
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
/// What every stored event begins with.
const BEGINS: &[u8] = b"{\"format\":";
/// Columns of a row, the text last.
const COLUMNS: usize = 5;

/// Texts of events in the bytes of a record and of the log beside it, each
/// once, in the order in which they were found.
pub(super) fn texts(file: &[u8], log: &[u8]) -> Vec<String> {
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
    let mut found = Vec::new();
    for pages in [&in_file, &in_log] {
        for (i, page) in pages.iter().enumerate() {
            let head = if i == 0 { FILE_HEAD } else { 0 };
            for text in on_page(page, head, pages, size) {
                if seen.insert(text.clone()) {
                    found.push(text);
                }
            }
        }
    }
    found
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

/// The last column of a row, if it is the text of an event.
fn last_text(row: &[u8]) -> Option<String> {
    let (head, mut at) = varint(row, 0)?;
    let (mut columns, mut lengths, mut last) = (0, 0_usize, 0);
    while at < head {
        let (kind, next) = varint(row, at)?;
        last = match kind {
            0 | 8 | 9 => 0,
            1..=4 => kind,
            5 => 6,
            6 | 7 => 8,
            _ => kind.checked_sub(12)? / 2,
        };
        lengths = lengths.checked_add(last)?;
        columns += 1;
        at = next;
    }
    let from = head.checked_add(lengths)?.checked_sub(last)?;
    let text = row.get(from..from.checked_add(last)?)?;
    (columns == COLUMNS && text.starts_with(BEGINS))
        .then(|| String::from_utf8_lossy(text).into_owned())
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
