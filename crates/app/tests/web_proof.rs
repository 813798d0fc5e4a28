//! Logs are put beside the rooms in the browser, and the room is judged by
//! them there.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::fmt::Write as _;

use common::web::{Answer, Server};

const AT: &str = "/jobs/one/rooms/a/proof";

/// Three days of a room that is wetter with lights off, every ten minutes.
fn log() -> String {
    let mut text = String::from("time,Canopy temp (°C),Canopy RH (%),Light (lux)\n");
    for n in 0..3 * 144 {
        let minute = n * 10;
        let lit = (360..1080).contains(&(minute % 1440));
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
    let origin = format!("http://127.0.0.1:{}", server.port);
    let body = format!(
        "--x\r\nContent-Disposition: form-data; name=\"log\"; filename=\"{name}\"\r\n\
         Content-Type: text/csv\r\n\r\n{text}\r\n--x--\r\n"
    );
    server.ask(
        "POST",
        AT,
        &[
            ("Cookie", &server.cookie),
            ("Origin", &origin),
            ("Content-Type", "multipart/form-data; boundary=x"),
        ],
        body.as_bytes(),
    )
}

#[test]
fn a_log_is_put_in_and_the_room_judged_by_it() {
    let server = Server::with_room(&[]);
    assert!(server.get(AT).body.contains("No log is here yet"));
    let put_in = put(&server, "canopy.csv", &log());
    assert_eq!(put_in.status, 303, "{}", put_in.body);
    let at = put_in.header("location").unwrap().to_owned();
    let page = server.get(&at);
    assert_eq!(page.status, 200);
    assert!(!page.body.contains("There is a problem"), "{}", page.body);
    for words in ["worst nights", "lights off", "too humid", "gives off"] {
        assert!(
            page.body.to_lowercase().contains(&words.to_lowercase()),
            "{words}"
        );
    }

    // The same again is no second log; others of that name are not written over.
    assert_eq!(put(&server, "canopy.csv", &log()).status, 303);
    let other = put(&server, "canopy.csv", &log().replace("82", "70"));
    assert_eq!(other.status, 400);
    assert!(other.body.contains("another name"), "{}", other.body);
}

#[test]
fn what_is_no_log_is_told_in_words() {
    let server = Server::with_room(&[]);
    assert_eq!(put(&server, "a.csv", "not a log\nat all\n").status, 303);
    let page = server.get(&format!("{AT}?log=a.csv"));
    assert!(page.body.contains("There is a problem"));
    assert!(page.body.contains("<title>Error: "));
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

#[test]
fn what_was_found_is_written_over_the_version_that_was_seen() {
    let server = Server::with_room(&[]);
    let at = format!("{AT}/found");
    let stale = server.post(&at, &[("base", "0"), ("set.crop.canopy", "41 m2")]);
    assert_eq!(stale.status, 409, "{}", stale.body);
    let unknown = server.post(&at, &[("base", "0"), ("set.no.such", "1")]);
    assert_eq!(unknown.status, 400, "{}", unknown.body);
}
