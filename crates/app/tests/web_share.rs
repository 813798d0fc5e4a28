//! Sharing with phones on the local network, over sockets: who is let in, who
//! is kept out, and what the laptop sees of it.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::io::{Read, Write};

use common::phone::{LAN, Phone, SHARED, asking, code, connect};
use common::web::Server;

fn plain() -> Server {
    let mut flags = SHARED.to_vec();
    flags.push("--plain");
    Server::with_room(&flags)
}

#[test]
fn without_share_only_this_machine_is_answered() {
    let server = Server::with_room(&["--port", "0"]);
    let refused = connect([127, 0, 1, 1], LAN, server.port).unwrap_err();
    assert_eq!(refused.kind(), std::io::ErrorKind::ConnectionRefused);
    for path in ["/pair", "/pair/12345678", "/pair/wait", "/pair/state"] {
        assert_eq!(server.get(path).status, 404, "{path}");
    }
    server.post("/share", &[("act", "start")]);
    let page = server.get("/share");
    assert_eq!(page.status, 200);
    assert!(
        page.body.contains("drywright serve --share"),
        "{}",
        page.body
    );
}

#[test]
fn on_the_local_network_only_its_own_names_are_answered() {
    let server = plain();
    let phone = Phone::new(&server, 1);
    let port = server.port;
    let asked = |host: &str, path: &str| phone.ask("GET", path, &[("Host", host)], b"");
    for path in [
        "/",
        "/assets/page.js",
        "/pair",
        "/pair/state",
        "/nothing",
        "/api/jobs",
    ] {
        for host in [
            format!("evil.example:{port}"),
            format!("127.0.0.2:{}", port ^ 1),
            format!("localhost:{port}"),
            format!("127.0.0.1:{port}"),
            format!("127.0.0.3:{port}"),
            "127.0.0.2".to_owned(),
        ] {
            let answer = asked(&host, path);
            assert_eq!(answer.status, 421, "{host} {path}");
            assert!(answer.body.is_empty());
        }
    }
    let own = gethostname::gethostname().to_string_lossy().into_owned();
    let own = own.split('.').next().unwrap();
    for host in [format!("127.0.0.2:{port}"), format!("{own}.local:{port}")] {
        assert_eq!(asked(&host, "/pair").status, 200, "{host}");
        assert_eq!(asked(&host, "/").status, 401, "{host}");
    }
    // A form that is none of ours does not use the code up.
    let digits = code(&server);
    let body = format!("code={digits}");
    let other = format!("http://127.0.0.2:{}", port ^ 1);
    let encrypted = format!("https://127.0.0.2:{port}");
    let here = format!("http://127.0.0.1:{port}");
    for origin in [
        None,
        Some("null"),
        Some(&*other),
        Some(&*encrypted),
        Some(&*here),
    ] {
        let mut headers = vec![("Content-Type", "application/x-www-form-urlencoded")];
        headers.extend(origin.map(|o| ("Origin", o)));
        let answer = phone.ask("POST", "/pair", &headers, body.as_bytes());
        assert_eq!(answer.status, 403, "{origin:?}");
    }
    assert_eq!(code(&server), digits);
    // The key of the terminal is good on this machine only, and so is its cookie.
    let (_, key) = server.address.split_once("/enter").unwrap();
    let entered = phone.get(&format!("/enter{key}"));
    assert_eq!(entered.status, 401);
    assert!(entered.header("set-cookie").is_none());
    let borrowed = phone.ask("GET", "/", &[("Cookie", &server.cookie)], b"");
    assert_eq!(borrowed.status, 401);
}

#[test]
fn a_phone_is_paired_once_and_may_be_revoked() {
    let server = plain();
    let code = code(&server);
    assert_eq!(
        server.links,
        [format!("http://127.0.0.2:{}/pair/{code}", server.port)]
    );
    let mut phone = Phone::new(&server, 1);
    assert_eq!(phone.get("/").status, 401);
    // Looking at the page, as a preview of a link does, uses nothing up.
    for _ in 0..5 {
        let page = phone.get(&format!("/pair/{code}"));
        assert_eq!(page.status, 200);
        assert!(
            page.body.contains(&format!("value=\"{code}\"")),
            "{}",
            page.body
        );
        assert!(page.header("set-cookie").is_none());
    }
    let given = phone.post("/pair", &[("code", &code), ("name", "Ana <b>")]);
    assert_eq!(given.status, 303);
    let cookie = given.header("set-cookie").unwrap();
    assert!(
        cookie.contains("; HttpOnly; SameSite=Lax; Path=/; Max-Age=43200"),
        "{cookie}"
    );
    assert!(
        !cookie.contains("Secure") && !cookie.contains("Domain"),
        "{cookie}"
    );
    phone.cookie = given.cookie();
    let again = Phone::new(&server, 2).post("/pair", &[("code", &code)]);
    assert_eq!(again.status, 422);
    assert!(
        again.body.contains("not good, or no longer"),
        "{}",
        again.body
    );

    // Before the yes the cookie is good for nothing.
    assert_eq!(phone.get("/").status, 401);
    let wait = phone.get("/pair/wait");
    assert_eq!(wait.status, 200);
    assert!(
        wait.body.contains("http-equiv=\"refresh\""),
        "{}",
        wait.body
    );
    assert!(phone.get("/pair/state").body.contains("true"));
    let (_, shown) = wait.body.split_once("class=\"shows\">").unwrap();
    let laptop = server.get("/share").body;
    assert!(
        laptop.contains(&format!("class=\"shows\">{}</p>", &shown[..2])),
        "{laptop}"
    );
    assert!(laptop.contains("Ana &lt;b&gt;"), "{laptop}");
    let id = asking(&server);
    assert_eq!(
        server
            .post("/share", &[("act", "admit"), ("id", &id)])
            .status,
        303
    );

    assert_eq!(phone.get("/pair/wait").header("location"), Some("/"));
    assert_eq!(phone.get("/").status, 200);
    assert_eq!(phone.get("/jobs/one/rooms/a/survey").status, 200);
    assert_eq!(phone.post("/choices", &[("units", "us")]).status, 303);

    // What a phone may not.
    for path in ["/share", "/share/state", "/jobs/one/zip"] {
        assert_eq!(phone.get(path).status, 403, "{path}");
    }
    for (path, fields) in [
        ("/share", &[("act", "new-code")][..]),
        ("/share", &[("act", "stop")]),
        ("/share", &[("act", "revoke-phones")]),
        ("/jobs/one", &[("act", "archive"), ("name", "")]),
        ("/jobs/one", &[("act", "copy"), ("name", "two")]),
        ("/jobs/one/rooms", &[("act", "out"), ("name", "a")]),
    ] {
        assert_eq!(phone.post(path, fields).status, 403, "{path} {fields:?}");
    }
    assert!(server.folder.path().join("one/a.room.toml").exists());

    // It stays let in over a restart, and not over a revocation.
    let server = server.killed_and_back();
    assert_eq!(phone.get("/").status, 200);
    let revoked = server.post("/share", &[("act", "revoke"), ("id", &id)]);
    assert_eq!(revoked.status, 303);
    let out = phone.get("/");
    assert_eq!(out.status, 401);
    assert!(out.body.contains("href=\"/pair\""), "{}", out.body);
    assert_eq!(server.get("/").status, 200);
}

#[test]
fn ten_wrong_codes_from_ten_addresses_end_a_code_and_harm_nobody_who_is_in() {
    let server = plain();
    let mut paired = Phone::new(&server, 1);
    paired.pair(&server);
    server.post("/share", &[("act", "new-code")]);
    let good = code(&server);
    let wrong = if good == "00000000" {
        "00000001"
    } else {
        "00000000"
    };
    let tries: Vec<_> = (11..21)
        .map(|n| {
            let phone = Phone::new(&server, n);
            std::thread::spawn(move || phone.post("/pair", &[("code", wrong)]))
        })
        .collect();
    for one in tries {
        let answer = one.join().unwrap();
        assert_eq!(answer.status, 422);
        assert!(answer.body.contains("<title>Error: "), "{}", answer.body);
        assert!(answer.header("set-cookie").is_none());
    }
    let dead = Phone::new(&server, 2).post("/pair", &[("code", &good)]);
    assert_eq!(dead.status, 422);
    assert!(
        dead.body.contains("ask there for a new one"),
        "{}",
        dead.body
    );
    let page = server.get("/share").body;
    assert!(page.contains("No code is good now"), "{page}");
    assert_eq!(paired.get("/").status, 200);
    let mut other = Phone::new(&server, 2);
    other.pair(&server);
    assert_eq!(other.get("/").status, 200);
}

#[test]
fn a_phone_is_told_no_and_all_are_sent_away() {
    let server = plain();
    let mut phone = Phone::new(&server, 1);
    phone.give(&code(&server));
    server.post("/share", &[("act", "refuse"), ("id", &asking(&server))]);
    let told = phone.get("/pair/wait");
    assert_eq!(told.status, 403);
    assert!(told.body.contains("The laptop said no"), "{}", told.body);
    assert_eq!(phone.get("/").status, 401);
    // A no is final: a late yes finds nobody.
    assert!(!server.get("/share").body.contains("Let this phone in?"));

    let mut phones = [Phone::new(&server, 2), Phone::new(&server, 3)];
    for phone in &mut phones {
        phone.pair(&server);
    }
    server.post("/share", &[("act", "revoke-phones")]);
    for phone in &phones {
        assert_eq!(phone.get("/").status, 401);
    }
    phone.pair(&server);
    // An open connection ends with the sharing, and no new one is taken.
    let mut open = phone.connect();
    let head = format!(
        "GET /pair HTTP/1.1\r\nHost: 127.0.0.2:{}\r\n\r\n",
        server.port
    );
    open.write_all(head.as_bytes()).unwrap();
    let mut first = [0; 12];
    open.read_exact(&mut first).unwrap();
    assert_eq!(&first, b"HTTP/1.1 200");
    assert_eq!(server.post("/share", &[("act", "stop")]).status, 303);
    let _ = open.read_to_end(&mut Vec::new());
    while let Ok(stream) = connect([127, 0, 1, 1], LAN, server.port) {
        drop(stream);
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
    let page = server.get("/share").body;
    assert!(
        page.contains("on this machine only") && !page.contains("paired"),
        "{page}"
    );
    // Shared again, a phone has to be paired again.
    assert_eq!(server.post("/share", &[("act", "start")]).status, 303);
    while connect([127, 0, 1, 1], LAN, server.port).is_err() {
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
    let phone = &mut phones[0];
    assert_eq!(phone.get("/").status, 401);
    phone.pair(&server);
    assert_eq!(phone.get("/").status, 200);
}

#[test]
fn an_address_that_is_not_ours_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    for (flags, says) in [
        (&["--share=203.0.113.5"][..], "203.0.113.5"),
        (&["--share=0.0.0.0"], "one address of this machine"),
        (&["--share=barn"], "barn"),
        (&["--plain"], "--share"),
        (&["--share", "--plain", "--tls", "a", "b"], "--plain"),
    ] {
        let mut args = vec!["serve", ".", "--port", "0"];
        args.extend(flags);
        let ran = common::drywright(folder.path(), &args);
        assert_eq!(ran.code, 2, "{}", ran.err);
        assert!(ran.err.contains(says), "{}", ran.err);
    }
}

#[test]
fn neither_the_log_nor_what_is_kept_holds_a_secret() {
    let server = plain();
    let first = code(&server);
    let mut phone = Phone::new(&server, 1);
    phone.pair(&server);
    let second = "87654321";
    Phone::new(&server, 2).post("/pair", &[("code", second)]);
    let bad = phone.ask("GET", "/", &[("Cookie", "drywright-1=abcdef0123")], b"");
    assert_eq!(bad.status, 401);
    std::fs::write(server.folder.path().join("one/.older"), "in the way").unwrap();
    let page = server.get("/jobs/one/rooms/a/survey").body;
    let (_, base) = page.split_once("name=\"base\" value=\"").unwrap();
    let base = base.split('"').next().unwrap();
    let full = phone.post(
        "/jobs/one/rooms/a/survey",
        &[("base", base), ("room|0|length", "12 m")],
    );
    assert_eq!(full.status, 507);
    let kept = std::fs::read_to_string(server.visitors_file()).unwrap();
    let log = server.log();
    assert!(log.contains("127.0.1.1 asks to be let in"), "{log}");
    let (_, key) = server.address.split_once("key=").unwrap();
    let value = |cookie: &str| cookie.split_once('=').unwrap().1.to_owned();
    for secret in [
        &first,
        second,
        key,
        &value(&phone.cookie),
        &value(&server.cookie),
        "abcdef0123",
    ] {
        assert!(!log.contains(secret), "{secret} in\n{log}");
        assert!(!kept.contains(secret), "{secret} in\n{kept}");
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = |p: &std::path::Path| std::fs::metadata(p).unwrap().permissions().mode();
        assert_eq!(mode(&server.visitors_file()) & 0o077, 0);
    }
}

#[test]
fn it_can_be_added_to_a_home_screen() {
    let server = plain();
    let phone = Phone::new(&server, 1);
    let page = phone.get("/pair").body;
    let href = |rel: &str| {
        let (_, rest) = page
            .split_once(&format!("<link rel=\"{rel}\" href=\""))
            .unwrap();
        rest.split('"').next().unwrap().to_owned()
    };
    assert!(
        page.contains("<meta name=\"theme-color\" content=\"#eceae4\">"),
        "{page}"
    );
    for rel in ["icon", "apple-touch-icon"] {
        let icon = phone.get(&href(rel));
        assert_eq!(icon.status, 200);
        assert!(icon.header("content-type").unwrap().starts_with("image/"));
    }
    let manifest = phone.get(&href("manifest"));
    assert_eq!(
        manifest.header("content-type"),
        Some("application/manifest+json")
    );
    let manifest: serde_json::Value = serde_json::from_str(&manifest.body).unwrap();
    assert_eq!(manifest["start_url"], "/");
    assert_eq!(manifest["display"], "standalone");
    let icons = manifest["icons"].as_array().unwrap();
    assert_eq!(icons.len(), 3);
    for icon in icons {
        let answer = phone.get(icon["src"].as_str().unwrap());
        assert_eq!(answer.status, 200);
        assert_eq!(answer.header("content-type"), icon["type"].as_str());
    }
}
