//! The whole way: from a file to readings at moments.

use std::io::{Read, Seek};

use rayon::prelude::*;

use crate::block::Way;
use crate::clock::{ClockChange, WallClock};
use crate::grid::Grid;
use crate::layout::{Layout, examine};
use crate::measure::Measure;
use crate::options::Options;
use crate::order::{DateOrder, OrderVotes};
use crate::plan::Plan;
use crate::refusal::Refusal;
use crate::rows::{BadCell, Missing, Reason, Rejected, Rows};
use crate::source::{BLOCK_BYTES, Block, Blocks, Start};
use crate::stamp::stamp;
use crate::steps::Summing;
use crate::taking::Taking;
use crate::water::Follows;

/// One sensor, or one column.
#[derive(Clone, Debug, PartialEq)]
pub struct Channel {
    /// Name: the head of its column, or what its rows are named.
    pub name: String,
    /// What it measures.
    pub measure: Measure,
    /// Unit in which it was written.
    pub unit: &'static str,
    /// Why it was taken so.
    pub why: String,
    /// Readings taken.
    pub readings: u64,
    /// Cells without one.
    pub missing: Missing,
    /// The first of them that hold something: no number, or one that cannot be.
    pub bad: Vec<BadCell>,
}

/// Takes readings as they come: for each row a moment, then its readings.
pub trait Sink {
    /// A new channel; they are numbered from 0 as they come.
    fn channel(&mut self, measure: Measure, name: &str);
    /// The moment of the readings that follow \[s since 1970 UTC\].
    fn moment(&mut self, instant_s: i64);
    /// A reading in SI.
    fn reading(&mut self, channel: usize, value: f64);
    /// The grid on which the readings end, if nothing else is made of them:
    /// then most are summed before they are handed on.
    fn grid(&mut self) -> Option<&mut Grid> {
        None
    }
}

/// What was made of a file.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// Its layout.
    pub layout: Layout,
    /// Name of the encoding of its letters.
    pub encoding: &'static str,
    /// How its times are understood.
    pub clock: WallClock,
    /// Its channels.
    pub channels: Vec<Channel>,
    /// Sensors that rows name and that nothing was made of, with why.
    pub unused: Vec<(String, String)>,
    /// Rows taken.
    pub rows: u64,
    /// Rows rejected, by reason.
    pub rejects: Vec<(Reason, u64)>,
    /// The first rejected rows.
    pub rejected: Vec<Rejected>,
    /// Rows that repeat the row before.
    pub repeats: u64,
    /// Rows older than the row before (newer, where the file runs backward).
    pub out_of_order: u64,
    /// Changes of the clock.
    pub changes: Vec<ClockChange>,
    /// First and last moment \[s since 1970 UTC\].
    pub span_s: (i64, i64),
}

impl Taken {
    /// Rows rejected.
    pub fn rejects_all(&self) -> u64 {
        self.rejects.iter().map(|(_, n)| n).sum()
    }
}

/// Blocks read into rows at once, beyond one for each thread: so that all have
/// work while one fetches the next blocks, and few wait at the end.
const MORE_BLOCKS: usize = 2;

/// How a log is read; what comes of it is the same.
pub(crate) struct How {
    pub(crate) way: Way,
    /// Size at which a block is closed.
    pub(crate) block_bytes: usize,
}

/// Reads a log into `sink`. `watch` is told the bytes read and says whether to
/// go on.
///
/// # Errors
/// The file is no log, or leaves open what only a person can say; the words
/// name the option. What was read before may have gone into `sink`.
pub fn read<S: Read + Seek + Send>(
    source: &mut S,
    options: &Options,
    sink: &mut (impl Sink + Send),
    watch: &mut (dyn FnMut(u64) -> bool + Send),
) -> Result<Taken, Refusal> {
    let how = How {
        way: Way::Fast,
        block_bytes: BLOCK_BYTES,
    };
    read_so(&how, source, options, sink, watch)
}

pub(crate) fn read_so<S: Read + Seek + Send>(
    how: &How,
    source: &mut S,
    options: &Options,
    sink: &mut (impl Sink + Send),
    watch: &mut (dyn FnMut(u64) -> bool + Send),
) -> Result<Taken, Refusal> {
    let start = Start::of(source)?;
    let mut layout = examine(&start.text, options)?;
    let order = match layout.order {
        Some(order) => order,
        None => {
            let (order, why) = order_of_all(source, &start, &layout)?;
            (layout.order, layout.order_why) = (Some(order), why);
            order
        }
    };
    waters_of_all(source, &start, &mut layout)?;
    let plan = Plan::new(layout, order);
    let summing = summing(&plan, options, sink);
    let mut taking = Taking::new(&plan, options, &start);
    let mut blocks = start.blocks(source, how.block_bytes)?;
    let rows = |block: &Block| plan.rows(block, summing.as_ref(), how.way);
    // Inside, where one thread need not wake another to go on.
    rayon::scope(|_| each(&mut blocks, rows, |rows| taking.rows(rows, sink), watch))?;
    taking.taken(start.encoding.name())
}

/// Reads each block into rows, on all threads, and takes these in, in their
/// order. While some blocks are read into rows, the rows before them are taken
/// in and the blocks after them come from the source.
fn each(
    blocks: &mut Blocks<'_>,
    rows: impl Fn(&Block) -> Rows + Sync,
    mut take: impl FnMut(Rows) + Send,
    watch: &mut (dyn FnMut(u64) -> bool + Send),
) -> Result<(), Refusal> {
    let width = rayon::current_num_threads() + MORE_BLOCKS;
    let mut spare: Vec<Vec<u8>> = Vec::new();
    let mut fill = |spare: &mut Vec<Vec<u8>>| -> Result<Vec<Block>, Refusal> {
        let mut some = Vec::with_capacity(width);
        while some.len() < width {
            match blocks.next(spare.pop().unwrap_or_default())? {
                Some(block) => some.push(block),
                None => break,
            }
        }
        Ok(some)
    };
    let mut now = fill(&mut spare)?;
    let mut before: Vec<Rows> = Vec::new();
    let mut bytes = 0;
    while !now.is_empty() || !before.is_empty() {
        let (next, read) = rayon::join(
            || {
                before.drain(..).for_each(&mut take);
                fill(&mut spare)
            },
            || {
                now.par_iter()
                    .with_max_len(1)
                    .map(&rows)
                    .collect::<Vec<_>>()
            },
        );
        bytes += now.iter().map(|b| b.bytes.len() as u64).sum::<u64>();
        spare.extend(now.drain(..).map(|b| b.bytes));
        (before, now) = (read, next?);
        if !watch(bytes) {
            return Err(Refusal::Stopped);
        }
    }
    Ok(())
}

/// How rows are summed, where the sink asks for nothing else and they can be.
fn summing(plan: &Plan, options: &Options, sink: &mut impl Sink) -> Option<Summing> {
    Some(Summing {
        step_s: sink.grid()?.step_s(),
        zone: options.zone.clone(),
        backward: plan.layout.backward,
        interval_s: plan.layout.interval_s,
        limits: plan.limits()?,
    })
}

/// The order of dates that the whole file decides.
fn order_of_all<S: Read + Seek + Send>(
    source: &mut S,
    start: &Start,
    layout: &Layout,
) -> Result<(DateOrder, &'static str), Refusal> {
    let mut votes = OrderVotes::default();
    let mut example = String::new();
    let column = match layout.time {
        crate::layout::TimeAt::Two { date, .. } => date,
        crate::layout::TimeAt::One(column) | crate::layout::TimeAt::Count { column, .. } => column,
    };
    each_record(source, start, layout.delimiter, |record| {
        if let Some(date) = record.get(column).and_then(stamp).and_then(|s| s.date) {
            votes.add(&date);
            if example.is_empty() {
                example = String::from_utf8_lossy(&record[column]).into_owned();
            }
        }
        !votes.is_settled()
    })?;
    votes
        .decided()
        .map_err(|open| Refusal::DatesOpen { example, open })
}

/// Whether columns of water count on, where only the whole file decides.
fn waters_of_all<S: Read + Seek + Send>(
    source: &mut S,
    start: &Start,
    layout: &mut Layout,
) -> Result<(), Refusal> {
    let columns = std::mem::take(&mut layout.waters);
    if columns.is_empty() {
        return Ok(());
    }
    let mut follows: Vec<Follows> = columns
        .iter()
        .map(|_| Follows::new(layout.backward))
        .collect();
    each_record(source, start, layout.delimiter, |record| {
        for (column, follows) in columns.iter().zip(&mut follows) {
            follows.add_row(layout, *column, || record.iter());
        }
        true
    })?;
    for (column, follows) in columns.into_iter().zip(follows) {
        layout.settle_water(column, follows.shows())?;
    }
    Ok(())
}

/// Hands on the records of the whole file, until it is enough.
fn each_record<S: Read + Seek + Send>(
    source: &mut S,
    start: &Start,
    delimiter: u8,
    mut goes_on: impl FnMut(&csv::ByteRecord) -> bool,
) -> Result<(), Refusal> {
    let mut blocks = start.blocks(source, BLOCK_BYTES)?;
    let mut bytes = Vec::new();
    while let Some(block) = blocks.next(bytes)? {
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(delimiter)
            .has_headers(false)
            .flexible(true)
            .from_reader(&block.bytes[..]);
        let mut record = csv::ByteRecord::new();
        let mut is_enough = false;
        while matches!(reader.read_byte_record(&mut record), Ok(true)) {
            is_enough |= !goes_on(&record);
        }
        if is_enough {
            break;
        }
        bytes = block.bytes;
    }
    Ok(())
}
