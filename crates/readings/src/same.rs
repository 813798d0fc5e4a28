//! All ways of reading give the same: lines walked through or cut into cells,
//! rows summed where they are read or handed on one by one, blocks of any size.

use std::io::Cursor;

use proptest::prelude::*;

use crate::block::Way;
use crate::read::{How, Sink, Taken, read_so};
use crate::{Grid, Measure, Options, Refusal, Zone};

/// A grid that gets its readings one by one.
struct OneByOne(Grid);

impl Sink for OneByOne {
    fn channel(&mut self, measure: Measure, name: &str) {
        self.0.channel(measure, name);
    }
    fn moment(&mut self, instant_s: i64) {
        self.0.moment(instant_s);
    }
    fn reading(&mut self, channel: usize, value: f64) {
        self.0.reading(channel, value);
    }
}

fn grid() -> Grid {
    // So few steps that they are joined on the way.
    Grid::new(60, 256)
}

fn fast(text: &str, options: &Options, block_bytes: usize) -> Result<(Taken, Grid), Refusal> {
    let how = How {
        way: Way::Fast,
        block_bytes,
    };
    let (mut source, mut grid) = (Cursor::new(text), grid());
    let taken = read_so(&how, &mut source, options, &mut grid, &mut |_| true)?;
    Ok((taken, grid))
}

fn plain(text: &str, options: &Options, block_bytes: usize) -> Result<(Taken, Grid), Refusal> {
    let how = How {
        way: Way::Plain,
        block_bytes,
    };
    let (mut source, mut sink) = (Cursor::new(text), OneByOne(grid()));
    let taken = read_so(&how, &mut source, options, &mut sink, &mut |_| true)?;
    Ok((taken, sink.0))
}

fn assert_same(
    left: Result<(Taken, Grid), Refusal>,
    right: Result<(Taken, Grid), Refusal>,
    text: &str,
) -> Result<(), TestCaseError> {
    let (left, right) = match (left, right) {
        (Ok(left), Ok(right)) => (left, right),
        (left, right) => {
            let [left, right] = [left, right].map(|r| r.err().map(|e| e.to_string()));
            prop_assert_eq!(left, right, "{}", text);
            return Ok(());
        }
    };
    prop_assert_eq!(left.0, right.0, "{}", text);
    let (left, right) = (left.1, right.1);
    prop_assert_eq!(left.step_s(), right.step_s());
    prop_assert_eq!(left.instant_s(0), right.instant_s(0));
    prop_assert_eq!(left.channels().len(), right.channels().len());
    for channel in 0..left.channels().len() {
        prop_assert_eq!(left.counts(channel), right.counts(channel), "{}", text);
        for (a, b) in left.sums(channel).iter().zip(right.sums(channel)) {
            // The order of additions may differ.
            prop_assert!(
                (a - b).abs() <= 1e-12 * a.abs().max(1e3),
                "{} {} {}",
                a,
                b,
                text
            );
        }
    }
    Ok(())
}

#[derive(Clone, Debug)]
struct Manner {
    delimiter: char,
    decimal: char,
    time: Time,
    ends: &'static str,
    /// Every so many rows a cell is in quotes; 0: none is.
    quotes: usize,
    backward: bool,
    last_delimiter: bool,
    sensors: bool,
    amount: bool,
    /// A column of words.
    remark: bool,
    zone: Option<&'static str>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Time {
    Iso,
    IsoOffset,
    Minutes,
    Long,
    Days,
    TwelveHours,
    Two,
    Count,
}

fn manner() -> impl Strategy<Value = Manner> {
    let time = prop::sample::select(vec![
        Time::Iso,
        Time::IsoOffset,
        Time::Minutes,
        Time::Long,
        Time::Days,
        Time::TwelveHours,
        Time::Two,
        Time::Count,
    ]);
    let zone = prop::sample::select(vec![None, Some("Europe/Berlin"), Some("-07:00")]);
    (
        prop::sample::select(vec![',', ';', '\t', '|']),
        prop::sample::select(vec!['.', ',']),
        time,
        prop::sample::select(vec!["\n", "\r\n"]),
        prop::sample::select(vec![0, 0, 1, 2, 9]),
        prop::collection::vec(any::<bool>(), 5),
        zone,
    )
        .prop_map(
            |(delimiter, decimal, time, ends, quotes, is, zone)| Manner {
                delimiter,
                decimal,
                time,
                ends,
                // A comma on both sides needs quotes.
                quotes: if delimiter == decimal { 1 } else { quotes },
                backward: is[0],
                last_delimiter: is[1],
                sensors: is[2] && is[3],
                amount: is[2] && !is[3],
                remark: is[4],
                zone,
            },
        )
}

/// What differs from an ordinary row.
#[derive(Clone, Debug)]
enum Odd {
    No,
    /// Written twice.
    Twice,
    /// The first number is this.
    Cell(&'static str),
    /// The last cell is this.
    Last(&'static str),
    /// The time is this.
    Time(&'static str),
    /// The whole line is this.
    Line(&'static str),
    OneMoreCell,
    OneLessCell,
}

const CELLS: [&str; 24] = [
    "",
    " ",
    "on",
    "NaN",
    "---",
    "-999",
    "9999",
    "+5",
    ".5",
    "5.",
    "-",
    "1e1",
    "12 ",
    " 12",
    "2 3",
    "1.234,5",
    "1,234.5",
    "23.5 °C",
    "1234567890123456789",
    "012",
    "x",
    "0x1F",
    "1..2",
    "−3",
];
/// Quotes out of the ordinary.
const QUOTED: [&str; 6] = [
    "\"1\"\"2\"",
    "5\"",
    "\"12\" ",
    "\"a\nb\"",
    "\" 12\"",
    "\"\"",
];
const TIMES: [&str; 8] = [
    "",
    "yesterday",
    "2025-02-30 07:05:09",
    "2025-10-26 25:00:00",
    "2025-10-26 24:00:00",
    "2025-10-26 7:05",
    "2025-10-26 07:05:60",
    "2025-10-26 0705:09",
];
const LINES: [&str; 4] = ["", " ", "Time", ";;,,||\t\t"];

fn odd() -> impl Strategy<Value = Odd> {
    prop_oneof![
        12 => Just(Odd::No),
        1 => Just(Odd::Twice),
        2 => prop::sample::select(&CELLS[..]).prop_map(Odd::Cell),
        1 => prop::sample::select(&CELLS[..]).prop_map(Odd::Last),
        1 => prop::sample::select(&QUOTED[..]).prop_map(Odd::Cell),
        1 => prop::sample::select(&TIMES[..]).prop_map(Odd::Time),
        1 => prop::sample::select(&LINES[..]).prop_map(Odd::Line),
        1 => Just(Odd::OneMoreCell),
        1 => Just(Odd::OneLessCell),
    ]
}

/// Seconds to the row before, and what is odd.
fn rows() -> impl Strategy<Value = Vec<(i64, Odd)>> {
    let ahead_s = prop_oneof![
        20 => 1_i64..90,
        2 => Just(0_i64),
        2 => 300_i64..4000,
        1 => -4000_i64..0,
        1 => -3599_i64..-3000,
        1 => 40_000_i64..200_000,
    ];
    prop::collection::vec((ahead_s, odd()), 30..120)
}

impl Manner {
    fn options(&self) -> Options {
        Options {
            zone: self.zone.map(|z| Zone::read(z).expect("a zone")),
            decimal: Some(self.decimal as u8),
            dates: Some(crate::DateOrder::Mdy),
            ..Options::default()
        }
    }

    fn times(&self, wall_s: i64) -> Vec<String> {
        let at = jiff::Timestamp::from_second(wall_s).expect("a moment");
        let at = jiff::tz::Offset::UTC.to_datetime(at);
        let (date, clock) = (at.date(), at.time());
        let (h, m, s) = (clock.hour(), clock.minute(), clock.second());
        match self.time {
            Time::Iso => vec![format!("{date} {clock}")],
            Time::IsoOffset => vec![format!("{date}T{clock}.000+02:00")],
            Time::Minutes => vec![format!("{date} {h:02}:{m:02}")],
            Time::Long => vec![at.strftime("%A %d %B %Y %H:%M:%S").to_string()],
            Time::Days => vec![format!(
                "{}/{}/{} {h}:{m:02}",
                date.month(),
                date.day(),
                date.year()
            )],
            Time::TwelveHours => {
                let half = if h < 12 { "AM" } else { "PM" };
                let h = (h + 11) % 12 + 1;
                vec![format!(
                    "{:02}/{:02}/{} {h:02}:{m:02}:{s:02} {half}",
                    date.month(),
                    date.day(),
                    date.year()
                )]
            }
            Time::Two => vec![date.to_string(), format!("{h:02}:{m:02}:{s:02}")],
            Time::Count => vec![wall_s.to_string()],
        }
    }

    fn write(&self, rows: &[(i64, Odd)]) -> String {
        let mut cells: Vec<&str> = match self.time {
            Time::Two => vec!["Date", "Time"],
            _ => vec!["Time"],
        };
        if self.sensors {
            cells.push("Sensor");
        }
        cells.push("Temp (°C)");
        if self.remark {
            cells.push("Remark");
        }
        cells.push("RH (%)");
        if self.amount {
            cells.push("Condensate per interval (L)");
        }
        let between = self.delimiter.to_string();
        let mut text = cells.join(&between) + self.ends;
        // 2025-10-26 01:30 or 03:30: at 03:00 the clocks of Europe go back.
        let mut wall_s = if self.backward {
            1_761_449_400
        } else {
            1_761_442_200
        };
        for (i, (ahead_s, odd)) in rows.iter().enumerate() {
            wall_s += if self.backward { -ahead_s } else { *ahead_s };
            let number = |x: f64| format!("{x:.2}").replace('.', &self.decimal.to_string());
            let mut cells = self.times(wall_s);
            if let Odd::Time(time) = odd
                && 12 < i
            {
                cells[0] = (*time).to_owned();
            }
            if self.sensors {
                cells.push(["bench", "door"][i % 2].to_owned());
            }
            let first = cells.len();
            // Most are written as the one before, some are longer or shorter.
            cells.push(number(
                (i / 8 % 7) as f64 * 4.0 - 6.0 + (i % 7) as f64 / 3.0,
            ));
            if self.remark {
                cells.push("as seen".to_owned());
            }
            cells.push((8 + i / 5 % 7).to_string());
            if self.amount {
                cells.push(number(0.25));
            }
            let last = cells.len() - 1;
            let every = self.quotes;
            if every != 0 && i % every == 0 {
                cells.iter_mut().for_each(|c| *c = format!("\"{c}\""));
            }
            // The first rows say what the columns are.
            let odd = if 12 < i { odd } else { &Odd::No };
            match odd {
                Odd::Cell(cell) => cells[first] = (*cell).to_owned(),
                Odd::Last(cell) => cells[last] = (*cell).to_owned(),
                Odd::OneMoreCell => cells.push("more".to_owned()),
                Odd::OneLessCell => drop(cells.pop()),
                _ => {}
            }
            let mut line = cells.join(&between);
            if self.last_delimiter {
                line += &between;
            }
            if let Odd::Line(other) = odd {
                line = (*other).to_owned();
            }
            for _ in 0..if matches!(odd, Odd::Twice) { 2 } else { 1 } {
                text += &line;
                text += self.ends;
            }
        }
        text
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn lines_walked_and_rows_summed_are_as_lines_cut_and_rows_handed_on(
        manner in manner(),
        rows in rows(),
        block_bytes in 1_usize..3000,
    ) {
        let (text, options) = (manner.write(&rows), manner.options());
        assert_same(fast(&text, &options, block_bytes), plain(&text, &options, block_bytes), &text)?;
    }

    /// Quotes that do not pair are left out: where a block ends there, it
    /// cannot be told where the next begins.
    #[test]
    fn blocks_may_end_at_any_byte(
        manner in manner(),
        rows in rows(),
        block_bytes in 1_usize..3000,
    ) {
        let rows: Vec<(i64, Odd)> = rows
            .into_iter()
            .map(|(ahead_s, odd)| match odd {
                Odd::Cell(cell) if cell.contains('"') => (ahead_s, Odd::No),
                odd => (ahead_s, odd),
            })
            .collect();
        let (text, options) = (manner.write(&rows), manner.options());
        assert_same(fast(&text, &options, block_bytes), plain(&text, &options, 1 << 20), &text)?;
    }
}
