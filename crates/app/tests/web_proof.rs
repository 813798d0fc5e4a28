//! Logs are put beside the rooms in the browser, and the room is judged by
//! them there.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::fmt::Write as _;

use common::web::{Answer, Server};

const AT: &str = "/jobs/one/rooms/a/proof";

/// Three days of a room that is wetter with lights off, every ten minutes.
fn log() -> String {
    lit_from(360)
}

/// The same with twelve hours of light from a minute of the day on.
fn lit_from(on: i32) -> String {
    let mut text = String::from("time,Canopy temp (°C),Canopy RH (%),Light (lux)\n");
    for n in 0..3 * 144 {
        let minute = n * 10;
        let lit = (on..on + 720).contains(&(minute % 1440));
        writeln!(
            text,
            "2025-03-{:02}T{:02}:{:02}:00Z,{:.2},{:.1},{}",
            10 + minute / 1440,
            minute % 1440 / 60,
            minute % 60,
            if lit { 25.0 } else { 21.0 } + 0.01 * f64::from(n % 7),
            if lit { 55.0 } else { 82.0 } + 0.1 * f64::from(n % 5),
            if lit { 14_000 } else { 0 },
        )
        .unwrap();
    }
    text
}

/// Puts a file in as a browser would.
fn put(server: &Server, name: &str, text: &str) -> Answer {
    server.upload(AT, &[], ("log", name, text.as_bytes()))
}

/// Judges the room by logs, and waits until that has ended.
fn judged(server: &Server, fields: &[(&str, &str)]) -> Answer {
    let started = server.post(&format!("{AT}/run"), fields);
    assert_eq!(started.status, 303, "{}", started.body);
    let there = started.header("location").unwrap().to_owned();
    for _ in 0..1200 {
        let at = server.get(&format!("{AT}/progress")).body;
        if at.contains("\"open\":false") {
            return server.get(&there);
        }
        std::thread::sleep(std::time::Duration::from_millis(100));
    }
    panic!("the run does not end");
}

/// What stands between two marks, each time.
fn all_between<'a>(text: &'a str, before: &str, after: &str) -> Vec<&'a str> {
    let parts = text.split(before).skip(1);
    parts.filter_map(|rest| rest.split(after).next()).collect()
}

#[test]
fn a_log_is_put_in_and_the_room_judged_by_it() {
    let server = Server::with_room(&[]);
    assert!(server.get(AT).body.contains("No log is here yet"));
    let put_in = put(&server, "canopy.csv", &log());
    assert_eq!(put_in.status, 303, "{}", put_in.body);
    let at = put_in.header("location").unwrap().to_owned();
    let form = server.get(&at);
    assert!(
        form.body.contains("value=\"canopy.csv\" checked"),
        "{}",
        form.body
    );
    assert!(
        !form.body.contains("worst nights"),
        "looking judges nothing"
    );
    assert_eq!(server.get(&format!("{AT}/progress")).status, 404);
    let page = judged(&server, &[("log", "canopy.csv")]);
    assert_eq!(page.status, 200);
    assert!(!page.body.contains("There is a problem"), "{}", page.body);
    for words in ["worst nights", "lights off", "too humid", "gives off"] {
        assert!(
            page.body.to_lowercase().contains(&words.to_lowercase()),
            "{words}"
        );
    }
    // In another tab too, until the room is judged again.
    assert!(server.get(AT).body.contains("Judged by canopy.csv."));

    // The same again is no second log; others of that name are not written over.
    assert_eq!(put(&server, "canopy.csv", &log()).status, 303);
    let other = put(&server, "canopy.csv", &log().replace("82", "70"));
    assert_eq!(other.status, 400);
    assert!(other.body.contains("another name"), "{}", other.body);

    // What was judged is told to be of an older room file.
    let file = server.folder.path().join("one/a.room.toml");
    let text = std::fs::read_to_string(&file).unwrap();
    assert!(!page.body.contains("changed since"));
    std::fs::write(&file, format!("{text}# later\n")).unwrap();
    assert!(server.get(AT).body.contains("changed since"));
}

/// A spike of one reading is seen in the whole log and in every part of it that
/// holds it; the table under the chart tells it too.
#[test]
fn a_part_of_the_log_is_shown_and_no_spike_is_lost() {
    let server = Server::with_room(&[]);
    // 11 March, 02:00: row 24 h + 2 h.
    let rows = log();
    let spike = "2025-03-11T02:00:00Z";
    let line = rows.lines().find(|l| l.starts_with(spike)).unwrap();
    let rest = line.split_once(',').unwrap().1.split_once(',').unwrap().1;
    let spiked = rows.replace(line, &format!("{spike},31.40,{rest}"));
    put(&server, "canopy.csv", &spiked);
    let whole = judged(&server, &[("log", "canopy.csv")]);
    let chart = |page: &Answer| {
        let (_, rest) = page.body.split_once("id=\"chart-log\"").unwrap();
        rest.split("</figure>").next().unwrap().to_owned()
    };
    let all = chart(&whole);
    assert!(
        all.contains("2025-03-10 00:00 to 2025-03-12 23:51"),
        "{all}"
    );
    assert!(
        all.contains("Dry bulb, highest") && all.contains(">31.4<"),
        "{all}"
    );
    let part = chart(&server.get(&format!("{AT}?log=canopy.csv&from=24&to=30")));
    assert!(
        part.contains("2025-03-11 00:00 to 2025-03-11 06:00"),
        "{part}"
    );
    assert!(part.contains(">31.4<"));
    let without = chart(&server.get(&format!("{AT}?from=30&to=36")));
    assert!(without.contains("2025-03-11 06:00 to 2025-03-11 12:00"));
    assert!(!without.contains(">31.4<"), "{without}");
    // The links keep what the form was sent with.
    let links = all_between(&part, "href=\"", "\"");
    assert!(links.len() == 5, "{links:?}");
    for link in links {
        assert!(
            link.starts_with("?log=canopy.csv") && link.ends_with("#chart-log"),
            "{link}"
        );
    }
    // Nonsense shows all there is.
    for odd in [
        "from=x&to=y",
        "from=30&to=24",
        "from=900&to=1000",
        "from=1e300&to=1e301",
    ] {
        let page = server.get(&format!("{AT}?{odd}"));
        assert_eq!(page.status, 200, "{odd}");
        assert!(
            chart(&page).contains("2025-03-10 00:00 to 2025-03-12 23:51"),
            "{odd}"
        );
    }
}

/// A run tells where it is, is stopped when asked, and does not end with the
/// tab that asked for it.
#[test]
fn judging_is_watched_and_stopped() {
    let server = Server::with_room(&[]);
    // Two hundred days, so that it takes a while.
    let mut long = String::from("time,temp (°C),RH (%)\n");
    for n in 0..200 * 1440 {
        let (day, minute) = (n / 1440, n % 1440);
        writeln!(
            long,
            "{},{:.2},{:.1}",
            1_735_689_600 + 60 * n,
            22 + day % 3,
            60 + minute % 9
        )
        .unwrap();
    }
    assert_eq!(put(&server, "long.csv", &long).status, 303);
    assert_eq!(server.post(&format!("{AT}/run"), &[]).status, 400);
    assert_eq!(
        server.post(&format!("{AT}/run"), &[("log", "../a")]).status,
        404
    );
    let started = server.post(&format!("{AT}/run"), &[("log", "long.csv")]);
    assert_eq!(started.status, 303, "{}", started.body);
    let page = server.get(AT).body;
    assert!(
        page.contains("data-open=\"true\"") && page.contains("Stop this run"),
        "{page}"
    );
    // A second one is not begun beside it.
    server.post(&format!("{AT}/run"), &[("log", "long.csv")]);
    let at: serde_json::Value =
        serde_json::from_str(&server.get(&format!("{AT}/progress")).body).unwrap();
    assert_eq!(
        (at["open"].as_bool(), at["number"].as_u64()),
        (Some(true), Some(0))
    );
    assert_eq!(server.post(&format!("{AT}/stop"), &[]).status, 303);
    for _ in 0..1200 {
        if server.get(AT).body.contains("Stopped;") {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(100));
    }
    panic!("{}", server.get(&format!("{AT}/progress")).body);
}

#[test]
fn what_is_no_log_is_told_in_words() {
    let server = Server::with_room(&[]);
    // What can be no table of times is refused where it is put in.
    let picture = String::from_utf8_lossy(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0").into_owned();
    for (name, text) in [
        ("fake.jpg", "this is not a photo\n"),
        ("photo.png", picture.as_str()),
        ("blank.csv", " \n"),
    ] {
        let answer = put(&server, name, text);
        assert_eq!(answer.status, 400, "{name}");
        assert!(
            answer.body.contains("was not put in: it "),
            "{}",
            answer.body
        );
        assert_eq!(
            server.get(&format!("{AT}?log={name}")).status,
            404,
            "{name}"
        );
    }
    let odd = "t,temp,rh\nmorning,22.5,60\nnoon,22.5,61\n";
    assert_eq!(put(&server, "a.csv", odd).status, 303);
    let page = judged(&server, &[("log", "a.csv"), ("zone", "America/Denver")]);
    assert!(page.body.contains("There is a problem"));
    assert!(page.body.contains("<title>Error: "));
    assert!(page.body.contains("<dt>Sheet</dt><dd>Proof from logs</dd>"));
    assert!(
        page.body.contains("value=\"America/Denver\""),
        "what was typed is kept"
    );
    // What helps is named as the form has it; in the reader's words and the
    // proof's.
    let bare = "time,CO2 (ppm)\n2025-03-10T07:00:00Z,900\n2025-03-10T07:05:00Z,900\n";
    assert_eq!(put(&server, "bare.csv", bare).status, 303);
    let asked = [
        ("a.csv", &[][..], "“What a column is, one a line”"),
        ("bare.csv", &[], "“What a column is, one a line”"),
        (
            "bare.csv",
            &[("zone", "Mars/Base")],
            "“Zone of the logs' clocks”",
        ),
        (
            "bare.csv",
            &[("start", "noon")],
            "“When a log began that counts from its start”",
        ),
    ];
    for (log, told, field) in asked {
        let page = judged(&server, &[&[("log", log)], told].concat()).body;
        let problem = all_between(&page, "role=\"alert\">", "</div>").concat();
        assert!(problem.contains(field), "{problem}");
        assert!(!problem.contains("--"), "{problem}");
    }
    // Names lead nowhere else.
    for name in ["../a.csv", "a/../../b.csv", ".hidden", ""] {
        assert_eq!(put(&server, name, &log()).status, 400, "{name:?}");
    }
    for name in ["..%2Fa.room.toml", "no-such.csv", "%2Fetc%2Fpasswd"] {
        assert_eq!(
            server.get(&format!("{AT}?log={name}")).status,
            404,
            "{name}"
        );
    }
}

/// Lights that burn an hour late ask for the zone of the log's clock: the
/// finding says so, the page names its field, the command line its option.
#[test]
fn the_zone_is_asked_for_where_the_lights_differ() {
    let server = Server::with_room(&[]);
    let said = |page: &str| page.contains("told under “Zone of the logs' clocks”");
    put(&server, "canopy.csv", &log());
    assert!(!said(&judged(&server, &[("log", "canopy.csv")]).body));
    let late = lit_from(420);
    put(&server, "late.csv", &late);
    let page = judged(&server, &[("log", "late.csv")]).body;
    assert!(page.contains("later than the room file says"), "{page}");
    assert!(said(&page) && !page.contains("--zone"), "{page}");
    let job = server.folder.path().join("one");
    std::fs::write(job.join("late.csv"), late).unwrap();
    let ran = common::drywright(&job, &["prove", "a.room.toml", "late.csv"]);
    assert!(ran.code < 2, "{}", ran.err);
    assert!(
        ran.out
            .contains("told with --zone America/Denver, UTC or -07:00"),
        "{}",
        ran.out
    );
}

#[test]
fn what_was_found_is_written_over_the_version_that_was_seen() {
    let server = Server::with_room(&[]);
    let at = format!("{AT}/found");
    let stale = server.post(&at, &[("base", "0"), ("set.crop.canopy", "41 m2")]);
    assert_eq!(stale.status, 409, "{}", stale.body);
    let unknown = server.post(&at, &[("base", "0"), ("set.no.such", "1")]);
    assert_eq!(unknown.status, 400, "{}", unknown.body);
}

/// What the page keeps is what `prove --keep` keeps, and the dossier's chapter
/// comes from it.
#[test]
fn a_proof_is_kept_from_its_page() {
    let server = Server::with_room(&[]);
    put(&server, "canopy.csv", &log());
    let keep = format!("{AT}/keep");
    // Nothing was judged yet.
    assert_eq!(server.post(&keep, &[("run", "0")]).status, 400);
    let page = judged(&server, &[("log", "canopy.csv"), ("dates", "ymd")]);
    let number = all_between(&page.body, "name=\"run\" value=\"", "\"");
    assert_eq!(number.len(), 1, "{}", page.body);
    assert!(!page.body.contains("An earlier one is kept"));
    let job = server.folder.path().join("one");
    assert!(!job.join("a.proof.json").exists());
    assert_eq!(server.post(&keep, &[("run", "77")]).status, 400);
    let kept = server.post(&keep, &[("run", number[0])]);
    assert_eq!(kept.status, 303, "{}", kept.body);
    let told = server.get(kept.header("location").unwrap()).body;
    for words in [
        "a.proof.json",
        "Kept as",
        "dossier",
        "An earlier one is kept",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    let file = |at: &std::path::Path| std::fs::read_to_string(at.join("a.proof.json")).unwrap();
    let by_page = file(&job);
    // Only what was kept is told, whatever an address says.
    for typed in ["kept=yes", "kept=77", "kept="] {
        let page = server.get(&format!("{AT}?log=canopy.csv&{typed}")).body;
        assert!(!page.contains("Kept as"), "{typed}: {page}");
    }
    let there = kept.header("location").unwrap();
    std::fs::write(job.join("a.proof.json"), by_page.replace("ymd", "dmy")).unwrap();
    assert!(!server.get(there).body.contains("Kept as"));
    std::fs::remove_file(job.join("a.proof.json")).unwrap();
    assert!(!server.get(there).body.contains("Kept as"));
    std::fs::write(job.join("a.proof.json"), &by_page).unwrap();
    assert!(by_page.contains("\"dates\": \"ymd\""), "{by_page}");

    // The same by the command line in a copy of the job.
    let copy = tempfile::tempdir().unwrap();
    for name in std::fs::read_dir(&job)
        .unwrap()
        .map(|e| e.unwrap().file_name())
    {
        let from = job.join(&name);
        if from.is_file() && name.to_str().unwrap().ends_with(".toml") {
            std::fs::copy(from, copy.path().join(&name)).unwrap();
        }
    }
    std::fs::write(copy.path().join("canopy.csv"), log()).unwrap();
    let args = [
        "prove",
        "a.room.toml",
        "canopy.csv",
        "--dates",
        "ymd",
        "--keep",
    ];
    let ran = common::drywright(copy.path(), &args);
    assert!(ran.code < 2, "{}", ran.err);
    assert_eq!(file(copy.path()), by_page);
}

#[test]
fn a_log_is_taken_out_and_not_lost() {
    let server = Server::with_room(&[]);
    let out = |name: &str| server.post(&format!("{AT}/log-out"), &[("name", name)]);
    let logs = server.folder.path().join("one/logs");
    for _ in 0..2 {
        assert_eq!(put(&server, "canopy.csv", &log()).status, 303);
        assert!(server.get(AT).body.contains("Take a log out"));
        assert_eq!(out("canopy.csv").status, 303);
        assert!(!logs.join("canopy.csv").exists());
        assert!(!server.get(AT).body.contains("canopy.csv"));
    }
    let there = std::fs::read_dir(logs.join("taken-out")).unwrap();
    assert_eq!(there.count(), 2);
    for name in ["canopy.csv", "../a.room.toml", "taken-out"] {
        assert_eq!(out(name).status, 404, "{name}");
    }
    // One that a kept proof was made by stays.
    put(&server, "canopy.csv", &log());
    let kept =
        r#"{"schema":"kept-proof/1","design_id":"x","logs":[{"file":"canopy.csv","sha256":"x"}]}"#;
    std::fs::write(server.folder.path().join("one/a.proof.json"), kept).unwrap();
    let answer = out("canopy.csv");
    assert_eq!(answer.status, 400);
    assert!(
        answer.body.contains("a proof that is kept"),
        "{}",
        answer.body
    );
    assert!(logs.join("canopy.csv").exists());
}
