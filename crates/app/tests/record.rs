//! A start-up as people do it: from the command line, from a phone, with the
//! server killed on the way.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::path::Path;

use common::web::{Answer, Server};
use common::{Ran, drywright, root};
use serde_json::Value;

const ROOM: &str = "veg-1.room.toml";
const START: &str = "/jobs/demo/rooms/veg-1/startup";

fn fill(folder: &Path) {
    let demo = root().join("cases/demo");
    for name in ["site.toml", ROOM] {
        std::fs::copy(demo.join(name), folder.join(name)).unwrap();
    }
}

fn served() -> Server {
    Server::start(|folder| {
        let job = folder.join("demo");
        std::fs::create_dir(&job).unwrap();
        fill(&job);
    })
}

/// The program on a job folder, keeping its own state in it.
fn start(folder: &Path, more: &[&str]) -> Ran {
    let args = [&["start", ROOM], more].concat();
    common::drywright_with(folder, &args, &[("XDG_STATE_HOME", "state")])
}

fn steps(folder: &Path) -> Vec<Value> {
    let ran = start(folder, &["--json"]);
    let json: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(json["schema"], "drywright/start/1");
    json["steps"].as_array().unwrap().clone()
}

/// The start-up as JSON.
fn result(folder: &Path) -> Value {
    let ran = start(folder, &["--json"]);
    serde_json::from_str(&ran.out).unwrap()
}

/// A job folder with nothing recorded.
fn job() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fill(folder.path());
    folder
}

fn standing(folder: &Path, id: &str) -> String {
    let all = steps(folder);
    let step = all.iter().find(|s| s["id"] == id).unwrap();
    step["standing"].as_str().unwrap().to_owned()
}

#[test]
fn steps_are_done_skipped_corrected_and_verified_from_the_command_line() {
    let job = job();
    let at = job.path();
    let by = ["--by", "A. Example"];
    let done = start(
        at,
        &[
            &["--done", "filter", "--unit", "D1", "--answer", "in=yes"],
            &by[..],
        ]
        .concat(),
    );
    assert!(done.code < 2, "{}", done.err);
    assert_eq!(standing(at, "D1.filter"), "done");
    let skipped = start(
        at,
        &[
            &["--skip", "D1.level", "--reason", "no level here"],
            &by[..],
        ]
        .concat(),
    );
    assert!(skipped.code < 2, "{}", skipped.err);
    assert_eq!(standing(at, "D1.level"), "left out");
    let without = start(at, &["--skip", "D1.trap", "--by", "A"]);
    assert_eq!(without.code, 2);
    assert!(without.err.contains("--reason"), "{}", without.err);

    let filter = steps(at)
        .into_iter()
        .find(|s| s["id"] == "D1.filter")
        .unwrap();
    let hash = filter["event"].as_str().unwrap().to_owned();
    let withdrawn = start(
        at,
        &[
            &["--correct", &hash[..10], "--reason", "wrong unit"],
            &by[..],
        ]
        .concat(),
    );
    assert!(withdrawn.code < 2, "{}", withdrawn.err);
    assert_eq!(standing(at, "D1.filter"), "open");

    let closed = start(at, &[&["--done", "D1.running"], &by[..]].concat());
    assert_eq!(closed.code, 2);
    assert!(closed.err.contains("waits for"), "{}", closed.err);
    let early = start(at, &[&["--timer", "D1.condensate"], &by[..]].concat());
    assert_eq!(early.code, 2, "{}", early.out);
    assert!(
        early.err.contains("D1.condensate waits for D1."),
        "{}",
        early.err
    );
    let timeless = start(at, &[&["--timer", "D1.filter"], &by[..]].concat());
    assert_eq!(timeless.code, 2, "{}", timeless.out);
    assert!(
        timeless.err.contains("D1.filter has no waiting time"),
        "{}",
        timeless.err
    );
    let unknown = start(at, &[&["--done", "D9.filter"], &by[..]].concat());
    assert!(unknown.err.contains("D1.filter"), "{}", unknown.err);

    let verified = start(at, &["--verify"]);
    assert_eq!(verified.code, 0, "{}", verified.out);
    assert!(verified.out.contains("4 events"), "{}", verified.out);
    let handed = start(at, &["--handover", "out/ho.pdf"]);
    assert!(handed.code < 2, "{}", handed.err);
    for pdf in ["out/ho.pdf", "out/ho.card.pdf"] {
        assert!(std::fs::read(at.join(pdf)).unwrap().starts_with(b"%PDF"));
    }
}

#[test]
fn an_unusual_number_is_asked_about_and_taken_when_it_is_meant() {
    let job = job();
    let plate = |amps: &str, more: &[&str]| {
        let min = format!("plate_min_circuit={amps}");
        let args = [
            "--done",
            "nameplate",
            "--unit",
            "D1",
            "--by",
            "A",
            "--reading",
            &min,
            "--reading",
            "plate_volts=240 V",
            "--reading",
            "plate_max_protection=15 A",
            "--reading",
            "device=15 A",
            "--answer",
            "model=yes",
            "--answer",
            "disconnect=yes",
        ];
        start(job.path(), &[&args, more].concat())
    };
    let asked = plate("400", &[]);
    assert_eq!(asked.code, 2);
    assert!(asked.err.contains("4.00 A meant?"), "{}", asked.err);
    assert!(
        asked.err.contains("--meant plate_min_circuit"),
        "{}",
        asked.err
    );
    assert!(!job.path().join("record.sqlite").exists());
    let refused = plate("-3 A", &[]);
    assert_eq!(refused.code, 2);
    assert!(refused.err.contains("cannot be"), "{}", refused.err);
    let wrong_kind = plate("3 L", &[]);
    assert_eq!(wrong_kind.code, 2);
    let meant = plate("400 A", &["--meant", "plate_min_circuit"]);
    assert!(meant.code < 2, "{}", meant.err);
    let step = steps(job.path())
        .into_iter()
        .find(|s| s["id"] == "D1.nameplate")
        .unwrap();
    let typed = step["readings"]
        .as_array()
        .unwrap()
        .iter()
        .any(|r| r["typed"] == "400 A");
    assert!(typed, "{step}");
}

/// What is read again and again may be said in one call; what is read once may
/// not be said twice.
#[test]
fn a_series_is_taken_whole_from_one_call() {
    let job = job();
    let at = job.path();
    let skip = [
        "--skip",
        "D1.running",
        "--reason",
        "not in this test",
        "--by",
        "A",
    ];
    assert!(start(at, &skip).code < 2);
    let readings = [
        "inlet_dry_bulb=78 °F",
        "inlet_humidity=60 %",
        "inlet_dry_bulb=70 °F",
        "inlet_dry_bulb=78 °F",
        "inlet_humidity=61 %",
        "inlet_humidity=60 %",
        "water=2 L",
        "over=40 min",
    ];
    let say = |readings: &[&str]| {
        let mut args = vec!["--done", "D1.condensate", "--by", "A"];
        for reading in readings {
            args.extend(["--reading", *reading]);
        }
        start(at, &args)
    };
    let twice = say(&[&readings[..], &["water=3 L"]].concat());
    assert_eq!(twice.code, 2, "{}", twice.out);
    assert!(
        twice.err.contains("\"water\" is said more than once"),
        "{}",
        twice.err
    );
    assert_eq!(standing(at, "D1.condensate"), "open");
    let done = say(&readings);
    assert!(done.code < 2, "{}", done.err);
    let all = steps(at);
    let step = all.iter().find(|s| s["id"] == "D1.condensate").unwrap();
    let of = |entry: &str| -> Vec<&str> {
        let all = step["readings"].as_array().unwrap().iter();
        let of = all.filter(|r| r["entry"] == entry);
        of.map(|r| r["typed"].as_str().unwrap()).collect()
    };
    assert_eq!(of("inlet_dry_bulb"), ["78 °F", "70 °F", "78 °F"]);
    assert_eq!(of("inlet_humidity"), ["60 %", "61 %", "60 %"]);
}

/// A record of which half is left says what is lost and is mended; each verb
/// leads on, none back to the other.
#[test]
fn a_truncated_record_is_told_and_mended_from_the_command_line() {
    let job = job();
    let at = job.path();
    for i in 0..8 {
        start(at, &["--note", &format!("note {i}"), "--by", "A"]);
    }
    let exported = start(at, &["--export", "copy.sqlite"]);
    assert!(
        exported.out.contains("the whole record, 0 photos in it"),
        "{}",
        exported.out
    );
    let file = at.join("record.sqlite");
    let bytes = std::fs::read(&file).unwrap();
    // The events begin behind the first pages; their index lies before them.
    let left = &bytes[..8 * 4096];
    std::fs::write(&file, left).unwrap();
    let verified = start(at, &["--verify"]);
    for said in ["cannot be read any more", "Intact: 0 events", "--mend"] {
        assert!(
            verified.out.contains(said),
            "{said}: {}{}",
            verified.out,
            verified.err
        );
    }
    let refused = start(at, &["--note", "on top", "--by", "A"]);
    assert_eq!(
        (refused.code, std::fs::read(&file).unwrap() == left),
        (2, true)
    );
    let mended = start(at, &["--mend"]);
    assert!(
        mended.err.contains("record-damaged-1.sqlite, unchanged"),
        "{}",
        mended.err
    );
    assert!(mended.err.contains("--merge"), "{}", mended.err);
    let aside = std::fs::read(at.join("record-damaged-1.sqlite")).unwrap();
    assert_eq!(aside, left);
    // The copy brings everything back.
    let merged = start(at, &["--merge", "copy.sqlite"]);
    assert!(merged.err.contains("9 events taken"), "{}", merged.err);
    assert_eq!(start(at, &["--verify"]).code, 0);
}

/// What the field of an entry holds on the form of a correction.
fn again(page: &str, step: &str, entry: &str) -> String {
    let id = format!("id=\"{step}-{entry}-again\"");
    let (_, field) = page.split_once(&id).unwrap();
    let (_, value) = field.split_once("value=\"").unwrap();
    value.split('"').next().unwrap().to_owned()
}

#[test]
fn a_correction_of_one_entry_leaves_the_others_as_they_were() {
    let server = named(served());
    let folder = server.folder.path().join("demo");
    let before = ["--skip", "D1.level", "--reason", "no level here"];
    let skipped = start(&folder, &[&before[..], &["--by", "A"]].concat());
    assert!(skipped.code < 2, "{}", skipped.err);
    let by = ["--done", "D1.trap", "--by", "A", "--instrument", "rule 7"];
    let args = [
        "--reading",
        "trap_drop=4.5 in",
        "--reading",
        "trap_seal=2000 mm",
        "--meant",
        "trap_seal",
        "--answer",
        "plugged=yes",
        "--answer",
        "vent=yes",
    ];
    let done = start(&folder, &[&by[..], &args].concat());
    assert!(done.code < 2, "{}", done.err);
    let trap = || {
        let all = steps(&folder).into_iter();
        all.into_iter().find(|s| s["id"] == "D1.trap").unwrap()
    };
    let before = trap();
    for units in ["metric", "us", "metric"] {
        server.post("/choices", &[("units", units)]);
        let page = server.get(&format!("{START}/units/D1")).body;
        let [drop, seal] = ["trap_drop", "trap_seal"].map(|e| again(&page, "D1.trap", e));
        let form = [
            ("step", "D1.trap"),
            ("act", "correct"),
            ("of", trap()["event"].as_str().unwrap()),
            ("e.trap_drop", &drop),
            ("e.trap_seal", &seal),
            ("e.plugged", "no"),
            ("e.vent", "yes"),
            ("reason", "it was open"),
        ]
        .map(|(name, value)| (name, value.to_owned()));
        let form = form.each_ref().map(|(name, value)| (*name, value.as_str()));
        let sent = server.post(&format!("{START}/units/D1/act"), &form);
        assert_eq!(sent.status, 303, "{units}: {}", sent.body);
        assert_eq!(trap()["readings"], before["readings"], "{units}");
    }
    assert_ne!(trap()["standing"], before["standing"]);
    let record = std::fs::read(folder.join("record.sqlite")).unwrap();
    let named = |text: &[u8]| record.windows(text.len()).filter(|w| *w == text).count();
    assert!(
        3 <= named(b"rule 7"),
        "the instrument stays with the reading"
    );
}

#[test]
fn a_changed_room_file_is_told_and_both_are_kept() {
    let job = job();
    let at = job.path();
    let note = |text: &str| start(at, &["--note", text, "--by", "A"]);
    note("before");
    let file = at.join(ROOM);
    let old = std::fs::read_to_string(&file).unwrap();
    std::fs::write(&file, format!("{old}\n# changed on site\n")).unwrap();
    let shown = start(at, &[]);
    assert!(shown.out.contains("were changed since"), "{}", shown.out);
    note("after");
    let shown = start(at, &[]);
    assert!(!shown.out.contains("were changed since"), "{}", shown.out);
    let record = std::fs::read(at.join("record.sqlite")).unwrap();
    let holds = |text: &[u8]| record.windows(text.len()).any(|w| w == text);
    assert!(holds(b"\"started\"") && holds(b"\"room_changed\""));
    assert!(holds(b"# changed on site"));
}

#[test]
fn two_records_are_merged_from_the_command_line() {
    let (a, b) = (job(), job());
    for (folder, text) in [(&a, "first"), (&b, "second")] {
        start(folder.path(), &["--note", text, "--by", text]);
    }
    let other = b.path().join("record.sqlite");
    let merged = start(a.path(), &["--merge", other.to_str().unwrap()]);
    assert!(
        merged.err.contains("2 events taken, 0 were here"),
        "{}",
        merged.err
    );
    let again = start(a.path(), &["--merge", other.to_str().unwrap()]);
    assert!(
        again.err.contains("0 events taken, 2 were here"),
        "{}",
        again.err
    );
    assert_eq!(start(a.path(), &["--verify"]).code, 0);
    let missing = start(a.path(), &["--merge", "nowhere.sqlite"]);
    assert_eq!(missing.code, 2);
    assert!(
        drywright(a.path(), &["schema", "start"])
            .out
            .contains("steps")
    );
}

/// A form of a page: what it sends, and the key in it.
fn key(page: &Answer) -> String {
    let (_, rest) = page.body.split_once("name=\"key\" value=\"").unwrap();
    rest.split('"').next().unwrap().to_owned()
}

/// The cookie of somebody who said who they are.
fn named(mut server: Server) -> Server {
    let said = server.post(&format!("{START}/who"), &[("who", "A. Example")]);
    assert_eq!(said.status, 303);
    server.cookie = format!("{}; {}", server.cookie, said.cookie());
    server
}

#[test]
fn a_form_that_comes_twice_is_one_event_and_another_body_is_refused() {
    let server = named(served());
    let page = server.get(&format!("{START}/units/D1"));
    let key = key(&page);
    let send = |note: &str| {
        let form = [
            ("key", &*key),
            ("step", "D1.filter"),
            ("act", "done"),
            ("e.in", "yes"),
            ("note", note),
        ];
        server.post(&format!("{START}/units/D1/act"), &form)
    };
    let first = send("clean");
    assert_eq!(first.status, 303);
    let again = send("clean");
    assert_eq!(
        (again.status, again.header("location")),
        (303, first.header("location"))
    );
    assert_eq!(send("other").status, 422);
    let page = server.get(START);
    assert!(page.body.contains("2 events"), "start and step");
    // Closed, unknown, empty, without a name.
    let act = |fields: &[(&str, &str)]| server.post(&format!("{START}/units/D1/act"), fields);
    let closed = act(&[("step", "D1.running"), ("act", "done")]);
    assert_eq!(closed.status, 422);
    assert!(closed.body.contains("This step comes after"));
    let early = act(&[("step", "D1.condensate"), ("act", "timer")]);
    assert_eq!(early.status, 422);
    assert!(early.body.contains("This step comes after"));
    assert_eq!(act(&[("step", "D1.nothing"), ("act", "done")]).status, 404);
    assert_eq!(act(&[("step", "D1.trap"), ("act", "skip")]).status, 422);
    let typed = act(&[
        ("step", "D1.nameplate"),
        ("act", "done"),
        ("e.plate_volts", "abc<b>"),
    ]);
    assert_eq!(typed.status, 422);
    assert!(typed.body.contains("Error: ") && typed.body.contains("abc&lt;b&gt;"));
}

#[test]
fn looking_at_a_start_up_changes_nothing() {
    let server = named(served());
    let form = [("step", "D1.filter"), ("act", "done"), ("e.in", "yes")];
    let sent = server.post(&format!("{START}/units/D1/act"), &form);
    assert_eq!(sent.status, 303);
    let contents = || -> Vec<_> {
        let files = common::files_below(server.folder.path());
        let read = |p: std::path::PathBuf| (p.clone(), std::fs::read(p).unwrap());
        files.into_iter().map(read).collect()
    };
    let before = contents();
    for more in [
        "",
        "/units/D1",
        "/units/whole-room",
        "/sign",
        "/handover.pdf",
        "/card.pdf",
    ] {
        assert_eq!(server.get(&format!("{START}{more}")).status, 200, "{more}");
        assert!(contents() == before, "{more}");
    }
}

#[test]
fn what_is_no_photo_is_refused_and_a_photo_comes_back_as_a_photo() {
    let server = named(served());
    let send = |bytes: &[u8]| {
        let at = format!("{START}/units/D1/photo");
        server.upload(&at, &[("step", "D1.filter")], ("photo", "a.jpg", bytes))
    };
    for (bytes, words) in [
        (&b"<html><script>1</script>"[..], "not a photo"),
        (b"<svg onload='1'/>", "not a photo"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1", "HEIC"),
        (b"", "No photo"),
    ] {
        let refused = send(bytes);
        assert_eq!(refused.status, 422);
        assert!(refused.body.contains(words), "{}", refused.body);
    }
    let mut png = std::io::Cursor::new(Vec::new());
    image::RgbImage::new(30, 20)
        .write_to(&mut png, image::ImageFormat::Png)
        .unwrap();
    assert_eq!(send(&png.into_inner()).status, 303);
    let page = server.get(&format!("{START}/units/D1"));
    let (_, rest) = page.body.split_once("<img src=\"").unwrap();
    let photo = server.get(rest.split('"').next().unwrap());
    assert_eq!(photo.header("content-type"), Some("image/jpeg"));
    assert_eq!(
        server.get(&format!("{START}/photos/../site.toml")).status,
        404
    );
}

/// What fits an entry: the first word, or the middle of what is likely.
fn fitting(entry: &Value) -> String {
    if let Some(word) = entry["words"][0].as_str() {
        return word.to_owned();
    }
    let number = |i: usize| -> f64 {
        let text = entry["likely"][i].as_str().unwrap().replace('−', "-");
        let digits: String = text
            .chars()
            .take_while(|c| !c.is_alphabetic() && !"%°".contains(*c))
            .collect();
        digits
            .trim()
            .replace([' ', '\u{202f}', '\u{a0}'], "")
            .parse()
            .unwrap_or(1.0)
    };
    let text = entry["likely"][0].as_str().unwrap();
    let unit: String = text
        .chars()
        .skip_while(|c| !c.is_alphabetic() && !"%°".contains(*c))
        .collect();
    format!("{} {unit}", 0.5 * (number(0) + number(1)))
}

/// The whole room, step by step, by forms alone; the server is killed twice.
#[test]
fn a_room_is_started_up_over_two_kills_and_handed_over() {
    let mut server = named(served());
    let cookie = server.cookie.clone();
    let folder = server.folder.path().join("demo");
    // What is asked is the same for a copy of the job.
    let copy = job();
    let plan = steps(copy.path());
    for (sent, step) in plan.iter().enumerate() {
        if sent == plan.len() / 3 || sent == 2 * plan.len() / 3 {
            server = server.killed_and_back();
            server.cookie.clone_from(&cookie);
        }
        let id = step["id"].as_str().unwrap();
        let place = step["unit"].as_str().unwrap_or("whole-room");
        let page = server.get(&format!("{START}/units/{place}"));
        assert_eq!(page.status, 200, "{}", page.body);
        let key = format!("key of {id}");
        let mut form: Vec<(String, String)> = vec![
            ("key".into(), key),
            ("step".into(), id.into()),
            ("act".into(), "done".into()),
        ];
        for entry in step["entries"].as_array().unwrap() {
            let name = entry["id"].as_str().unwrap();
            form.push((format!("e.{name}"), fitting(entry)));
        }
        let borrowed: Vec<(&str, &str)> =
            form.iter().map(|(n, t)| (n.as_str(), t.as_str())).collect();
        let address = format!("{START}/units/{place}/act");
        let answer = server.post(&address, &borrowed);
        if answer.status == 303 {
            continue;
        }
        // It waits for its time, or for a step that failed: left out, and why.
        assert_eq!(answer.status, 422, "{id}: {}", answer.body);
        let skip = [
            ("step", id),
            ("act", "skip"),
            ("reason", "no time in a test"),
        ];
        assert_eq!(server.post(&address, &skip).status, 303, "{id}");
    }
    for by in ["installer", "customer"] {
        let drawn = [
            ("by", by),
            ("name", "B. Example"),
            ("strokes", "[[[10,10],[500,200],[900,40]]]"),
        ];
        assert_eq!(server.post(&format!("{START}/sign"), &drawn).status, 303);
    }
    let broken = [("by", "customer"), ("name", "B"), ("strokes", "[[[1")];
    assert_eq!(server.post(&format!("{START}/sign"), &broken).status, 400);
    let paper = server.get(&format!("{START}/handover.pdf"));
    assert_eq!(paper.header("content-type"), Some("application/pdf"));
    assert_eq!(server.get(&format!("{START}/card.pdf")).status, 200);
    // Codes hold an address that phones reach; there is none yet.
    let labels = server.get(&format!("{START}/labels.pdf"));
    assert_eq!(labels.status, 422);
    assert!(labels.body.contains("Share it first"), "{}", labels.body);
    let overview = server.get(START);
    assert!(overview.body.contains("whole"), "{}", overview.body);
    let verified = drywright(&folder, &["start", ROOM, "--verify"]);
    assert_eq!(verified.code, 0, "{}", verified.out);
    let all: Value =
        serde_json::from_str(&drywright(&folder, &["start", ROOM, "--json"]).out).unwrap();
    let left: Vec<&Value> = all["steps"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|s| s["event"].is_null() && s["at_utc_ms"].is_null())
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

#[test]
fn the_code_on_a_label_leads_to_its_unit() {
    let server = served();
    let page = server.get("/DW/00000000/VEG%201/D1");
    assert_eq!(page.status, 303, "{}", page.body);
    assert_eq!(
        page.header("location"),
        Some("/jobs/demo/rooms/veg-1/startup/units/D1")
    );
    assert_eq!(server.get("/DW/00000000/OTHER/D1").status, 404);
    assert_eq!(server.get(&format!("{START}/units/D99")).status, 404);
}

#[test]
fn a_zip_of_a_job_brings_record_and_photos_along() {
    let server = named(served());
    let form = [("step", "D1.filter"), ("act", "done"), ("e.in", "yes")];
    assert_eq!(
        server.post(&format!("{START}/units/D1/act"), &form).status,
        303
    );
    let photos = server.folder.path().join("demo/photos");
    std::fs::create_dir_all(&photos).unwrap();
    std::fs::write(photos.join(format!("{}.jpg", "a".repeat(32))), b"any").unwrap();
    let zip = server.get("/jobs/demo/zip").bytes;
    let opened = server.upload("/jobs/open", &[("name", "copy")], ("zip", "a.zip", &zip));
    assert_eq!(opened.status, 303, "{}", opened.body);
    let copy = server.folder.path().join("copy");
    assert_eq!(drywright(&copy, &["start", ROOM, "--verify"]).code, 0);
    assert!(standing(&copy, "D1.filter") == "done");
    assert!(copy.join("photos").is_dir());
}

#[test]
fn a_start_up_goes_on_by_the_record_when_the_room_file_cannot_be_read() {
    let server = named(served());
    let folder = server.folder.path().join("demo");
    let file = folder.join(ROOM);
    let sound = std::fs::read_to_string(&file).unwrap();
    let act = |step: &str| {
        let form = [("step", step), ("act", "done"), ("e.in", "yes")];
        server.post(&format!("{START}/units/D1/act"), &form)
    };
    // Nothing is kept yet: the problems of the file are told.
    std::fs::write(&file, "garbage = [").unwrap();
    assert_eq!(server.get(START).status, 422);
    assert_eq!(drywright(&folder, &["start", ROOM]).code, 2);
    std::fs::write(&file, &sound).unwrap();
    assert_eq!(act("D1.filter").status, 303);
    let before = steps(&folder);
    let told = result(&folder);
    assert_eq!(
        (&told["room_from"], &told["files_unread"]),
        (&"files".into(), &Value::Null)
    );

    std::fs::write(&file, "garbage = [").unwrap();
    for more in ["", "/units/D1", "/sign"] {
        let page = server.get(&format!("{START}{more}"));
        assert_eq!(page.status, 200, "{more}: {}", page.body);
        assert!(page.body.contains("as the record keeps it"), "{more}");
    }
    let skip = [
        ("step", "D1.level"),
        ("act", "skip"),
        ("reason", "no level here"),
    ];
    assert_eq!(
        server.post(&format!("{START}/units/D1/act"), &skip).status,
        303
    );
    let signed = [("by", "customer"), ("name", "B. Example"), ("strokes", "")];
    assert_eq!(server.post(&format!("{START}/sign"), &signed).status, 303);
    let paper = server.get(&format!("{START}/handover.pdf"));
    assert_eq!(paper.header("content-type"), Some("application/pdf"));
    // A label's code still leads to its unit.
    assert_eq!(server.get("/DW/00000000/VEG%201/D1").status, 303);
    // The command line goes on alike.
    let note = start(&folder, &["--note", "by the record", "--by", "A"]);
    assert!(note.code < 2, "{}", note.err);
    assert!(
        note.err.contains("as the record keeps it") && note.err.contains("garbage"),
        "{}",
        note.err
    );
    assert_eq!(standing(&folder, "D1.level"), "left out");
    assert_eq!(steps(&folder).len(), before.len());
    let told = result(&folder);
    assert_eq!(told["room_from"], "record");
    assert!(told["files_unread"].as_str().unwrap().contains("garbage"));
    assert_eq!(start(&folder, &["--verify"]).code, 0);
    let handed = start(&folder, &["--handover", "out/ho.pdf"]);
    assert!(handed.code < 2, "{}", handed.err);
    // Nothing was recorded as a change of the room.
    let record = std::fs::read(folder.join("record.sqlite")).unwrap();
    assert!(!record.windows(14).any(|w| w == b"\"room_changed\""));

    // The same where the file is gone.
    std::fs::remove_file(&file).unwrap();
    assert!(start(&folder, &[]).code < 2);
    let by_folder =
        common::drywright_with(&folder, &["start", "."], &[("XDG_STATE_HOME", "state")]);
    assert!(by_folder.code < 2, "{}", by_folder.err);
    assert_eq!(server.get(START).status, 200);
    assert_eq!(server.get("/jobs/demo/rooms/other/startup").status, 404);
    // Verifying asks for no room at all.
    assert_eq!(start(&folder, &["--verify"]).code, 0);
}

#[test]
fn a_photo_of_a_step_is_taken_from_a_file_within_bounds() {
    let job = job();
    let at = job.path();
    let png = |name: &str, width: u32, height: u32| {
        let mut bytes = std::io::Cursor::new(Vec::new());
        image::RgbImage::new(width, height)
            .write_to(&mut bytes, image::ImageFormat::Png)
            .unwrap();
        std::fs::write(at.join(name), bytes.into_inner()).unwrap();
    };
    png("fine.png", 3_000, 20);
    // A head that promises 60,000 by 60,000 dots, with a sound checksum.
    let mut bomb = std::fs::read(at.join("fine.png")).unwrap();
    let side = 60_000_u32.to_be_bytes();
    bomb[16..20].copy_from_slice(&side);
    bomb[20..24].copy_from_slice(&side);
    let sum = crc32(&bomb[12..29]);
    bomb[29..33].copy_from_slice(&sum.to_be_bytes());
    std::fs::write(at.join("bomb.png"), bomb).unwrap();
    std::fs::write(at.join("page.jpg"), "<html>").unwrap();
    let take =
        |file: &str, more: &[&str]| start(at, &[&["--photo", file, "--by", "A"], more].concat());
    let filter = ["--step", "filter", "--unit", "D1"];
    for (file, told) in [
        ("page.jpg", "not a photo"),
        ("bomb.png", "60000 by 60000"),
        ("no.jpg", "cannot read no.jpg"),
        (".", "folder"),
    ] {
        let ran = take(file, &filter);
        assert_eq!(ran.code, 2, "{file}");
        assert!(ran.err.contains(told), "{file}: {}", ran.err);
    }
    assert_eq!(take("fine.png", &[]).code, 2);
    assert!(
        take("fine.png", &["--step", "D9.no"])
            .err
            .contains("D1.filter")
    );
    assert!(!at.join("record.sqlite").exists() && !at.join("photos").exists());

    let taken = take("fine.png", &filter);
    assert!(taken.code < 2, "{}", taken.err);
    let kept: Vec<_> = std::fs::read_dir(at.join("photos")).unwrap().collect();
    assert_eq!(kept.len(), 1);
    let photo = image::open(kept[0].as_ref().unwrap().path()).unwrap();
    assert_eq!(photo.width(), 2_560);
    assert_eq!(start(at, &["--verify"]).code, 0);
    // Gone from the disk, it is missed.
    std::fs::remove_dir_all(at.join("photos")).unwrap();
    assert!(start(at, &["--verify"]).out.contains("is missing"));
}

/// CRC-32 of PNG chunks (ISO 3309), bit by bit.
fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |c, _| {
            (c >> 1) ^ (0xEDB8_8320 * (c & 1))
        })
    })
}

#[test]
fn labels_hold_the_address_that_is_given() {
    let job = job();
    let labels = |address: &str| {
        start(
            job.path(),
            &["--labels", "out/labels.pdf", "--address", address],
        )
    };
    for wrong in ["192.168.1.20", "http://", "http://a/b", "ftp://a"] {
        assert_eq!(labels(wrong).code, 2, "{wrong}");
    }
    assert!(labels("http://192.168.1.20:8137/").code < 2);
    let pdf = std::fs::read(job.path().join("out/labels.pdf")).unwrap();
    assert!(pdf.starts_with(b"%PDF"));
}

#[test]
fn a_unit_is_left_out_and_taken_up_again_by_command_and_page() {
    let server = named(served());
    let folder = server.folder.path().join("demo");
    let by = ["--by", "A. Example"];
    let without = start(&folder, &[&["--skip-unit", "D1"], &by[..]].concat());
    assert!(
        without.code == 2 && without.err.contains("--reason"),
        "{}",
        without.err
    );
    let unknown = ["--skip-unit", "D9", "--reason", "not there"];
    let unknown = start(&folder, &[&unknown, &by[..]].concat());
    assert!(unknown.err.contains("the units are: D1"), "{}", unknown.err);
    // What comes next is a tap away, and only that step is unfolded.
    let leads = "/units/D1#D1.delivered";
    assert!(server.get(START).body.contains(leads));
    let page = server.get(&format!("{START}/units/D1")).body;
    assert!(page.contains("href=\"#D1.delivered\""), "{page}");
    assert_eq!(page.matches("<details open").count(), 1, "{page}");
    let skip = ["--skip-unit", "D1", "--reason", "machine not delivered"];
    let skipped = start(&folder, &[&skip, &by[..]].concat());
    assert!(skipped.code < 2, "{}", skipped.err);
    assert!(
        skipped.out.contains("machine not delivered"),
        "{}",
        skipped.out
    );
    assert_eq!(standing(&folder, "D1.restart"), "left out");
    assert_eq!(result(&folder)["units_left_out"][0]["unit"], "D1");
    let told = skipped.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("with its"), "{told}");

    assert!(!server.get(START).body.contains(leads));
    let page = server.get(&format!("{START}/units/D1"));
    assert!(page.body.contains("Take it up again"), "{}", page.body);
    let act = |what: &str, reason: &str| {
        let form = [("step", "whole-unit"), ("act", what), ("reason", reason)];
        server.post(&format!("{START}/units/D1/act"), &form)
    };
    assert_eq!(act("take-up", " ").status, 422);
    assert_eq!(standing(&folder, "D1.restart"), "left out");
    assert_eq!(act("take-up", "delivered today").status, 303);
    assert_eq!(standing(&folder, "D1.filter"), "open");
    let again = act("take-up", "delivered today");
    assert!(
        again.status == 422 && again.body.contains("is not left out"),
        "{}",
        again.body
    );
    assert_eq!(act("skip-unit", "").status, 422);
    assert_eq!(act("skip-unit", "sent back").status, 303);
    assert_eq!(standing(&folder, "D1.filter"), "left out");
    let whole = server.post(
        &format!("{START}/units/whole-room/act"),
        &[
            ("step", "whole-unit"),
            ("act", "skip-unit"),
            ("reason", "no"),
        ],
    );
    assert_eq!(whole.status, 400, "the room is no unit");
    let up = ["--take-up", "D1", "--reason", "delivered"];
    assert!(start(&folder, &[&up, &by[..]].concat()).code < 2);
    assert_eq!(result(&folder)["units_left_out"], Value::Array(Vec::new()));
    assert_eq!(start(&folder, &["--verify"]).code, 0);
}

#[test]
fn a_bare_number_is_in_the_unit_that_is_offered() {
    let job = job();
    let at = job.path();
    let trap = steps(at)
        .into_iter()
        .find(|s| s["id"] == "D1.trap")
        .unwrap();
    assert_eq!(trap["entries"][0]["unit"], "in");
    // What is likely is told in the unit of the field; inches may have feet.
    let all = steps(at);
    let entries = all.iter().flat_map(|s| s["entries"].as_array().unwrap());
    for entry in entries.filter(|e| !e["unit"].is_null() && e["unit"] != "in") {
        for end in entry["likely"].as_array().unwrap() {
            let (end, unit) = (end.as_str().unwrap(), entry["unit"].as_str().unwrap());
            assert!(end.ends_with(unit), "{entry}");
        }
    }
    for step in ["D1.delivered", "D1.carried", "D1.level"] {
        let skip = ["--skip", step, "--reason", "not here", "--by", "A"];
        assert!(start(at, &skip).code < 2);
    }
    let done = [
        "--done",
        "D1.trap",
        "--by",
        "A",
        "--reading",
        "trap_drop=4",
        "--reading",
        "trap_seal=2 1/4",
        "--answer",
        "plugged=yes",
        "--answer",
        "vent=yes",
    ];
    let done = start(at, &done);
    assert!(done.code < 2, "{}", done.err);
    let trap = steps(at)
        .into_iter()
        .find(|s| s["id"] == "D1.trap")
        .unwrap();
    // The inch is 25.4 mm by definition.
    for (i, inches) in [4.0, 2.25].into_iter().enumerate() {
        let si = trap["readings"][i]["si"].as_f64().unwrap();
        assert!((si - 0.0254 * inches).abs() < 1e-9, "{si}");
    }
}
