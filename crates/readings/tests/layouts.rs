//! Logs as loggers write them, and what is no log.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::{All, try_read};
use readings::{
    Ask, ClockChange, ColumnChoice, DateOrder, Measure, Options, Reason, Refusal, Told, WallClock,
    Zone,
};

/// 2025-03-01 07:00 UTC (POSIX time).
const SEVEN: i64 = 1_740_812_400;

fn read(text: &str) -> All {
    try_read(text, &Options::default())
        .unwrap_or_else(|e| panic!("{e}\n{text}"))
        .0
}

/// What is said of a text that is refused, and what is asked.
fn refused(text: &str) -> (String, Vec<Ask>) {
    let refusal = try_read(text, &Options::default()).unwrap_err();
    (refusal.to_string(), refusal.asks())
}

/// Two rows, 24.5 °C 60 % at 07:00 and 25.0 °C 58.5 % at 07:05, by the wall
/// clock taken as UTC.
fn assert_two_rows(text: &str) {
    let all = read(text);
    let of = |measure: Measure| {
        let channel = all.channels.iter().position(|(m, _)| *m == measure);
        let channel = channel.unwrap_or_else(|| panic!("no {measure:?} in {text}"));
        let mut some: Vec<(i64, f64)> = Vec::new();
        for (t, c, x) in &all.readings {
            if *c == channel {
                some.push((*t - SEVEN, (*x * 1e9).round() / 1e9));
            }
        }
        some
    };
    assert_eq!(of(Measure::DryBulb), [(0, 24.5), (300, 25.0)], "{text}");
    assert_eq!(of(Measure::RelHumidity), [(0, 0.6), (300, 0.585)], "{text}");
}

#[test]
fn tables_of_all_shapes_say_the_same() {
    for text in [
        "Time,Temp (°C),RH (%)\n2025-03-01 07:00,24.5,60\n2025-03-01 07:05,25.0,58.5\n",
        "Time;Temp (°C);RH (%)\n2025-03-01 07:00;24,5;60\n2025-03-01 07:05;25,0;58,5\n",
        "Time\tTemp °C\tRH %\r\n2025-03-01 07:00\t24.5\t60\r\n2025-03-01 07:05\t25.0\t58.5\r\n",
        "Time|temp_c|rh\n2025-03-01T07:00:00|24.5|60\n2025-03-01T07:05:00|25|58.5",
        "Time,Temp (°F),RH (%)\n2025-03-01 07:00,76.1,60\n2025-03-01 07:05,77.0,58.5\n",
        "Time,Temp,RH\n2025-03-01 07:00,76.1,0.60\n2025-03-01 07:05,77.0,0.585\n",
        "Date,Time,Temp (°C),RH (%)\n03/01/2025,07:00 AM,24.5,60\n03/01/2025,07:05 AM,25.0,58.5\n03/13/2025,07:05 AM,,\n",
        "\u{feff}Datum;Uhrzeit;Temperatur [°C];Luftfeuchte [%]\n01.03.2025;07:00:00;24,5;60\n01.03.2025;07:05:00;25,0;58,5\n",
        "Logger 12, serial 998\nInterval: 5 min\n\n#,Date Time,\"Temp, (°C)\",\"RH, (%)\"\n1,\"2025-03-01 07:00:00\",\"24.5\",60\n2,\"2025-03-01 07:05:00\",25.0,58.5\n",
        "Time,Temp,RH\n,°C,%\n2025-03-01 07:00,24.5,60\n2025-03-01 07:05,25.0,58.5\n",
        "timestamp,temp_c,rh_percent\n1740812400,24.5,60\n1740812700,25.0,58.5\n",
        "timestamp,temp_c,rh_percent\n1740812400000,24.5,60\n1740812700000,25.0,58.5\n",
        "Date,temp_c,rh_percent\n45717.2916667,24.5,60\n45717.2951389,25.0,58.5\n",
        "Time,Temp (°C),RH (%)\n2025-03-01 08:00+01:00,24.5,60\n2025-03-01 08:05+01:00,25.0,58.5\n",
        "Time,Sensor,Value\n2025-03-01 07:00,Air temp (°C),24.5\n2025-03-01 07:00,RH (%),60\n2025-03-01 07:05,Air temp (°C),25.0\n2025-03-01 07:05,RH (%),58.5\n",
        "Time;Parameter;Unit;Value\n2025-03-01 07:00;Temperature;°F;76,1\n2025-03-01 07:00;Humidity;%;60\n2025-03-01 07:05;Temperature;°F;77,0\n2025-03-01 07:05;Humidity;%;58,5\n",
        "Time,Sensor,Temp (°C),RH (%)\n2025-03-01 07:00,Bench 1,24.5,60\n2025-03-01 07:05,Bench 1,25.0,58.5\n",
        "Time,Temp (°C),RH (%)\r2025-03-01 07:00,24.5,60\r2025-03-01 07:05,25.0,58.5\r",
        "Time  Temp_C  RH\n2025-03-01 07:00,24.5,60\n2025-03-01 07:05,25.0,58.5\n"
            .replace("Time  Temp_C  RH", "Time,Temp_C,RH")
            .as_str(),
    ] {
        assert_two_rows(text);
    }
}

#[test]
fn letters_of_all_encodings_are_read() {
    let text = "Zeit;Temperatur (°C);Feuchte (%)\n2025-03-01 07:00;24,5;60\n";
    let want = read(text);
    let utf16: Vec<u16> = text.encode_utf16().collect();
    let little: Vec<u8> = utf16.iter().flat_map(|u| u.to_le_bytes()).collect();
    let big: Vec<u8> = utf16.iter().flat_map(|u| u.to_be_bytes()).collect();
    let with = |mark: &[u8], bytes: &[u8]| [mark, bytes].concat();
    let latin: Vec<u8> = text.chars().map(|c| c as u32 as u8).collect();
    for bytes in [
        with(&[0xff, 0xfe], &little),
        with(&[0xfe, 0xff], &big),
        with(&[0xef, 0xbb, 0xbf], text.as_bytes()),
        little.clone(),
        big.clone(),
        latin,
    ] {
        let (all, _) = try_read(bytes, &Options::default()).unwrap();
        assert_eq!(all.readings, want.readings);
        assert_eq!(all.channels[0].0, Measure::DryBulb);
    }
}

#[test]
fn faults_and_bad_rows_are_counted_and_passed_over() {
    let text = "Time,Temp (°C),RH (%)\n\
                2025-03-01 07:00,24.5,60\n\
                2025-03-01 07:05,-999,9999\n\
                2025-03-01 07:10,Error,---\n\
                2025-03-01 07:15,,NaN\n\
                2025-03-01 07:15,,NaN\n\
                2025-03-01 07:20,200,61\n\
                yesterday,24,60\n\
                Time,Temp (°C),RH (%)\n\
                2025-02-30 07:20,24,60\n\
                2025-03-01 07:25,24,60,7\n\
                2025-03-01 07:22,24.6,60\n\
                2025-03-01 07:30,24.7,60\n";
    let (all, taken) = try_read(text, &Options::default()).unwrap();
    assert_eq!((taken.rows, taken.repeats, taken.out_of_order), (7, 1, 0));
    let rejected: Vec<(u64, Reason)> = taken.rejected.iter().map(|r| (r.line, r.reason)).collect();
    assert_eq!(
        rejected,
        [
            (8, Reason::NoTime),
            (9, Reason::NoTime),
            (10, Reason::NoSuchTime),
            (11, Reason::TooManyCells)
        ]
    );
    let temp = &taken.channels[0];
    // Told by row: what cannot be. Faults that loggers tell of are counted only.
    let bad: Vec<(u64, &str)> = temp.bad.iter().map(|b| (b.line, &b.text[..])).collect();
    assert_eq!(bad, [(7, "200")]);
    assert_eq!(
        (temp.readings, temp.missing.code, temp.missing.impossible),
        (3, 1, 1)
    );
    // The repeated row is among the cells seen.
    assert_eq!((temp.missing.fault, temp.missing.empty), (1, 2));
    assert_eq!(all.readings.iter().filter(|r| r.1 == 1).count(), 4);
}

#[test]
fn rows_in_disorder_and_backward_files_are_read() {
    let (_, taken) = try_read(
        "Time,Temp (°C)\n2025-03-01 07:00,24\n2025-03-01 07:10,24\n2025-03-01 07:05,24\n2025-03-01 07:15,24\n",
        &Options::default(),
    )
    .unwrap();
    assert_eq!(
        (taken.rows, taken.out_of_order, taken.layout.backward),
        (4, 1, false)
    );
    let (_, taken) = try_read(
        "Time,Temp (°C)\n2025-03-01 07:10,24\n2025-03-01 07:05,24\n2025-03-01 07:00,24\n",
        &Options::default(),
    )
    .unwrap();
    assert_eq!(
        (taken.rows, taken.out_of_order, taken.layout.backward),
        (3, 0, true)
    );
    assert_eq!(taken.span_s, (SEVEN, SEVEN + 600));
}

#[test]
fn an_open_order_of_dates_is_asked_about() {
    let text = "Time,Temp (°C)\n01/03/2025 07:00,24.5\n01/03/2025 07:05,25.0\n";
    let (said, asks) = refused(text);
    assert!(said.contains("01/03/2025"), "{said}");
    assert_eq!(asks, [Ask::new(Told::Dates, ["dmy", "mdy"])]);
    let with = |dates| Options {
        dates: Some(dates),
        ..Options::default()
    };
    let (all, _) = try_read(text, &with(DateOrder::Dmy)).unwrap();
    assert_eq!(all.readings[0].0, SEVEN);
    let (all, _) = try_read(text, &with(DateOrder::Mdy)).unwrap();
    assert_eq!(all.readings[0].0, SEVEN - 57 * 86_400);
}

#[test]
fn a_date_far_down_decides() {
    let mut text = String::from("Time,Temp (°C)\n");
    for minute in 0..60 * 24 {
        text += &format!(
            "01/03/2025 {:02}:{:02}:00,24.5 and a long note that fills the line\n",
            minute / 60,
            minute % 60
        );
    }
    let text = text.replace(" and a long note that fills the line", &" ".repeat(300));
    assert_eq!(refused(&text).1[0].told, Told::Dates);
    let decided = format!("{text}13/03/2025 07:00:00,24.5\n");
    let (_, taken) = try_read(decided, &Options::default()).unwrap();
    assert_eq!(taken.layout.order, Some(DateOrder::Dmy));
}

#[test]
fn numbers_that_may_be_thousands_are_asked_about() {
    let text = "Time;CO2 (ppm)\n2025-03-01 07:00;1,234\n2025-03-01 07:05;1,250\n";
    assert_eq!(refused(text).1[0].told, Told::Decimal);
    let options = Options {
        decimal: Some(b'.'),
        ..Options::default()
    };
    assert_eq!(try_read(text, &options).unwrap().0.readings[0].2, 1234.0);
    let both = "Time;Temp (°C);CO2 (ppm)\n2025-03-01 07:00;24.5;1,234\n";
    assert_eq!(read(both).readings[1].2, 1234.0);
}

#[test]
fn a_temperature_that_may_be_either_is_asked_about() {
    let text = "Time,Temp\n2025-03-01 07:00,46\n2025-03-01 07:05,46\n";
    let unit = Ask::new(Told::Column, ["Temp=dry bulb UNIT"]);
    assert_eq!(refused(text).1, [unit]);
    let options = Options {
        columns: vec![ColumnChoice::read("Temp=dry bulb °F").unwrap()],
        ..Options::default()
    };
    let (all, taken) = try_read(text, &options).unwrap();
    assert!((all.readings[0].2 - 7.777_778).abs() < 1e-5);
    assert_eq!(taken.layout.columns[1].why, "as said");
}

#[test]
fn options_overrule_heads() {
    let text = "when,a,b,c\n2025-03-01 07:00,24.5,60,1\n2025-03-01 07:05,25.0,58.5,1\n";
    assert!(
        refused(text).0.contains("no column that can be used"),
        "{}",
        refused(text).0
    );
    let options = Options {
        columns: vec![
            ColumnChoice::read("a=dry bulb °C").unwrap(),
            ColumnChoice::read("#3=rh %").unwrap(),
        ],
        ..Options::default()
    };
    let (all, _) = try_read(text, &options).unwrap();
    assert_eq!(all.readings.len(), 4);
    assert_eq!(all.readings[1].2, 0.6);
    let wrong = Options {
        columns: vec![ColumnChoice::read("d=rh").unwrap()],
        ..Options::default()
    };
    assert!(matches!(
        try_read(text, &wrong),
        Err(Refusal::NoSuchColumn { .. })
    ));
}

#[test]
fn what_is_no_log_is_refused_in_words() {
    for (text, want) in [
        ("", "is empty"),
        ("\n\n  \n", "is empty"),
        (
            "[room]\nname = \"Flower 2\"\nlength = \"40 ft\"\n",
            "no column holds a date and a time",
        ),
        (
            "Dear all,\nthe log is attached.\n",
            "no column holds a date and a time",
        ),
        (
            "Date,Temp (°C)\n2025-03-01,24.5\n2025-03-02,24.7\n",
            "no time of day",
        ),
        (
            "Time,Note\n2025-03-01 07:00,fine\n2025-03-01 07:05,fine\n",
            "no column that can be used",
        ),
        (
            "Time,Temp,RH\n2025-03-01 07:00,24,5,60,1\n2025-03-01 07:05,24,7,60,2\n",
            "a comma may stand both",
        ),
        ("\u{0}\u{1}\u{2}\u{0}\u{1}\u{2}PK", "is no text"),
    ] {
        let (said, _) = refused(text);
        assert!(said.contains(want), "{text:?}: {said}");
    }
}

#[test]
fn clocks_that_change_are_followed_or_told() {
    // 2025-11-02, America/Denver: 01:00 to 02:00 comes twice (IANA database).
    let text = "Time,Temp (°C)\n2025-11-02 00:30,24\n2025-11-02 01:00,24\n2025-11-02 01:30,24\n\
                2025-11-02 01:00,25\n2025-11-02 01:30,25\n2025-11-02 02:00,25\n";
    let zone = Options {
        zone: Some(Zone::read("America/Denver").unwrap()),
        ..Options::default()
    };
    let (all, taken) = try_read(text, &zone).unwrap();
    let steps: Vec<i64> = all.readings.windows(2).map(|w| w[1].0 - w[0].0).collect();
    assert_eq!(steps, [1800; 5]);
    assert_eq!(taken.changes, [ClockChange::HourTwice { line: 5 }]);
    assert_eq!((taken.out_of_order, taken.repeats), (0, 0));
    // 2025-03-09: 02:00 to 03:00 is left out.
    let text = "Time,Temp (°C)\n2025-03-09 01:30,24\n2025-03-09 03:00,24\n2025-03-09 03:30,24\n";
    let (all, _) = try_read(text, &zone).unwrap();
    let steps: Vec<i64> = all.readings.windows(2).map(|w| w[1].0 - w[0].0).collect();
    assert_eq!(steps, [1800; 2]);
    let (_, taken) = try_read(text, &Options::default()).unwrap();
    assert_eq!(taken.clock, WallClock::Own);
}

#[test]
fn the_one_who_watches_may_stop() {
    let text = "Time,Temp (°C)\n2025-03-01 07:00,24\n";
    let mut all = All::default();
    let mut source = std::io::Cursor::new(text);
    let stopped = readings::read(&mut source, &Options::default(), &mut all, &mut |_| false);
    assert!(matches!(stopped, Err(Refusal::Stopped)));
}

#[test]
fn many_blocks_are_one_log() {
    let mut text = String::from("Time,Temp (°C),Note\n");
    let rows = 60_000;
    for i in 0..rows {
        let t = jiff_free_clock(i * 10);
        text += &format!(
            "{t},{}.{},\"said \"\"fine\"\",\nand more of it\"\n",
            20 + i % 7,
            i % 10
        );
    }
    assert!(2 << 20 < text.len());
    let (all, taken) = try_read(text, &Options::default()).unwrap();
    assert_eq!((taken.rows, taken.rejects_all()), (rows as u64, 0));
    for (i, (t, _, x)) in all.readings.iter().enumerate() {
        assert_eq!(*t, SEVEN - 7 * 3600 + 10 * i as i64);
        assert!((x - (20 + i % 7) as f64 - (i % 10) as f64 / 10.0).abs() < 1e-9);
    }
}

/// Seconds after 2025-03-01 00:00, within that month.
fn jiff_free_clock(s: usize) -> String {
    let (day, s) = (1 + s / 86_400, s % 86_400);
    format!(
        "2025-03-{day:02} {:02}:{:02}:{:02}",
        s / 3600,
        s / 60 % 60,
        s % 60
    )
}

/// Water as a bucket that tips every third row tells it: as a count, as amounts.
fn water_log(head: &str, rows: u32, count: bool) -> String {
    let mut text = format!("Time,Temp (°C),RH (%),{head}\n");
    for i in 0..rows {
        let tips = if count {
            (i + 1) / 3
        } else {
            u32::from(i % 3 == 2)
        };
        let (day, minute) = (1 + i / 1440, i % 1440);
        text += &format!(
            "2025-03-{day:02} {:02}:{:02},24.5,60,{:.2}\n",
            minute / 60,
            minute % 60,
            0.02 * f64::from(tips)
        );
    }
    text
}

#[test]
fn water_that_counts_on_is_told_from_amounts_by_its_numbers() {
    for (head, count, want) in [
        ("Condensate (gal)", true, Measure::WaterCounter),
        ("Condensate (gal)", false, Measure::Water),
        ("Condensate total (gal)", true, Measure::WaterCounter),
        ("Condensate interval (gal)", false, Measure::Water),
    ] {
        let (_, taken) = try_read(water_log(head, 300, count), &Options::default()).unwrap();
        let water = &taken.channels[2];
        assert_eq!(water.measure, want, "{head} {count}");
        // Where the numbers told, that is said.
        let told = water.why.contains("its numbers");
        assert_eq!(told, head == "Condensate (gal)", "{}", water.why);
    }
}

/// The first rows show nothing of it: the whole file decides.
#[test]
fn water_that_comes_late_is_told_by_the_whole_file() {
    let mut text = String::from("Time,Temp (°C),RH (%),Condensate (L)\n");
    for i in 0..9000u32 {
        let (day, minute) = (1 + i / 1440, i % 1440);
        text += &format!(
            "2025-03-{day:02} {:02}:{:02},24.5,60,{}\n",
            minute / 60,
            minute % 60,
            i.saturating_sub(8500)
        );
    }
    let (_, taken) = try_read(text, &Options::default()).unwrap();
    assert_eq!(taken.channels[2].measure, Measure::WaterCounter);
}

#[test]
fn water_that_nothing_decides_is_asked_about() {
    let column = |refusal: Result<_, Refusal>| match refusal.map(|_| ()) {
        Err(refusal @ Refusal::CountOpen { .. }) => refusal.asks(),
        other => panic!("{other:?}"),
    };
    // Too few rows; a head that says another thing than the numbers.
    for (head, rows, count) in [
        ("Condensate (L)", 4, true),
        ("Condensate total (L)", 300, false),
        ("Condensate interval (L)", 300, true),
    ] {
        let text = water_log(head, rows, count);
        let asks = column(try_read(text.clone(), &Options::default()));
        assert_eq!(asks.len(), 1);
        // What is told for an answer is taken.
        for (answer, want) in asks[0]
            .such_as
            .iter()
            .zip([Measure::WaterCounter, Measure::Water])
        {
            let options = Options {
                columns: vec![readings::ColumnChoice::read(answer).unwrap()],
                ..Options::default()
            };
            let (_, taken) = try_read(text.clone(), &options).unwrap();
            assert_eq!(taken.channels[2].measure, want, "{answer}");
        }
    }
    // Zeros are no water, however they are taken.
    let zeros = "Time,Temp (°C),RH (%),Condensate (L)\n2025-03-01 07:00,24,60,0\n2025-03-01 07:05,24,60,0\n";
    assert!(try_read(zeros, &Options::default()).is_ok());
}

/// Rows that name their sensors: each is told by its own numbers.
#[test]
fn water_of_named_sensors_is_told_by_their_numbers() {
    let mut text = String::from("Time,Sensor,Value\n");
    for i in 0..200u32 {
        let time = format!("2025-03-01 {:02}:{:02}", i / 60, i % 60);
        text += &format!("{time},Temp (°C),24\n{time},Condensate (L),{}\n", i / 3);
        text += &format!("{time},Condensate B (L),{}\n", i % 2);
    }
    let (all, _) = try_read(text, &Options::default()).unwrap();
    let measures: Vec<Measure> = all.channels.iter().map(|c| c.0).collect();
    assert_eq!(
        measures,
        [Measure::DryBulb, Measure::WaterCounter, Measure::Water]
    );
}

/// A state of ones and zeros with some codes that are none: those cells are
/// rejected and told, and what is left means what it did.
#[test]
fn odd_codes_of_a_state_are_rejected_and_told() {
    let mut text = String::from("Time,Temp (°C),RH (%),D1 state\n");
    for i in 0..600u32 {
        let (hour, minute) = (i / 60, i % 60);
        let state = match i {
            _ if i % 90 == 7 => "2",
            300 => "maybe",
            _ if i % 2 == 0 => "1",
            _ => "0",
        };
        text += &format!("2025-03-01 {hour:02}:{minute:02},24.5,60,{state}\n");
    }
    let (all, taken) = try_read(text.clone(), &Options::default()).unwrap();
    let state = &taken.channels[2];
    assert_eq!((state.measure, state.unit), (Measure::UnitState, ""));
    assert_eq!((state.missing.impossible, state.missing.unreadable), (7, 1));
    let bad: Vec<(u64, &str)> = state.bad.iter().map(|b| (b.line, &b.text[..])).collect();
    let first = [(9, "2"), (99, "2"), (189, "2"), (279, "2"), (302, "maybe")];
    assert_eq!(bad, first);
    let on = all.readings.iter().filter(|r| r.1 == 2 && r.2 == 1.0);
    assert_eq!(
        on.count(),
        (0..600)
            .filter(|i| i % 2 == 0 && i % 90 != 7 && *i != 300)
            .count()
    );
    // The way that sums where it reads tells the same.
    let mut grid = readings::Grid::new(60, 1 << 12);
    let mut source = std::io::Cursor::new(text);
    let summed = readings::read(&mut source, &Options::default(), &mut grid, &mut |_| true);
    assert_eq!(summed.unwrap().channels, taken.channels);
}

#[test]
fn a_column_headed_by_the_tag_of_a_unit_tells_of_it() {
    let log = |cells: [&str; 4]| {
        let mut text = String::from("Time,Temp (°C),RH (%),D1\n");
        for (i, cell) in cells.iter().enumerate() {
            text += &format!("2025-03-01 07:0{i},24.5,60,{cell}\n");
        }
        text
    };
    let with_tags = Options {
        tags: vec!["D1".into(), "D2".into()],
        ..Options::default()
    };
    let measure = |cells| {
        let (_, taken) = try_read(log(cells), &with_tags)?;
        Ok(taken.channels.get(2).map(|c| (c.measure, c.unit)))
    };
    let state = Some((Measure::UnitState, ""));
    assert_eq!(measure(["0", "1", "1", "0"]).unwrap(), state);
    assert_eq!(measure(["off", "on", "on", "off"]).unwrap(), state);
    let power = Some((Measure::UnitPower, "W"));
    assert_eq!(measure(["4", "1020", "1018", "4"]).unwrap(), power);
    assert_eq!(measure(["a", "b", "c", "d"]).unwrap(), None);
    // Kilowatts, or a state with a code.
    let open: Result<_, Refusal> = measure(["0.01", "1.02", "1.01", "0.01"]);
    let refusal = open.unwrap_err();
    assert!(matches!(refusal, Refusal::TagOpen { .. }), "{refusal}");
    for answer in refusal.asks().iter().flat_map(|a| &a.such_as) {
        ColumnChoice::read(answer).unwrap();
    }
    // A head of a room without such a unit.
    let (_, taken) = try_read(log(["0", "1", "1", "0"]), &Options::default()).unwrap();
    assert_eq!(taken.channels.len(), 2);
}
