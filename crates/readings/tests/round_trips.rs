//! What is written in any manner is read back; junk never panics.

mod common;

use common::try_read;
use proptest::prelude::*;
use readings::{DateOrder, Measure, Options};

#[derive(Clone, Debug)]
struct Manner {
    delimiter: char,
    decimal: char,
    thousands: Option<char>,
    order: DateOrder,
    between_date: char,
    twelve_hours: bool,
    seconds: bool,
    quoted: bool,
    fahrenheit: bool,
    two_columns: bool,
    mark: bool,
    heads: usize,
    ends: &'static str,
}

fn manner() -> impl Strategy<Value = Manner> {
    let first = (
        prop::sample::select(vec![',', ';', '\t', '|']),
        prop::sample::select(vec!['.', ',']),
        prop::sample::select(vec![None, Some('\''), Some('\u{a0}')]),
        prop::sample::select(DateOrder::ALL.to_vec()),
        prop::sample::select(vec!['-', '/']),
        any::<bool>(),
        any::<bool>(),
    );
    let second = (
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
        0_usize..4,
        prop::sample::select(vec!["\n", "\r\n", "\r"]),
    );
    (first, second).prop_map(|(a, b)| Manner {
        delimiter: a.0,
        decimal: a.1,
        thousands: a.2,
        order: a.3,
        between_date: a.4,
        twelve_hours: a.5,
        seconds: a.6,
        // A comma on both sides needs quotes.
        quoted: b.0 || a.0 == a.1,
        fahrenheit: b.1,
        two_columns: b.2,
        mark: b.3,
        heads: b.4,
        ends: b.5,
    })
}

impl Manner {
    fn number(&self, x: f64, decimals: usize) -> String {
        let plain = format!("{x:.decimals$}");
        let (whole, rest) = plain.split_once('.').unwrap_or((&plain, ""));
        let mut whole = whole.to_owned();
        if let (Some(mark), true) = (self.thousands, 3 < whole.trim_start_matches('-').len()) {
            whole.insert(whole.len() - 3, mark);
        }
        if rest.is_empty() {
            whole
        } else {
            format!("{whole}{}{rest}", self.decimal)
        }
    }

    fn date(&self, [y, m, d]: [u32; 3]) -> String {
        let b = self.between_date;
        match self.order {
            DateOrder::Ymd => format!("{y}{b}{m:02}{b}{d:02}"),
            DateOrder::Dmy => format!("{d:02}{b}{m:02}{b}{y}"),
            DateOrder::Mdy => format!("{m:02}{b}{d:02}{b}{y}"),
        }
    }

    fn clock(&self, s: u32) -> String {
        let (h, m, s) = (s / 3600, s / 60 % 60, s % 60);
        let seconds = if self.seconds {
            format!(":{s:02}")
        } else {
            String::new()
        };
        if self.twelve_hours {
            let half = if h < 12 { "AM" } else { "PM" };
            format!("{}:{m:02}{seconds} {half}", (h + 11) % 12 + 1)
        } else {
            format!("{h:02}:{m:02}{seconds}")
        }
    }

    /// Rows of step, °C, share, ppm over 40 days of March and April 2025.
    fn write(&self, rows: &[(u32, f64, f64, f64)]) -> String {
        let mut text = String::new();
        if self.mark {
            text.push('\u{feff}');
        }
        for i in 0..self.heads {
            text += &format!("Property {i}: none{}", self.ends);
        }
        let quote = |s: String| if self.quoted { format!("\"{s}\"") } else { s };
        let line = |cells: Vec<String>| {
            let cells: Vec<String> = cells.into_iter().map(quote).collect();
            cells.join(&self.delimiter.to_string()) + self.ends
        };
        let temperature = if self.fahrenheit {
            "Temp (°F)"
        } else {
            "Temp (°C)"
        };
        let mut head: Vec<String> = if self.two_columns {
            vec!["Date".into(), "Time".into()]
        } else {
            vec!["Date Time".into()]
        };
        head.extend([temperature, "RH (%)", "CO2 (ppm)"].map(String::from));
        text += &line(head);
        for (step, c, share, ppm) in rows {
            let (day, second) = (step / 1440, step % 1440 * 60);
            let date = if day < 31 {
                [2025, 3, 1 + day]
            } else {
                [2025, 4, day - 30]
            };
            let mut cells = if self.two_columns {
                vec![self.date(date), self.clock(second)]
            } else {
                vec![format!("{} {}", self.date(date), self.clock(second))]
            };
            let t = if self.fahrenheit { c * 1.8 + 32.0 } else { *c };
            cells.extend([
                self.number(t, 2),
                self.number(100.0 * share, 1),
                self.number(*ppm, 0),
            ]);
            text += &line(cells);
        }
        text
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_written_is_read_back(
        manner in manner(),
        mut steps in prop::collection::btree_set(0_u32..40 * 1440, 20..60),
        seed in 0_u32..1000,
    ) {
        // A day after the twelfth decides the order.
        steps.insert(20 * 1440 + 7);
        let rows: Vec<(u32, f64, f64, f64)> = steps
            .iter()
            .map(|s| {
                let k = f64::from((s * 7 + seed) % 1000) / 1000.0;
                (*s, 18.0 + 10.0 * k, 0.4 + 0.5 * k, 400.0 + 1100.0 * k)
            })
            .collect();
        let text = manner.write(&rows);
        let (all, taken) = try_read(text.clone(), &Options::default())
            .map_err(|e| TestCaseError::fail(format!("{e}\n{text}")))?;
        prop_assert_eq!(taken.rows, rows.len() as u64);
        prop_assert_eq!(taken.rejects_all(), 0);
        let measures: Vec<Measure> = all.channels.iter().map(|(m, _)| *m).collect();
        prop_assert_eq!(measures, [Measure::DryBulb, Measure::RelHumidity, Measure::Co2]);
        // 2025-03-01 00:00 as if UTC.
        let midnight = 1_740_787_200_i64;
        for (row, (step, c, share, ppm)) in rows.iter().enumerate() {
            let read = &all.readings[3 * row..3 * row + 3];
            prop_assert_eq!(read[0].0, midnight + i64::from(*step) * 60);
            prop_assert!((read[0].2 - c).abs() < 0.006, "{} {}", read[0].2, c);
            prop_assert!((read[1].2 - share).abs() < 0.0006);
            prop_assert!((read[2].2 - ppm).abs() < 0.51);
        }
    }

    #[test]
    fn junk_never_panics(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        let _ = try_read(bytes, &Options::default());
    }

    #[test]
    fn junk_among_rows_never_panics(
        cells in prop::collection::vec("[0-9:/,;. \"\\-a-zA-Z°%\r\n\t]{0,14}", 1..60),
        zone in any::<bool>(),
    ) {
        let mut text = String::from("Time,Temp (°C),RH (%)\n2025-03-01 07:00,24.5,60\n");
        text += &cells.join(",");
        let zone = zone.then(|| readings::Zone::read("Europe/Berlin").expect("a zone of the database"));
        let _ = try_read(text, &Options { zone, ..Options::default() });
    }

    #[test]
    fn mixed_logs_never_panic(
        manner in manner(),
        cut in 0_usize..400,
        junk in prop::collection::vec(any::<u8>(), 0..20),
    ) {
        let mut bytes = manner.write(&[(5, 24.0, 0.5, 900.0), (10, 24.0, 0.5, 900.0)]).into_bytes();
        let at = cut.min(bytes.len());
        bytes.splice(at..at, junk);
        let _ = try_read(bytes, &Options::default());
    }
}
