//! Logs whose times count from their start are read once a person has said when
//! that was, and are never guessed at.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::try_read;
use readings::{Ask, Begin, ColumnChoice, Measure, Options, Refusal, Told, Zone};

/// 2026-03-01 06:00 as if UTC (POSIX time).
const SIX: i64 = 1_772_344_800;

fn begun(when: &str) -> Options {
    Options {
        begin: Some(Begin::read(when).unwrap()),
        ..Options::default()
    }
}

/// Moments and dry bulbs.
fn dry_bulbs(text: &str, options: &Options) -> Vec<(i64, f64)> {
    let (all, _) = try_read(text, options).unwrap_or_else(|e| panic!("{e}\n{text}"));
    let is = |c: usize| all.channels[c].0 == Measure::DryBulb;
    let those = all.readings.iter().filter(|(_, c, _)| is(*c));
    those.map(|(t, _, x)| (*t, *x)).collect()
}

const ROWS: [(i64, f64); 3] = [(SIX, 24.5), (SIX + 300, 25.0), (SIX + 5400, 23.5)];

#[test]
fn seconds_minutes_and_hours_say_the_same() {
    let begun = begun("2026-03-01 06:00");
    for text in [
        "Time (s),Temp (°C),RH (%)\n0,24.5,60\n300,25.0,58\n5400,23.5,58\n",
        "elapsed_seconds,Temp (°C),RH (%)\n0.2,24.5,60\n300.1,25.0,58\n5400.0,23.5,58\n",
        "Elapsed [min];Temp (°C);RH (%)\n0;24,5;60\n5;25,0;58\n90;23,5;58\n",
        "Logger 7\nHours\tTemp (°C)\tRH (%)\n0\t24.5\t60\n0.08333\t25.0\t58\n1.5\t23.5\t58\n",
        // From the newest to the oldest.
        "Time (s),Temp (°C),RH (%)\n5400,23.5,58\n300,25.0,58\n0,24.5,60\n",
    ] {
        let mut read = dry_bulbs(text, &begun);
        read.sort_by_key(|r| r.0);
        assert_eq!(read, ROWS, "{text}");
    }
    let named = Options {
        columns: vec![ColumnChoice::read("Time=time min").unwrap()],
        ..begun
    };
    let text = "Time,Temp (°C),RH (%)\n0,24.5,60\n5,25.0,58\n90,23.5,58\n";
    assert_eq!(dry_bulbs(text, &named), ROWS);
}

/// Twelve hours of seconds grow into what could be days of a spreadsheet.
#[test]
fn a_long_count_is_no_spreadsheet() {
    let mut text = String::from("Time (s),Temp (°C),RH (%)\n");
    for n in 0..1500 {
        text += &format!("{},{},60\n", n * 30, 20 + n % 7);
    }
    assert!(matches!(
        try_read(text.as_str(), &Options::default()),
        Err(Refusal::BeginOpen { .. })
    ));
    let read = dry_bulbs(&text, &begun("2026-03-01 06:00"));
    assert_eq!(read.len(), 1500);
    assert_eq!(read[1499].0, SIX + 1499 * 30);
}

#[test]
fn what_is_missing_is_asked_for_and_what_is_idle_refused() {
    let refused = |text: &str, options: &Options| try_read(text, options).unwrap_err();
    let seconds = "Time (s),Temp (°C),RH (%)\n0,24.5,60\n300,25.0,58\n";
    let open = refused(seconds, &Options::default());
    assert!(matches!(open, Refusal::BeginOpen { .. }), "{open}");
    let words = open.to_string();
    assert!(
        words.contains("seconds") && !words.contains("--"),
        "{words}"
    );
    assert_eq!(open.asks(), [Ask::new(Told::Start, ["2026-03-01 06:00"])]);
    let no_unit = "Time,Temp (°C),RH (%)\n0,24.5,60\n300,25.0,58\n";
    let open = refused(no_unit, &begun("2026-03-01 06:00"));
    assert!(matches!(open, Refusal::ElapsedUnitOpen { .. }), "{open}");
    let dated = "Time,Temp (°C),RH (%)\n2026-03-01 06:00,24.5,60\n2026-03-01 06:05,25.0,58\n";
    let idle = refused(dated, &begun("2026-03-01 06:00"));
    assert!(matches!(idle, Refusal::BeginNotAsked), "{idle}");
    // What goes up and down is no time.
    let readings =
        "t,Temp (°C),RH (%)\n5,24.5,60\n3,25.0,58\n9,25.0,58\n2,25.0,58\n7,25,58\n1,25,58\n";
    assert!(matches!(
        refused(readings, &begun("2026-03-01 06:00")),
        Refusal::NoTimes { .. }
    ));
}

/// Elapsed time runs on where the clock of the zone is put forward:
/// 2026-03-08 in America/Denver, 02:00 becomes 03:00 (IANA time zone database).
#[test]
fn a_count_runs_on_through_a_change_of_the_clock() {
    let options = Options {
        zone: Some(Zone::read("America/Denver").unwrap()),
        ..begun("2026-03-08 01:00")
    };
    let text = "Time (h),Temp (°C),RH (%)\n0,24.5,60\n1,25.0,58\n2,23.5,58\n";
    let (all, taken) = try_read(text, &options).unwrap();
    // 01:00 is 08:00 UTC.
    let eight = 1_772_956_800;
    let mut moments: Vec<i64> = all.readings.iter().map(|r| r.0).collect();
    moments.dedup();
    assert_eq!(moments, [eight, eight + 3600, eight + 7200]);
    let wall = taken.clock.days_and_seconds(moments.into_iter());
    let hours: Vec<u32> = wall.iter().map(|w| w.1 / 3600).collect();
    assert_eq!(hours, [1, 3, 4]);
    // A start that the zone's clock leaves out, and one with its offset.
    let gone = Options {
        zone: options.zone.clone(),
        ..begun("2026-03-08 02:30")
    };
    assert!(matches!(try_read(text, &gone), Err(Refusal::Choice { .. })));
    let sure = begun("2026-03-08 01:00-07:00");
    assert_eq!(dry_bulbs(text, &sure)[0].0, eight);
}
