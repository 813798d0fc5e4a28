//! The fault search on the command line and as a page.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::fmt::Write as _;
use std::path::Path;

use common::web::{Answer, Server};
use common::{EIGHT, Ran, drywright};
use serde_json::Value;

const UNIT: &str = "[[unit]]\ntag = \"D1\"\nmodel = \"generic-150\"\n";

fn json(at: &std::path::Path, args: &[&str]) -> Value {
    let ran = drywright(at, &[&["fault"], args, &["--json"]].concat());
    assert_eq!(ran.code, 0, "{args:?}: {}", ran.err);
    serde_json::from_str(&ran.out).unwrap()
}

#[test]
fn a_call_goes_from_symptom_to_remedy() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::write(at.join("a.room.toml"), format!("{EIGHT}{UNIT}")).unwrap();
    let about = ["a.room.toml", "--unit", "D1", "--seen", "water-at-cabinet"];

    let first = json(at, &about);
    assert_eq!(first["explained"], true);
    assert!(first["findings"].as_array().unwrap().is_empty());
    let next = first["next"].as_array().unwrap();
    assert!(!next.is_empty());

    // The trap lifts 300 Pa with a seal of 20 mm: too shallow.
    let readings = [
        "--reading",
        "suction=300 Pa",
        "--reading",
        "seal=20 mm",
        "--seen",
        "drains-when-stopped",
    ];
    let found = json(at, &[&about[..], &readings].concat());
    assert_eq!(found["causes"][0]["cause"], "trap-too-shallow");
    assert!(0.9 < found["causes"][0]["probability"].as_f64().unwrap());
    assert_eq!(found["findings"][0]["check"], "cause_found");

    // The same from the schema, and in words.
    let schema: Value = serde_json::from_str(&drywright(at, &["schema", "fault"]).out).unwrap();
    assert_eq!(common::schema::violations(&schema, &found), [""; 0]);
    let told = drywright(at, &[&["fault"], &about[..], &readings].concat());
    assert!(told.out.contains("rebuild the trap"), "{}", told.out);
    assert!(told.out.contains("common practice"), "{}", told.out);
}

#[test]
fn what_cannot_be_used_is_told_with_what_can() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::write(at.join("a.room.toml"), format!("{EIGHT}{UNIT}")).unwrap();
    for (args, told) in [
        (&["--seen", "no-such"][..], "no-such"),
        (&["--answer", "level-check"], "TEST=2"),
        (&["--answer", "level-check=3"], "2 level"),
        (&["--answer", "level-check=0"], "1 out of tolerance"),
        (&["--answer", "no-such=1"], "no-such"),
        (&["--reading", "current=many"], "current"),
        (&["--reading", "current=9.8 V"], "current"),
        (&["--reading", "no-such=1 A"], "since-power-up"),
        (&["--seen", "frost", "--not-seen", "frost"], "twice"),
        (&["--model", "no-such"], "generic-150"),
        (&["--unit", "D1"], "room file"),
        (&["a.room.toml", "--unit", "D9"], "D1"),
    ] {
        let ran = drywright(at, &[&["fault"], args].concat());
        assert_eq!(ran.code, 2, "{args:?}: {}", ran.out);
        assert!(ran.err.contains(told), "{args:?}: {}", ran.err);
    }
    // All at once, before a log is read for it.
    let wrong = [
        "fault",
        "a.room.toml",
        "--log",
        "no-such.csv",
        "--seen",
        "sen",
        "--answer",
        "level-check=7",
        "--reading",
        "current",
        "--reading",
        "inlet-rh=160 %",
    ];
    let ran = drywright(at, &wrong);
    assert_eq!(ran.code, 2, "{}", ran.out);
    for told in [
        "no symptom \"sen\"",
        "\"7\" is no outcome",
        "\"current\" is no reading",
        "inlet-rh: ",
    ] {
        assert!(ran.err.contains(told), "{told}: {}", ran.err);
    }
    // A reading that needs more is told as not used, and the rest goes on.
    let ran = drywright(at, &["fault", "--reading", "current=5 A"]);
    assert_eq!(ran.code, 0);
    assert!(ran.out.contains("needs the unit's model"), "{}", ran.out);
    let list = drywright(at, &["fault", "--list"]).out;
    assert!(list.contains("level-check") && list.contains("frost") && list.contains("suction"));
}

/// Plate of generic-150: 208/240 V, 11.6 A; 150 L/d at its best.
#[test]
fn impossible_readings_are_refused_and_unusual_ones_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::write(at.join("a.room.toml"), format!("{EIGHT}{UNIT}")).unwrap();
    let about = ["fault", "a.room.toml", "--unit", "D1", "--units", "metric"];
    let run = |args: &[&str]| drywright(at, &[&about, args].concat());
    for (reading, told) in [
        ("current=400 A", "400 A is unusual here"),
        ("current=-4 A", "−4.0 A cannot be"),
        ("voltage=2400 V", "2400 V cannot be"),
        ("voltage=24 V", "is 240 V meant?"),
        ("inlet-rh=160 %", "can"),
        ("condensate=-5 L/d", "−5.0 L/d cannot be"),
        ("condensate=3000 L/d", "L/d meant?"),
        ("room-dry-bulb=75", "is it meant?"),
        ("inlet-dry-bulb=-60 °C", "cannot be"),
        ("discharge-dry-bulb=240 °C", "cannot be"),
        ("suction=-250 Pa", "cannot be"),
        ("seal=2 m", "cannot be"),
        ("since-power-up=-3 min", "cannot be"),
        ("pressure=20 kPa", "50.0 kPa to 110 kPa can"),
        ("setpoint=5", "is unusual here"),
    ] {
        let ran = run(&["--reading", reading]);
        assert_eq!(ran.code, 2, "{reading}: {}", ran.out);
        assert!(ran.err.contains(told), "{reading}: {}", ran.err);
        let (name, _) = reading.split_once('=').unwrap();
        assert!(ran.err.contains(name), "{reading}: {}", ran.err);
    }
    // All at once, and what is meant is taken, not what cannot be.
    let two = ["--reading", "current=400", "--reading", "inlet-rh=160 %"];
    let ran = run(&two);
    for told in ["400 A is unusual", "--meant current", "inlet-rh: "] {
        assert!(ran.err.contains(told), "{told}: {}", ran.err);
    }
    let meant = [&two[..2], &["--meant", "current"]].concat();
    let ran = run(&meant);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("draws 400"), "{}", ran.out);
    assert_eq!(
        run(&[&two[..], &["--meant", "current,inlet-rh"]].concat()).code,
        2
    );
    // One reading has one number.
    let ran = run(&["--reading", "current=9 A", "--reading", "current=5 A"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("given twice"), "{}", ran.err);
    // Suction at a pan that is under pressure by its record is named with why.
    let trap = [
        "--reading",
        "suction=1.5 in w.g.",
        "--reading",
        "seal=0.5 in",
    ];
    let under_pressure = json(at, &[&["--model", "generic-70"], &trap[..]].concat());
    let first = &under_pressure["findings"][0];
    assert_eq!(first["check"], "excluded_by_record", "{under_pressure:#}");
    assert!(first["why"].as_str().unwrap().contains("under pressure"));
    // A bare number is in the unit that the list names.
    let list = drywright(at, &["fault", "--list", "--units", "us"]).out;
    assert!(list.contains("the trap has, in\n"), "{list}");
    let bare = |units: &str| {
        let args = ["fault", "a.room.toml", "--unit", "D1", "--units", units];
        let readings = [
            "--reading",
            "suction=1.2",
            "--reading",
            "seal=0.5",
            "--json",
        ];
        drywright(at, &[&args[..], &readings].concat())
    };
    let us: Value = serde_json::from_str(&bare("us").out).unwrap();
    assert_eq!(us["causes"][0]["cause"], "trap-too-shallow");
}

#[test]
fn the_page_tells_all_that_is_wrong_and_keeps_what_was_typed() {
    let server = Server::with_room(&[]);
    let told = "unit=D1&seen.water-at-cabinet=yes&test.level-check=2&read.seal=40";
    for at in ["/fault", "/jobs/one/rooms/a/fault"] {
        let wrong = "read.current=4000+A&read.condensate=-5+L/d&read.inlet-rh=many";
        let page = server.get(&format!("{at}?{told}&{wrong}")).body;
        let (_, problem) = page.split_once("There is a problem").unwrap();
        let problem = problem.split("</div>").next().unwrap();
        for name in ["current", "condensate", "inlet-rh"] {
            let link = format!("<a href=\"#read.{name}\">");
            assert!(problem.contains(&link), "{at}: {problem}");
            assert!(page.contains(&format!("id=\"read.{name}\"")), "{at}");
        }
        assert!(
            page.contains("<details open><summary>Readings"),
            "{at}: {page}"
        );
        assert_eq!(page.matches("aria-invalid=\"true\"").count(), 3, "{at}");
        // Nothing that was typed is lost, the fields that are right among it.
        let value = |name: &str| {
            let (_, field) = page.split_once(&format!("name=\"read.{name}\"")).unwrap();
            let field = field.split('>').next().unwrap();
            let (_, value) = field.split_once(" value=\"").unwrap();
            value.split('"').next().unwrap().to_owned()
        };
        assert_eq!(value("current"), "4000 A");
        assert_eq!(value("condensate"), "-5 L/d");
        assert_eq!(value("seal"), "40");
        let answered = "name=\"test.level-check\"";
        let (_, field) = page.split_once(answered).unwrap();
        let field = field.split("</select>").next().unwrap();
        assert!(field.contains("value=\"2\" selected"), "{at}: {field}");
        let (_, field) = page.split_once("name=\"seen.water-at-cabinet\"").unwrap();
        let field = field.split("</select>").next().unwrap();
        assert!(field.contains("value=\"yes\" selected"), "{at}: {field}");
    }
    // What is unusual is taken once it is said to be meant, that number only.
    let at = "/jobs/one/rooms/a/fault";
    let unusual = |meant: &str| {
        let asked = format!("{at}?unit=D1&read.current=300+A{meant}");
        server.get(&asked).body
    };
    let first = unusual("");
    assert!(first.contains("300 A is unusual here"), "{first}");
    assert!(
        first.contains("name=\"meant.current\" value=\"300 A\""),
        "{first}"
    );
    let taken = unusual("&meant.current=300+A");
    assert!(!taken.contains("There is a problem"), "{taken}");
    let other = unusual("&meant.current=30+A");
    assert!(other.contains("There is a problem"), "{other}");
}

#[test]
fn the_page_takes_answers_from_its_address() {
    let server = Server::with_room(&[]);
    for at in ["/fault", "/jobs/one/rooms/a/fault"] {
        let page = server.get(at);
        assert_eq!(page.status, 200, "{at}");
        assert!(page.body.contains("What is seen"));
        // Each question has one field: of two of one name, the last would win.
        for field in page.body.split("<select id=\"").skip(1) {
            let id = field.split('"').next().unwrap();
            let selects = page.body.matches(&format!("<select id=\"{id}\"")).count();
            assert_eq!(selects, 1, "{id}");
        }
        let asked = server.get(&format!(
            "{at}?seen.water-at-cabinet=yes&seen.drains-when-stopped=yes&test.paper-at-drain=1"
        ));
        assert!(asked.body.contains("trap"), "{at}");
        assert!(asked.body.contains("Is air pulled in at the drain"), "{at}");
        let wrong = server.get(&format!("{at}?read.current=many%3Cb%3E"));
        assert!(wrong.body.contains("There is a problem"), "{at}");
        assert!(wrong.body.contains("<title>Error: "), "{at}");
        assert!(!wrong.body.contains("many<b>"), "{at}");
    }
}

/// Whether the record of a job holds these words.
fn holds(at: &Path, words: &str) -> bool {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("copy.sqlite");
    let copied = ["start", "a.room.toml", "--export", file.to_str().unwrap()];
    let ran = drywright(at, &copied);
    assert!(ran.code < 2, "{}", ran.err);
    let bytes = std::fs::read(file).unwrap();
    bytes.windows(words.len()).any(|w| w == words.as_bytes())
}

#[test]
fn a_call_is_written_into_the_record_once() {
    let server = Server::with_room(&[]);
    let at = "/jobs/one/rooms/a/fault";
    let sent = [
        ("seen.water-at-cabinet", "yes"),
        ("test.level-check", "1"),
        ("form", "0123456789abcdef"),
        ("by", "Ada"),
        ("mended", "yes"),
        ("did", "levelled it at the back rods"),
    ];
    let first = server.post(at, &sent);
    assert_eq!(first.status, 303, "{}", first.body);
    let place = first.header("location").unwrap().to_owned();
    assert_eq!(
        server.post(at, &sent).header("location"),
        Some(place.as_str())
    );
    assert!(server.get(&place).body.contains("Written into the record"));
    let job = server.folder.path().join("one");
    assert!(holds(&job, "levelled it at the back rods"));
    // Mended, and neither a cause nor what was done: that is asked.
    let how = server.post(at, &[&sent[..2], &sent[3..5]].concat());
    assert_eq!(how.status, 400, "{}", how.body);
    assert!(how.body.contains("say what was done"), "{}", how.body);
    let nothing = server.post(at, &[("by", "Ada")]);
    assert_eq!(nothing.status, 400, "{}", nothing.body);
    let nobody = server.post(at, &sent[..3]);
    assert_eq!(nobody.status, 400, "{}", nobody.body);
    assert!(nobody.body.contains("name is missing"));
}

#[test]
fn the_command_line_writes_into_the_record_too() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::write(at.join("a.room.toml"), format!("{EIGHT}{UNIT}")).unwrap();
    let args = ["fault", "a.room.toml", "--unit", "D1", "--seen", "frost"];
    let did = ["--record", "Ada", "--mended", "--did", "new filter"];
    let ran = drywright(at, &[&args[..], &did].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(holds(at, "new filter"));
    assert!(ran.err.contains("record.sqlite"), "{}", ran.err);
    assert!(at.join("record.sqlite").is_file());
    // Without a room there is no record to write into.
    assert_eq!(drywright(at, &["fault", "--record", "Ada"]).code, 2);
}

/// A room that lists no unit has those of its design, for a call as on its page
/// and at its start-up.
#[test]
fn units_of_the_design_are_known_where_the_room_lists_none() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::write(at.join("a.room.toml"), EIGHT).unwrap();
    let about = ["a.room.toml", "--unit", "D1", "--reading", "current=5 A"];
    let known = json(at, &about);
    assert_eq!(known["not_used"], Value::Array(Vec::new()), "{known:#}");
    let other = drywright(at, &["fault", "a.room.toml", "--unit", "D99"]);
    assert_eq!(other.code, 2);
    assert!(other.err.contains("there are: D1"), "{}", other.err);
}

/// Invented. Two units in a small room of leafy greens.
const LEAFY: &str = r#"[site]
pressure = "101325 Pa"
[room]
name = "Leafy"
length = "10 m"
width = "8 m"
height = "4 m"
[light]
power = "5 kW"
ppfd = "250 umol/m2/s"
on = "06:00"
photoperiod = "16 h"
[crop]
kind = "leafy greens"
canopy = "12 m2"
[target.lights_on]
dry_bulb = "22 °C"
rh = "65..75 %"
[target.lights_off]
dry_bulb = "20 °C"
rh = "65..75 %"
[[unit]]
tag = "D1"
model = "generic-30"
[[unit]]
tag = "D2"
model = "generic-30"
"#;

/// What a room does in a minute: dry bulb \[°C\], relative humidity \[%\], power
/// of D1 and D2 \[W\].
type Does = fn(usize) -> [f64; 4];

/// Three days of a room, minute by minute, as a logger writes them.
fn log(does: Does) -> String {
    let mut text =
        String::from("time,Canopy temp (°C),Canopy RH (%),Light (lux),D1 power (W),D2 power (W)\n");
    for n in 0..3 * 1440 {
        let [t, rh, d1, d2] = does(n);
        let lit = if (360..1320).contains(&(n % 1440)) {
            14_000
        } else {
            0
        };
        writeln!(
            text,
            "2025-03-{:02}T{:02}:{:02}:00Z,{t:.2},{rh:.2},{lit},{d1:.0},{d2:.0}",
            10 + n / 1440,
            n % 1440 / 60,
            n % 60,
        )
        .unwrap();
    }
    text
}

/// A humid room that does not care whether D1 runs, which draws half of what
/// its record has; D2 rests.
fn weak(n: usize) -> [f64; 4] {
    let slow = (n as f64 / 700.0).sin();
    let on = n % 50 < 25;
    [22.0, 79.0 + slow, if on { 200.0 } else { 0.0 }, 0.0]
}

/// D1 starts and stops every few minutes while the air stays above setpoint.
fn cycling(n: usize) -> [f64; 4] {
    [22.0, 78.0, if n % 6 < 3 { 500.0 } else { 0.0 }, 0.0]
}

/// Dark hours that are colder than the model may run in.
fn cold(n: usize) -> [f64; 4] {
    let lit = (360..1320).contains(&(n % 1440));
    [if lit { 22.0 } else { 1.0 }, 78.0, 500.0, 500.0]
}

fn leafy(at: &Path, does: Does) {
    std::fs::write(at.join("a.room.toml"), LEAFY).unwrap();
    std::fs::write(at.join("log.csv"), log(does)).unwrap();
}

/// The line of what a log shows that answers a question.
fn line<'a>(found: &'a Value, answers: &str) -> &'a Value {
    let lines = found["log"].as_array().unwrap();
    lines
        .iter()
        .find(|l| l["answers"] == answers)
        .unwrap_or_else(|| panic!("{answers}: {lines:#?}"))
}

fn outcome(found: &Value, answers: &str, which: usize) -> f64 {
    line(found, answers)["outcomes"][which].as_f64().unwrap()
}

const D1: [&str; 5] = ["a.room.toml", "--unit", "D1", "--log", "log.csv"];

#[test]
fn a_log_speaks_for_the_cause_line_by_line() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    leafy(at, weak);
    let told = ["--seen", "runs-little-water"];
    let without = json(at, &[&D1[..3], &told].concat());
    assert_eq!(without["log"], Value::Array(Vec::new()));
    let found = json(at, &[&D1[..], &told].concat());
    // The air does not answer to it, and it draws well below its record.
    assert!(0.9 < outcome(&found, "pull-down", 0), "{found:#}");
    assert!(0.9 < outcome(&found, "run-current", 1), "{found:#}");
    assert!(0.9 < outcome(&found, "inlet-air", 2), "{found:#}");
    // 79 % is above a target of 75 %, whatever the hygrometer's offset.
    assert!(0.9 < outcome(&found, "room-wet", 0), "{found:#}");
    // One hygrometer alone is not found to be wrong, nor to be right.
    let sensors = line(&found, "sensor-log");
    assert!(sensors["shows"].as_str().unwrap().contains("alone"));
    let first = found["causes"][0]["cause"].as_str().unwrap();
    assert!(
        ["refrigerant-low", "compressor-dead"].contains(&first),
        "{found:#}"
    );
    let p = |v: &Value| v["causes"][0]["probability"].as_f64().unwrap();
    assert!(p(&without) < p(&found));

    let schema: Value = serde_json::from_str(&drywright(at, &["schema", "fault"]).out).unwrap();
    assert_eq!(common::schema::violations(&schema, &found), [""; 0]);
    let words = drywright(at, &[&["fault"], &D1[..], &told].concat()).out;
    assert!(
        words.contains("Taken from the log, line by line"),
        "{words}"
    );

    // What a log shows is something told.
    let kept = drywright(at, &[&["fault"], &D1[..], &["--record", "Ada"]].concat());
    assert_eq!(kept.code, 0, "{}", kept.err);

    // What a person answered stands; the log's line does not count again.
    let told = json(at, &[&D1[..], &["--answer", "pull-down=3"]].concat());
    assert_eq!(line(&told, "pull-down")["counts"], false);
    assert_eq!(line(&told, "run-current")["counts"], true);
    // Without a unit only the room is looked at.
    let room = json(at, &["a.room.toml", "--log", "log.csv"]);
    assert!(!room["log"].to_string().contains("pull-down"));
    assert!(0.9 < outcome(&room, "room-wet", 0));
}

#[test]
fn a_log_shows_short_runs_and_cold_air() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    leafy(at, cycling);
    let found = json(at, &D1);
    assert!(0.9 < outcome(&found, "short-cycles", 0), "{found:#}");
    assert!(0.9 < outcome(&found, "cycle-log", 1), "{found:#}");
    leafy(at, cold);
    let found = json(at, &[&D1[..], &["--seen", "frost"]].concat());
    assert!(0.9 < outcome(&found, "inlet-air", 0), "{found:#}");
    assert_eq!(found["causes"][0]["cause"], "room-too-cold", "{found:#}");
}

/// The simulated day of the room, as a sound plant has it: nothing speaks
/// against its units.
#[test]
fn a_log_of_a_sound_room_speaks_for_no_fault_of_a_unit() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::write(at.join("a.room.toml"), LEAFY).unwrap();
    assert!(drywright(at, &["day", "a.room.toml", "--csv", "day.csv"]).code < 2);
    let day = std::fs::read_to_string(at.join("day.csv")).unwrap();
    let minutes: Vec<Vec<f64>> = day
        .lines()
        .skip(1)
        .map(|l| l.split(',').map(|c| c.parse().unwrap()).collect())
        .collect();
    let mut text =
        String::from("time,Canopy temp (°C),Canopy RH (%),Light (lux),D1 state,D2 state\n");
    for n in 0..3 * 1440 {
        let row = &minutes[n % 1440];
        let lit = u8::from((360..1320).contains(&(n % 1440)));
        let on = |k: f64| u8::from(k <= row[9]);
        writeln!(
            text,
            "2025-03-{:02}T{:02}:{:02}:00Z,{:.2},{:.2},{lit},{},{}",
            10 + n / 1440,
            n % 1440 / 60,
            n % 60,
            row[1],
            row[2],
            on(1.0),
            on(2.0)
        )
        .unwrap();
    }
    std::fs::write(at.join("log.csv"), text).unwrap();
    let found = json(at, &D1);
    let lines = found["log"].as_array().unwrap();
    let may = |answers: &str, least: f64, which: usize| {
        if lines.iter().any(|l| l["answers"] == answers) {
            assert!(
                least < outcome(&found, answers, which),
                "{answers}: {found:#}"
            );
        }
    };
    may("pull-down", 0.5, 2);
    may("inlet-air", 0.9, 2);
    may("short-cycles", 0.5, 1);
    may("sensor-log", 0.4, 2);
    may("water-against-design", 0.5, 1);
}

#[test]
fn what_is_no_log_is_refused_in_words() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    leafy(at, weak);
    std::fs::write(at.join("poem.csv"), "Roses are red\nviolets are blue\n").unwrap();
    let run = |args: &[&str]| -> Ran { drywright(at, &[&["fault"], args].concat()) };
    for (args, told) in [
        (
            &["a.room.toml", "--log", "no.csv"][..],
            "no.csv cannot be read",
        ),
        (&["a.room.toml", "--log", "poem.csv"], "poem.csv"),
        (&["a.room.toml", "--log", "."], "folder"),
        (&["--log", "poem.csv"], "poem.csv"),
        (
            &["--log", "log.csv", "--reading", "setpoint=wet"],
            "setpoint",
        ),
    ] {
        let ran = run(args);
        assert_eq!(ran.code, 2, "{args:?}: {}", ran.out);
        assert!(ran.err.contains(told), "{args:?}: {}", ran.err);
    }
}

/// A room that nobody surveyed: what air and power tell by themselves enters,
/// what needs the room is named.
#[test]
fn a_log_without_a_room_tells_what_it_can() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let alone = |does: Does, args: &[&str]| {
        std::fs::write(at.join("log.csv"), log(does)).unwrap();
        json(at, &[&["--log", "log.csv"], args].concat())
    };
    let says = |found: &Value, words: &str| {
        let lines = found["log"].as_array().unwrap();
        lines
            .iter()
            .any(|l| l["shows"].as_str().unwrap().contains(words))
    };
    // It starts ten times an hour; without a setpoint nobody knows whether the
    // humidity had come down by then.
    let found = alone(cycling, &["--unit", "D1"]);
    assert!(0.9 < outcome(&found, "short-cycles", 0), "{found:#}");
    let without = line(&found, "cycle-log")["outcomes"].clone();
    assert_eq!(without[0], without[1], "{without}");
    assert!(without[3].as_f64().unwrap() < 0.1, "{without}");
    for missing in ["needs the setpoint", "need its model", "need the room"] {
        assert!(says(&found, missing), "{missing}: {found:#}");
    }
    assert!(says(&found, "dew point"), "{found:#}");
    // With it: it stops while 78 % is far above 60 %, and never gets there.
    let set = ["--unit", "D1", "--reading", "setpoint=60 %"];
    let found = alone(cycling, &set);
    assert!(0.9 < outcome(&found, "cycle-log", 1), "{found:#}");
    assert!(0.99 < outcome(&found, "room-wet", 0), "{found:#}");
    assert!(!says(&found, "needs the setpoint"), "{found:#}");
    // Nothing is left of it where the setpoint is reached.
    let reached = ["--unit", "D1", "--reading", "setpoint=85 %"];
    assert!(0.99 < outcome(&alone(cycling, &reached), "room-wet", 1));
    // With its model, what it draws is held against its record.
    let with_model = [&set[..], &["--model", "generic-30"]].concat();
    let found = alone(weak, &with_model);
    assert!(0.9 < outcome(&found, "run-current", 1), "{found:#}");
    assert!(0.9 < outcome(&found, "inlet-air", 2), "{found:#}");
    // Two units, and none said: only the air is looked at.
    let nobody = alone(cycling, &[]);
    assert!(says(&nobody, "D1 power (W), D2 power (W)"), "{nobody:#}");
    assert!(says(&alone(cycling, &["--unit", "D9"]), "named after D9"));
    let schema: Value = serde_json::from_str(&drywright(at, &["schema", "fault"]).out).unwrap();
    assert_eq!(common::schema::violations(&schema, &found), [""; 0]);
}

/// Lights go out at 22:00 and the air is at its dampest in the hour after.
fn damp_after_lights_off(n: usize) -> [f64; 4] {
    let after = (n + 120) % 1440;
    [22.0, if after < 45 { 88.0 } else { 60.0 }, 500.0, 0.0]
}

/// A sensor that shows one number for three days, lights or not.
fn stuck(n: usize) -> [f64; 4] {
    [22.0 + (n as f64 / 300.0).sin(), 61.0, 500.0, 0.0]
}

#[test]
fn a_log_without_a_room_shows_lights_off_and_a_dead_sensor() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let alone = |does: Does| {
        std::fs::write(at.join("log.csv"), log(does)).unwrap();
        json(at, &["--log", "log.csv"])
    };
    let found = alone(damp_after_lights_off);
    assert!(
        0.9 < outcome(&found, "worst-after-lights-off", 0),
        "{found:#}"
    );
    let found = alone(stuck);
    assert!(0.9 < outcome(&found, "sensor-log", 0), "{found:#}");

    // A surface colder than the dew point of 22 °C and 60 % (13.9 °C; ASHRAE
    // Handbook - Fundamentals 2017, ch. 1), and one that is warmer.
    for (surface_c, first) in [(10.0, 0), (18.0, 1)] {
        let mut text = String::from("time,Room temp (°C),Room RH (%),Pipe surface (°C)\n");
        for n in 0..288 {
            writeln!(text, "{},22.0,60.0,{surface_c}", 1_741_564_800 + 300 * n).unwrap();
        }
        std::fs::write(at.join("pipe.csv"), text).unwrap();
        let found = json(at, &["--log", "pipe.csv"]);
        assert!(
            0.99 < outcome(&found, "surface-temperature", first),
            "{found:#}"
        );
    }

    // Power alone, without any air: runs are still counted.
    let mut text = String::from("time,D1 power (W)\n");
    for n in 0..1440 {
        let watts = if n % 6 < 3 { 500 } else { 0 };
        writeln!(text, "{},{watts}", 1_741_564_800 + 60 * n).unwrap();
    }
    std::fs::write(at.join("power.csv"), text).unwrap();
    let found = json(at, &["--log", "power.csv"]);
    assert!(0.9 < outcome(&found, "short-cycles", 0), "{found:#}");
}

/// Sends a log by a form with more fields.
fn put(server: &Server, at: &str, fields: &[(&str, &str)], text: &str) -> Answer {
    server.upload(at, fields, ("log", "canopy.csv", text.as_bytes()))
}

#[test]
fn a_log_is_put_in_on_the_page_of_a_call_and_counts() {
    let server = Server::with_room(&[]);
    std::fs::write(server.folder.path().join("one/a.room.toml"), LEAFY).unwrap();
    // From the page without a room, with what was told so far.
    let anywhere = server.get("/fault?seen.runs-little-water=yes");
    assert!(anywhere.body.contains("type=\"file\""), "{}", anywhere.body);
    let told = [
        ("seen.runs-little-water", "yes"),
        ("start", "2026-03-01 06:00"),
    ];
    let sent = put(&server, "/fault/log", &told, &log(weak));
    assert_eq!(sent.status, 303, "{}", sent.body);
    let there = sent.header("location").unwrap().to_owned();
    for kept in [
        "log.canopy.csv=yes",
        "seen.runs-little-water=yes",
        "start=2026",
    ] {
        assert!(there.contains(kept), "{kept}: {there}");
    }
    // It is judged there by itself, and asks which unit it is about.
    let alone =
        server.get("/fault?seen.runs-little-water=yes&log.canopy.csv=yes&unit=D1+power+(W)");
    assert!(!alone.body.contains("There is a problem"), "{}", alone.body);
    for words in [
        "Taken from the log",
        "Unit, as the log names it",
        "need the room",
        "usual run lasts",
    ] {
        assert!(alone.body.contains(words), "{words}: {}", alone.body);
    }
    // What the log leaves open is asked where it is refused, by the names that
    // fields have here, and no folder is told.
    let open = put(
        &server,
        "/fault/log",
        &[],
        "date,time,temp,RH (%)\n01/02/2026,10:00,22,60\n01/02/2026,10:05,22,60\n",
    );
    assert_eq!(open.status, 400, "another log has this name");
    let ambiguous = "date,time,temp,RH (%)\n01/02/2026,10:00,22,60\n01/02/2026,10:05,22,60\n";
    let sent = server.upload("/fault/log", &[], ("log", "open.csv", ambiguous.as_bytes()));
    let asks = server.get(sent.header("location").unwrap()).body;
    assert!(asks.contains("There is a problem"), "{asks}");
    assert!(
        asks.contains("open.csv has dates")
            && asks.contains("“Order of day, month and year”, such as “day, month, year”")
            && !asks.contains("--dates"),
        "{asks}"
    );
    assert!(
        !asks.contains(server.folder.path().to_str().unwrap()),
        "{asks}"
    );
    assert!(
        asks.contains("<details open><summary>What the logs leave open"),
        "{asks}"
    );
    // So it is where a name is none: options are for the command line.
    for odd in ["test.no-such=1", "seen.no-such=yes", "read.current=many"] {
        let page = server.get(&format!("/fault?{odd}")).body;
        let (_, problem) = page.split_once("There is a problem").unwrap();
        let problem = problem.split("</div>").next().unwrap();
        assert!(!problem.contains("--"), "{problem}");
    }
    // On with a room: the log and what was told go along.
    let on = server.post(
        "/fault/room",
        &[
            ("room", "one/a"),
            ("seen.runs-little-water", "yes"),
            ("log.canopy.csv", "yes"),
        ],
    );
    assert_eq!(on.status, 303, "{}", on.body);
    let there = on.header("location").unwrap().to_owned();
    assert!(there.starts_with("/jobs/one/rooms/a/fault?"), "{there}");
    // A unit that only the log names is looked at there too, by its record.
    let named = server.get(&format!("{there}&unit=D2+power+(W)&model=generic-30"));
    assert!(
        named.body.contains("D2 power (W) has no whole run"),
        "{}",
        named.body
    );
    let option = "<option value=\"D2 power (W)\" selected>";
    assert!(named.body.contains(option), "{}", named.body);
    assert!(!there.contains("room="), "{there}");
    let page = server.get(&format!("{there}&unit=D1"));
    assert!(!page.body.contains("There is a problem"), "{}", page.body);
    for words in [
        "Taken from the log",
        "switchings alone",
        "where its record has",
        "canopy.csv",
    ] {
        assert!(page.body.contains(words), "{words}: {}", page.body);
    }
    // It is kept: the room's page offers it, and the proof's as well.
    for at in ["/jobs/one/rooms/a/fault", "/jobs/one/rooms/a/proof"] {
        assert!(server.get(at).body.contains("canopy.csv"), "{at}");
    }
    // What cannot be read is told, and the call stays.
    let poem = put(
        &server,
        "/jobs/one/rooms/a/fault/log",
        &[("seen.frost", "yes")],
        "Roses are red\n",
    );
    assert_eq!(poem.status, 400, "another log has this name: {}", poem.body);
    let gone = server.get("/jobs/one/rooms/a/fault?log.no.csv=yes");
    assert!(gone.body.contains("There is a problem") && gone.body.contains("no.csv"));
    for (room, status) in [("one/no", 404), ("no/a", 404), ("a", 400), ("", 400)] {
        let to = server.post("/fault/room", &[("room", room)]);
        assert_eq!(to.status, status, "{room}");
    }
}

#[test]
fn no_log_of_a_call_makes_its_folder_a_job() {
    let server = Server::with_room(&[]);
    let at = server.folder.path();
    for name in ["x.room.toml", "site.toml", "X.TOML", "record.sqlite"] {
        for to in ["/fault/log", "/jobs/one/rooms/a/fault/log"] {
            let sent = server.upload(to, &[], ("log", name, b"a,b\n1,2\n"));
            assert_eq!(sent.status, 400, "{name}");
            assert!(sent.body.contains("cannot be the name of a log"), "{name}");
        }
    }
    // Put in by hand, it is none either.
    let calls = at.join("call-logs");
    std::fs::create_dir_all(&calls).unwrap();
    std::fs::write(calls.join("x.room.toml"), LEAFY).unwrap();
    assert!(!server.get("/").body.contains("call-logs"));
    assert_eq!(server.get("/jobs/call-logs").status, 404);
    // Nor is it the name of a job, made or brought back.
    std::fs::remove_dir_all(&calls).unwrap();
    for name in ["call-logs", "Call-Logs", "archive"] {
        let made = server.post("/jobs", &[("name", name)]);
        assert_eq!(made.status, 422, "{name}: {}", made.body);
        assert!(made.body.contains("kept for something else"), "{name}");
    }
}

#[test]
fn logs_of_calls_are_not_read_through_a_link_and_have_an_end() {
    let outside = tempfile::tempdir().unwrap();
    std::fs::write(outside.path().join("secret.csv"), log(weak)).unwrap();
    let server = Server::with_room(&[]);
    let calls = server.folder.path().join("call-logs");
    std::os::unix::fs::symlink(outside.path(), &calls).unwrap();
    assert!(!server.get("/fault").body.contains("secret.csv"));
    let asked = server.get("/fault?log.secret.csv=yes");
    assert!(asked.body.contains("There is a problem"), "{}", asked.body);
    let fields = [("room", "one/a"), ("log.secret.csv", "yes")];
    assert_eq!(server.post("/fault/room", &fields).status, 403);
    let sent = put(&server, "/fault/log", &[], "a,b\n1,2\n");
    assert_eq!(sent.status, 403, "{}", sent.body);

    std::fs::remove_file(&calls).unwrap();
    std::fs::create_dir(&calls).unwrap();
    let link = outside.path().join("secret.csv");
    std::os::unix::fs::symlink(link, calls.join("canopy.csv")).unwrap();
    let sent = put(&server, "/fault/log", &[], &log(weak));
    assert_eq!(sent.status, 403, "{}", sent.body);
    std::fs::remove_file(calls.join("canopy.csv")).unwrap();
    for n in 0..500 {
        std::fs::write(calls.join(format!("{n}.csv")), "").unwrap();
    }
    let sent = put(&server, "/fault/log", &[], "a,b\n1,2\n");
    assert_eq!(sent.status, 400);
    assert!(
        sent.body.contains("500 logs are in the folder"),
        "{}",
        sent.body
    );
    std::fs::remove_file(calls.join("7.csv")).unwrap();
    let sent = put(&server, "/fault/log", &[], "a,b\n1,2\n");
    assert_eq!(sent.status, 303, "{}", sent.body);
}

#[test]
fn a_log_goes_into_the_job_beside_another_of_its_name() {
    let server = Server::with_room(&[]);
    let sent = put(&server, "/fault/log", &[], &log(weak));
    assert_eq!(sent.status, 303, "{}", sent.body);
    let logs = server.folder.path().join("one/logs");
    std::fs::create_dir(&logs).unwrap();
    std::fs::write(logs.join("canopy.csv"), log(stuck)).unwrap();
    // Twice: the second time it is there already.
    for _ in 0..2 {
        let fields = [("room", "one/a"), ("log.canopy.csv", "yes")];
        let on = server.post("/fault/room", &fields);
        assert_eq!(on.status, 303, "{}", on.body);
        let there = on.header("location").unwrap().to_owned();
        assert!(there.ends_with("?log.canopy%202.csv=yes"), "{there}");
        let page = server.get(&there);
        assert!(!page.body.contains("There is a problem"), "{}", page.body);
    }
    let read = |name: &str| std::fs::read_to_string(logs.join(name)).unwrap();
    assert_eq!(read("canopy.csv"), log(stuck));
    assert_eq!(read("canopy 2.csv"), log(weak));
    assert_eq!(std::fs::read_dir(&logs).unwrap().count(), 2);
}

#[test]
fn a_machine_file_that_was_changed_is_read_anew() {
    let server = Server::with_room(&[]);
    let at = server.folder.path();
    let sent = put(&server, "/fault/log", &[], &log(weak));
    assert_eq!(sent.status, 303, "{}", sent.body);
    let catalog = at.join("catalog");
    std::fs::create_dir(&catalog).unwrap();
    let built_in = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../catalog/generic-150.toml"
    );
    let text = std::fs::read_to_string(built_in).unwrap();
    let page = |text: &str| {
        std::fs::write(catalog.join("generic-150.toml"), text).unwrap();
        let asked = "/fault?log.canopy.csv=yes&unit=D1+power+(W)&model=generic-150";
        server.get(asked).body
    };
    let first = page(&text);
    assert!(first.contains("Taken from the log"), "{first}");
    assert_eq!(page(&text), first);
    // The log runs near 70 °F and 80 %.
    let changed = page(&text.replace("373, 1750", "373, 1820"));
    assert!(changed.contains("Taken from the log"), "{changed}");
    assert_ne!(changed, first);
}
