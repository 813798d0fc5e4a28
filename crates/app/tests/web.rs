//! The web app over a socket: who is kept out, what is saved, what is never
//! lost.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::time::Duration;

use common::files_below;
use common::web::{Answer, FORM_TOKEN, ROOM, Server, encoded, form_token};

fn served() -> Server {
    Server::start(|folder| {
        std::fs::create_dir(folder.join("one")).unwrap();
        std::fs::write(folder.join("one/a.room.toml"), ROOM).unwrap();
    })
}

fn room_file(server: &Server) -> PathBuf {
    server.folder.path().join("one/a.room.toml")
}

/// The version that a page's form carries.
fn base(page: &Answer) -> String {
    let (_, rest) = page.body.split_once("name=\"base\" value=\"").unwrap();
    rest.split('"').next().unwrap().to_owned()
}

const FIRST: &str = "/jobs/one/rooms/a/survey";

#[test]
fn only_our_own_names_and_pages_are_answered() {
    let server = served();
    let port = server.port;
    let ask = |host: &str, path: &str| {
        let cookie = ("Cookie", server.cookie.as_str());
        server.ask("GET", path, &[("Host", host), cookie], b"")
    };
    for path in ["/", "/assets/x.css", "/api/jobs", "/nothing"] {
        for host in [
            format!("evil.example:{port}"),
            format!("127.0.0.1:{}", port ^ 1),
            "127.0.0.1".to_owned(),
            String::new(),
        ] {
            let answer = ask(&host, path);
            assert_eq!(answer.status, 421, "{host} {path}");
            assert!(answer.body.is_empty());
        }
    }
    for host in [format!("localhost:{port}"), format!("127.0.0.1:{port}")] {
        assert_eq!(ask(&host, "/").status, 200);
    }
    let before = std::fs::read_to_string(room_file(&server)).unwrap();
    let own = format!("http://127.0.0.1:{port}");
    let token = server.form_token();
    for origin in [
        None,
        Some("null".to_owned()),
        Some(format!("http://127.0.0.1:{}", port ^ 1)),
        Some(format!("https://127.0.0.1:{port}")),
        Some(format!("http://localhost:{port}")),
    ] {
        let mut headers = vec![
            ("Cookie", server.cookie.as_str()),
            ("X-Form-Token", token.as_str()),
        ];
        if let Some(origin) = &origin {
            headers.push(("Origin", origin));
        }
        let answer = server.ask("POST", FIRST, &headers, b"base=x");
        assert_eq!(answer.status, 403, "{origin:?}");
    }
    for (site, status) in [
        ("cross-site", 403),
        ("same-site", 403),
        ("same-origin", 303),
    ] {
        let headers = [
            ("Cookie", server.cookie.as_str()),
            ("Origin", own.as_str()),
            ("Sec-Fetch-Site", site),
            ("X-Form-Token", token.as_str()),
            ("Content-Type", "application/x-www-form-urlencoded"),
        ];
        let answer = server.ask("POST", "/choices", &headers, b"units=us&back=//evil");
        assert_eq!(answer.status, status, "{site}");
        if status == 303 {
            assert_eq!(answer.header("location"), Some("/"));
        }
    }
    assert_eq!(std::fs::read_to_string(room_file(&server)).unwrap(), before);
}

#[test]
fn strangers_see_nothing_and_every_answer_has_its_headers() {
    let server = served();
    for path in ["/", FIRST, "/jobs/one/zip", "/air", "/api/jobs"] {
        let stranger = server.ask("GET", path, &[("Cookie", "drywright=0")], b"");
        assert_eq!(stranger.status, 401, "{path}");
        assert!(
            !stranger.body.contains("/jobs/"),
            "{path}: {}",
            stranger.body
        );
    }
    let wrong_key = server.ask("GET", "/enter?key=abc", &[], b"");
    assert_eq!(wrong_key.status, 401);
    for path in ["/", "/nothing", "/enter?key=x", FIRST, "/assets/none.js"] {
        let answer = server.get(path);
        let policy = answer.header("content-security-policy").unwrap();
        assert!(policy.contains("default-src 'none'") && !policy.contains("unsafe"));
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("referrer-policy"), Some("same-origin"));
        assert!(answer.header("access-control-allow-origin").is_none());
    }
}

#[test]
fn reading_changes_nothing() {
    let server = served();
    let contents = |folder: &Path| -> Vec<(PathBuf, Vec<u8>)> {
        files_below(folder)
            .into_iter()
            .map(|p| (p.clone(), std::fs::read(p).unwrap()))
            .collect()
    };
    let before = contents(server.folder.path());
    for path in [
        "/",
        "/jobs/one",
        FIRST,
        "/jobs/one/rooms/a/survey/plant",
        "/jobs/one/rooms/a/text",
        "/jobs/one/site",
        "/jobs/one/rooms/a/load",
        "/jobs/one/rooms/a/units",
        "/jobs/one/rooms/a/day",
        "/jobs/one/rooms/a/plan",
        "/jobs/one/rooms/a/hanging",
        "/jobs/one/rooms/a/drain",
        "/jobs/one/rooms/a/power",
        "/jobs/one/rooms/a/control",
        "/jobs/one/rooms/a/findings",
        "/jobs/one/rooms/a/dossier",
        "/jobs/one/zip",
        "/machines",
        "/air",
    ] {
        for _ in 0..2 {
            assert_eq!(server.get(path).status, 200, "{path}");
        }
    }
    assert_eq!(contents(server.folder.path()), before);
}

#[test]
fn a_field_is_broken_and_mended_and_comments_stay() {
    let server = served();
    let page = server.get(FIRST);
    let save =
        |length: &str, base: &str| server.post(FIRST, &[("base", base), ("room|0|length", length)]);
    let broken = save("abc <b>", &base(&page));
    assert_eq!(broken.status, 422);
    assert!(broken.body.contains("<title>Error: "), "{}", broken.body);
    assert!(broken.body.contains("There is a problem"));
    // The text is kept, and shown as text.
    assert!(
        broken.body.contains("value=\"abc &lt;b&gt;\""),
        "{}",
        broken.body
    );
    assert!(broken.body.contains("aria-invalid=\"true\""));
    assert_eq!(std::fs::read_to_string(room_file(&server)).unwrap(), ROOM);

    // A comma that may be read in two ways is asked about, never guessed.
    let comma = save("1.033,5 ft", &base(&page));
    assert_eq!(comma.status, 422);
    assert!(
        comma.body.contains("write 1033.5 or 1.0335"),
        "{}",
        comma.body
    );

    let mended = save("33.5 ft", &base(&page));
    assert_eq!(mended.status, 303, "{}", mended.body);
    assert_eq!(
        std::fs::read_to_string(room_file(&server)).unwrap(),
        ROOM.replace("\"10 m\" # taped", "\"33.5 ft\" # taped")
    );
    // Sent twice with the same content, nothing is wrong.
    assert_eq!(save("33.5 ft", &base(&page)).status, 303);

    // Somebody else saved meanwhile: refused, with both texts, nothing written.
    let stale = save("12 m", &base(&page));
    assert_eq!(stale.status, 409);
    assert!(stale.body.contains("12 m") && stale.body.contains("33.5 ft"));
    let now = std::fs::read_to_string(room_file(&server)).unwrap();
    assert!(now.contains("33.5 ft"));
    // The older text lies beside it.
    let older = server.folder.path().join("one/.older/a.room.toml.1");
    assert_eq!(std::fs::read_to_string(older).unwrap(), ROOM);
}

#[test]
fn the_text_is_edited_with_errors_by_line() {
    let server = served();
    let at = "/jobs/one/rooms/a/text";
    let save = |text: &str, more: &[(&str, &str)]| {
        let base = base(&server.get(at));
        let mut fields = vec![("text", text), ("base", base.as_str())];
        fields.extend(more);
        server.post(at, &fields)
    };
    let broken = ROOM.replace("\"7 m\"", "7");
    let answer = save(&broken.replace('\n', "\r\n"), &[]);
    assert_eq!(answer.status, 422);
    assert!(answer.body.contains("a.room.toml:5:"), "{}", answer.body);
    assert_eq!(std::fs::read_to_string(room_file(&server)).unwrap(), ROOM);
    assert_eq!(save(&broken, &[("anyway", "yes")]).status, 303);
    assert_eq!(std::fs::read_to_string(room_file(&server)).unwrap(), broken);
    // A broken room still opens, as form and as text, and says why.
    for path in [FIRST, at] {
        let page = server.get(path);
        assert_eq!(page.status, 200);
        assert!(page.body.contains("There is a problem"), "{path}");
    }
    let load = server.get("/jobs/one/rooms/a/load");
    assert_eq!(load.status, 422);
    assert!(load.body.contains("a.room.toml:5:"));
    // Mended in the form, one field of it.
    let page = server.get(FIRST);
    let mended = server.post(FIRST, &[("base", &base(&page)), ("room|0|width", "7 m")]);
    assert_eq!(mended.status, 303, "{}", mended.body);
    assert_eq!(std::fs::read_to_string(room_file(&server)).unwrap(), ROOM);
}

#[test]
fn whatever_is_typed_is_shown_as_text() {
    let server = served();
    let evil = "\"><img src=x onerror=alert(1)><script>alert(2)</script>";
    let page = server.get(FIRST);
    let saved = server.post(FIRST, &[("base", &base(&page)), ("room|0|name", evil)]);
    assert_eq!(saved.status, 303);
    for path in [
        FIRST,
        "/jobs/one/rooms/a/text",
        "/jobs/one/rooms/a/plan",
        "/jobs/one/rooms/a/load",
    ] {
        let page = server.get(path);
        assert_eq!(page.status, 200, "{path}");
        assert!(
            !page.body.contains("<img") && !page.body.contains("<script>alert"),
            "{path}"
        );
    }
    for name in [evil, "../x", "a/b", ".hidden", "con"] {
        let made = server.post("/jobs", &[("name", name)]);
        assert_eq!(made.status, 422, "{name}");
        assert!(!made.body.contains("<img"));
    }
}

#[test]
fn links_are_not_followed() {
    let outside = tempfile::tempdir().unwrap();
    std::fs::write(outside.path().join("secret.room.toml"), "# secret").unwrap();
    let server = served();
    let folder = server.folder.path();
    std::os::unix::fs::symlink(outside.path(), folder.join("linked")).unwrap();
    std::os::unix::fs::symlink(
        outside.path().join("secret.room.toml"),
        folder.join("one/linked.room.toml"),
    )
    .unwrap();
    assert!(!server.get("/").body.contains("linked"));
    for path in [
        "/jobs/linked",
        "/jobs/one/rooms/linked/text",
        "/jobs/..",
        "/jobs/..%2f",
        "/jobs/one/rooms/..%2fa/text",
        "/jobs/one/rooms/a/dossier/files/..%2fa.room.toml",
    ] {
        let answer = server.get(path);
        assert!(
            matches!(answer.status, 404 | 400),
            "{path}: {}",
            answer.status
        );
        assert!(!answer.body.contains("# secret"));
    }
}

/// A hundred kills at odd moments of a save: the file is the old or a new one,
/// never anything between, and the visitor is still let in afterwards.
#[test]
fn a_kill_in_a_save_leaves_the_old_or_the_new_file() {
    let mut server = served();
    for round in 0..100_u64 {
        let page = server.get(FIRST);
        let length = format!("{} m", 10 + round % 50);
        let body = format!(
            "{FORM_TOKEN}={}&base={}&{}={}",
            form_token(&page),
            base(&page),
            encoded("room|0|length"),
            encoded(&length)
        );
        let head = format!(
            "POST {FIRST} HTTP/1.1\r\nHost: 127.0.0.1:{0}\r\nOrigin: http://127.0.0.1:{0}\r\nCookie: {1}\r\n\
             Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {2}\r\n\r\n{body}",
            server.port,
            server.cookie,
            body.len()
        );
        let mut stream = TcpStream::connect(("127.0.0.1", server.port)).unwrap();
        stream.write_all(head.as_bytes()).unwrap();
        std::thread::sleep(Duration::from_micros(37 * (round % 60)));
        let cookie = server.cookie.clone();
        server = server.killed_and_back();
        let text = std::fs::read_to_string(room_file(&server)).unwrap();
        let whole = (0..60).any(|n| text == ROOM.replace("\"10 m\"", &format!("\"{n} m\"")));
        assert!(whole, "after kill {round}:\n{text}");
        let again = server.ask("GET", "/", &[("Cookie", &cookie)], b"");
        assert_eq!(again.status, 200, "let in before kill {round}, not after");
    }
}

#[test]
fn a_second_server_on_the_folder_is_refused_with_a_reason() {
    let server = served();
    let second = common::drywright(server.folder.path(), &["serve", ".", "--port", "0"]);
    assert_eq!(second.code, 2);
    assert!(
        second.err.contains("another drywright server"),
        "{}",
        second.err
    );
}

#[test]
fn bad_requests_and_slow_ones_leave_the_server_alive() {
    let server = served();
    let send = |bytes: &[u8]| {
        let mut stream = TcpStream::connect(("127.0.0.1", server.port)).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_millis(300)))
            .unwrap();
        let _ = stream.write_all(bytes);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        stream
    };
    let mut held = Vec::new();
    for bytes in [
        &b"\0\0\0\0"[..],
        b"GET",
        b"GET / HTTP/9.9\r\n\r\n",
        b"GET /%ff%00%zz HTTP/1.1\r\nHost: x\r\n\r\n",
        b"POST / HTTP/1.1\r\nContent-Length: -5\r\n\r\n",
        b"POST / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\nzzz\r\n",
        b"",
    ] {
        held.push(send(bytes));
    }
    held.push(send(
        format!("GET / HTTP/1.1\r\nX: {}\r\n\r\n", "a".repeat(200_000)).as_bytes(),
    ));
    // A body that is said to be a gigabyte is refused before it is read.
    let own = format!("http://127.0.0.1:{}", server.port);
    let huge = server.ask(
        "POST",
        FIRST,
        &[
            ("Cookie", &server.cookie),
            ("Origin", &own),
            ("Content-Length", "1000000000"),
            ("Content-Type", "application/x-www-form-urlencoded"),
        ],
        b"base=x",
    );
    assert_eq!(huge.status, 413);
    let token = server.form_token();
    for method in ["PUT", "DELETE", "BREW"] {
        let headers = [
            ("Cookie", server.cookie.as_str()),
            ("Origin", own.as_str()),
            ("X-Form-Token", token.as_str()),
        ];
        assert_eq!(server.ask(method, "/", &headers, b"").status, 405);
    }
    // Those that are held open keep nobody out.
    assert_eq!(server.get("/").status, 200);
    drop(held);
}

#[test]
fn what_is_not_done_leads_back_to_the_page_that_it_was_asked_on() {
    let server = served();
    let way = |page: &str| format!("<a class=\"button\" href=\"{page}\">Back to that page");
    let asked = |method: &str, path: &str, from: &str| {
        let from = from.replace("HERE", &server.origin());
        let headers = [("Cookie", server.cookie.as_str()), ("Referer", &from)];
        server.ask(method, path, &headers, b"").body
    };
    let page = "/jobs/one/rooms/a/load?open=all";
    let body = asked("GET", "/jobs/one/rooms/b/load", &format!("HERE{page}"));
    assert!(body.contains(&way(page)), "{body}");
    // A form goes back to its page, also where both have one address.
    let body = asked("POST", "/jobs", "HERE/jobs");
    assert!(body.contains(&way("/jobs")), "{body}");
    // No way to where one is, and none to another's page.
    let lost = "/jobs/no-such";
    let body = asked("GET", lost, &format!("HERE{lost}"));
    assert!(!body.contains("Back to that page"), "{body}");
    let body = asked("GET", lost, "http://elsewhere.invalid/x");
    assert!(!body.contains("elsewhere"), "{body}");
    let body = asked("GET", lost, "javascript:alert(1)");
    assert!(!body.contains("Back to that page"), "{body}");
}

#[test]
fn a_folder_that_cannot_be_written_to_keeps_the_old_file() {
    // Root may write anywhere: there the folder for older copies is a file.
    let server = served();
    std::fs::write(server.folder.path().join("one/.older"), "in the way").unwrap();
    let page = server.get(FIRST);
    let refused = server.post(FIRST, &[("base", &base(&page)), ("room|0|length", "12 m")]);
    assert_eq!(refused.status, 507, "{}", refused.body);
    assert!(refused.body.contains("Not saved"), "{}", refused.body);
    assert_eq!(std::fs::read_to_string(room_file(&server)).unwrap(), ROOM);
}
