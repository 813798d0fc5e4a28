//! The web app under requests that no browser of ours sends, and over
//! restarts: headers that are odd, bodies that are no forms, cookies planted
//! and old.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::time::{SystemTime, UNIX_EPOCH};

use common::web::Server;

fn served() -> Server {
    Server::with_room(&["--port", "0"])
}

const FORM: (&str, &str) = ("Content-Type", "application/x-www-form-urlencoded");

#[test]
fn a_header_that_is_odd_or_stands_twice_is_refused() {
    let server = served();
    let port = server.port;
    let cookie = ("Cookie", server.cookie.as_str());
    for host in [
        format!("localhost:+{port}"),
        format!("localhost:0{port}"),
        format!("[localhost]:{port}"),
        format!("127.0.0.1.:{port}"),
        format!("x@127.0.0.1:{port}"),
        format!("127.0.0.1:{port},evil.example"),
        format!("localhost:{port}\u{e9}"),
    ] {
        let answer = server.ask("GET", "/", &[("Host", &host), cookie], b"");
        assert!(
            matches!(answer.status, 421 | 400),
            "{host}: {}",
            answer.status
        );
    }
    let own = format!("127.0.0.1:{port}");
    let twice = [("Host", own.as_str()), ("Host", "evil.example"), cookie];
    assert_eq!(server.ask("GET", "/", &twice, b"").status, 421);
    let twice = [("Host", own.as_str()), ("Host", own.as_str()), cookie];
    assert_eq!(server.ask("GET", "/", &twice, b"").status, 421);
    let whole = format!("http://evil.example:{port}/");
    assert_eq!(server.ask("GET", &whole, &[cookie], b"").status, 421);

    let origin = format!("http://{own}");
    let token = server.form_token();
    let post = |more: &[(&str, &str)]| {
        let mut headers = vec![cookie, ("Origin", &origin), ("X-Form-Token", &token), FORM];
        headers.extend(more);
        server.ask("POST", "/choices", &headers, b"units=us").status
    };
    assert_eq!(post(&[]), 303);
    assert_eq!(post(&[("Sec-Fetch-Site", "same-origin")]), 303);
    assert_eq!(post(&[("Origin", "http://evil.example")]), 403);
    assert_eq!(post(&[("Origin", &origin)]), 403);
    for site in ["same-origin\u{e9}", "\u{e9}", "", "none", "Same-Origin"] {
        assert_eq!(post(&[("Sec-Fetch-Site", site)]), 403, "{site}");
    }
    let sites = [
        ("Sec-Fetch-Site", "same-origin"),
        ("Sec-Fetch-Site", "cross-site"),
    ];
    assert_eq!(post(&sites), 403);
}

#[test]
fn asking_for_the_head_lets_nobody_in() {
    let server = served();
    let (_, key) = server.address.split_once("/enter").unwrap();
    let at = format!("/enter{key}");
    let head = server.ask("HEAD", &at, &[], b"");
    assert_eq!(head.status, 401);
    assert!(head.header("set-cookie").is_none());
    let post = server.ask(
        "POST",
        &at,
        &[("Origin", &format!("http://127.0.0.1:{}", server.port))],
        b"",
    );
    assert_eq!(post.status, 405);
    assert!(
        server
            .ask("GET", &at, &[], b"")
            .header("set-cookie")
            .is_some()
    );
}

#[test]
fn a_cookie_planted_beside_ours_keeps_nobody_out() {
    let server = served();
    let name = format!("drywright-{}", server.port);
    let planted = format!("{name}=planted");
    let own = server.cookie.as_str();
    for cookies in [
        vec![format!("{planted}; {own}")],
        vec![format!("{own}; {planted}")],
        vec![planted.clone(), own.to_owned()],
        vec![format!("{name}=; {name}={}; {own}", "f".repeat(64))],
    ] {
        let headers: Vec<(&str, &str)> = cookies.iter().map(|c| ("Cookie", c.as_str())).collect();
        assert_eq!(
            server.ask("GET", "/", &headers, b"").status,
            200,
            "{cookies:?}"
        );
    }
    for other in [planted, format!("x{own}"), own.to_uppercase()] {
        let answer = server.ask("GET", "/", &[("Cookie", &other)], b"");
        assert_eq!(answer.status, 401, "{other}");
    }
}

#[test]
fn what_is_refused_is_told_on_a_page_of_ours() {
    let server = served();
    let origin = format!("http://127.0.0.1:{}", server.port);
    let cookie = ("Cookie", server.cookie.as_str());
    let own = ("Origin", origin.as_str());
    let token = server.form_token();
    // Without a length: 300 kB in one chunk.
    let mut chunked = b"493E0\r\n".to_vec();
    chunked.extend(std::iter::repeat_n(b'a', 0x493E0));
    chunked.extend(b"\r\n0\r\n\r\n");
    let form = "/jobs/one/rooms/a/survey";
    let in_chunks = ("Transfer-Encoding", "chunked");
    for (method, path, headers, body, status, says) in [
        (
            "POST",
            form,
            vec![FORM, in_chunks],
            chunked.as_slice(),
            413,
            "Too large",
        ),
        (
            "POST",
            "/choices",
            vec![FORM, in_chunks],
            &chunked,
            413,
            "Too large",
        ),
        (
            "POST",
            "/choices",
            vec![("Content-Type", "text/xml")],
            b"<x/>",
            415,
            "Not done",
        ),
        ("POST", "/choices", vec![], b"units=us", 415, "Not done"),
        (
            "POST",
            "/jobs",
            vec![FORM],
            b"nam=x",
            422,
            "There is a problem",
        ),
        (
            "POST",
            "/jobs",
            vec![FORM],
            b"name=<b>&name=<b>",
            422,
            "There is a problem",
        ),
        ("POST", "/jobs/open", vec![FORM], b"name=x", 400, "Not done"),
        ("POST", "/", vec![FORM], b"", 405, "cannot be done"),
        (
            "GET",
            "/jobs/%ff/rooms/a/load",
            vec![],
            b"",
            400,
            "Not done",
        ),
        ("GET", "/assets/nothing.css", vec![], b"", 404, "Not here"),
    ] {
        let mut all = vec![cookie, own, ("X-Form-Token", &token)];
        all.extend(headers);
        let answer = server.ask(method, path, &all, body);
        assert_eq!(answer.status, status, "{path}: {}", answer.body);
        assert!(answer.body.contains(says), "{path}: {}", answer.body);
        assert!(answer.body.contains("<html"), "{path}: {}", answer.body);
        assert!(!answer.body.contains("<b>"), "{path}: {}", answer.body);
        assert!(answer.header("content-security-policy").is_some(), "{path}");
        assert_eq!(answer.header("allow").is_some(), status == 405, "{path}");
    }
}

fn now_s() -> u64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap();
    since.as_secs()
}

/// Twelve hours without use end a cookie; use renews it, over a restart too.
#[test]
fn a_cookie_is_renewed_by_use_and_ends_without() {
    const H: u64 = 3600;
    let mut server = served();
    for (idle_s, status) in [(11 * H, 200), (13 * H, 401)] {
        let cookie = server.cookie.clone();
        server = server.killed_changed_and_back(|state| {
            let all = common::files_below(state);
            let file = all
                .iter()
                .find(|p| p.to_string_lossy().contains("visitors-"))
                .unwrap();
            let mut kept: serde_json::Value =
                serde_json::from_slice(&std::fs::read(file).unwrap()).unwrap();
            for one in kept["sessions"].as_array_mut().unwrap() {
                one["last_seen_s"] = (now_s() - idle_s).into();
                one["renewed_s"] = (now_s() - idle_s).into();
            }
            std::fs::write(file, kept.to_string()).unwrap();
        });
        let answer = server.ask("GET", "/", &[("Cookie", &cookie)], b"");
        assert_eq!(answer.status, status);
        if status == 200 {
            assert_eq!(answer.cookie(), cookie);
            assert!(
                answer
                    .header("set-cookie")
                    .unwrap()
                    .contains("Max-Age=43200")
            );
            // Renewed: not at every request.
            let next = server.ask("GET", "/", &[("Cookie", &cookie)], b"");
            assert!(next.header("set-cookie").is_none());
        }
        let kept: serde_json::Value =
            serde_json::from_slice(&std::fs::read(server.visitors_file()).unwrap()).unwrap();
        let oldest = kept["sessions"]
            .as_array()
            .unwrap()
            .iter()
            .map(|s| &s["last_seen_s"]);
        // What is over is kept no longer; what was used is kept as used.
        assert!(oldest.map(|s| s.as_u64().unwrap()).min().unwrap() + H < now_s() + 2 * H);
        assert!(
            kept["sessions"]
                .as_array()
                .unwrap()
                .iter()
                .all(|s| now_s() - s["last_seen_s"].as_u64().unwrap() < H)
        );
    }
}

#[test]
fn the_key_is_another_one_at_each_start_and_the_port_the_same() {
    let server = Server::with_room(&[]);
    let (port, key, cookie) = (server.port, server.address.clone(), server.cookie.clone());
    let server = server.killed_and_back();
    assert_eq!(server.port, port);
    assert_ne!(server.address, key);
    let (_, old) = key.split_once("/enter").unwrap();
    assert_eq!(
        server.ask("GET", &format!("/enter{old}"), &[], b"").status,
        401
    );
    assert_eq!(
        server.ask("GET", "/", &[("Cookie", &cookie)], b"").status,
        200
    );
}

#[test]
fn visitors_do_not_pile_up() {
    let server = served();
    let (_, key) = server.address.split_once("/enter").unwrap();
    for _ in 0..100 {
        let entered = server.ask("GET", &format!("/enter{key}"), &[], b"");
        assert_eq!(entered.status, 303);
    }
    let kept: serde_json::Value =
        serde_json::from_slice(&std::fs::read(server.visitors_file()).unwrap()).unwrap();
    assert_eq!(kept["sessions"].as_array().unwrap().len(), 64);
}

/// The run stops at its next step; nothing half made is left.
#[cfg(unix)]
#[test]
fn an_interrupt_in_a_full_run_ends_the_server() {
    let mut server = served();
    let dossier = "/jobs/one/rooms/a/dossier";
    assert_eq!(server.post(dossier, &[("paper", "a4")]).status, 303);
    let progress = server.get(&format!("{dossier}/progress")).body;
    assert!(progress.contains("\"open\":true"), "{progress}");
    assert_eq!(server.interrupted(), Some(0));
    assert!(!server.folder.path().join("one/out").exists());
    assert!(server.log().contains("stopping"), "{}", server.log());
}
