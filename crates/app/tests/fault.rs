//! The fault search on the command line and as a page.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::web::Server;
use common::{EIGHT, drywright};
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
    // A reading that needs more is told as not used, and the rest goes on.
    let ran = drywright(at, &["fault", "--reading", "current=5 A"]);
    assert_eq!(ran.code, 0);
    assert!(ran.out.contains("needs the unit's model"), "{}", ran.out);
    let list = drywright(at, &["fault", "--list"]).out;
    assert!(list.contains("level-check") && list.contains("frost") && list.contains("suction"));
}

#[test]
fn the_page_takes_answers_from_its_address() {
    let server = Server::with_room(&[]);
    for at in ["/fault", "/jobs/one/rooms/a/fault"] {
        let page = server.get(at);
        assert_eq!(page.status, 200, "{at}");
        assert!(page.body.contains("What is seen"));
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
    ];
    let first = server.post(at, &sent);
    assert_eq!(first.status, 303, "{}", first.body);
    let place = first.header("location").unwrap().to_owned();
    assert_eq!(
        server.post(at, &sent).header("location"),
        Some(place.as_str())
    );
    assert!(server.get(&place).body.contains("Written into the record"));
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
    let ran = drywright(at, &[&args[..], &["--record", "Ada", "--mended"]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("record.sqlite"), "{}", ran.err);
    assert!(at.join("record.sqlite").is_file());
    // Without a room there is no record to write into.
    assert_eq!(drywright(at, &["fault", "--record", "Ada"]).code, 2);
}
