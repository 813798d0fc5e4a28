//! The second lock on forms: each carries what only pages drawn for its visitor
//! hold; without it nothing is done, and what was typed is not lost.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::crawl::{every_page, meant, tags};
use common::phone::{Phone, SHARED};
use common::web::{Answer, FORM_TOKEN, ROOM, Server, form, form_token};

const FIRST: &str = "/jobs/one/rooms/a/survey";
const FORM: (&str, &str) = ("Content-Type", "application/x-www-form-urlencoded");

fn room_text(server: &Server) -> String {
    std::fs::read_to_string(server.folder.path().join("one/a.room.toml")).unwrap()
}

fn base(page: &Answer) -> String {
    let (_, rest) = page.body.split_once("name=\"base\" value=\"").unwrap();
    rest.split('"').next().unwrap().to_owned()
}

/// A form as it comes, with nothing added.
fn bare(server: &Server, path: &str, fields: &[(&str, &str)]) -> Answer {
    let origin = server.origin();
    let headers = [
        ("Cookie", server.cookie.as_str()),
        ("Origin", &origin),
        FORM,
    ];
    server.ask("POST", path, &headers, form(fields).as_bytes())
}

/// The form on a page that says what was sent: its address and fields.
fn offered(page: &Answer) -> (String, Vec<(String, String)>) {
    let mut to = String::new();
    let mut fields = Vec::new();
    for (tag, _) in tags(&page.body) {
        match (tag.name.as_str(), tag.value("name")) {
            ("form", _) => to = tag.value("action").unwrap().to_owned(),
            ("input", Some(name)) => {
                fields.push((name.to_owned(), tag.value("value").unwrap().to_owned()));
            }
            _ => {}
        }
    }
    (to, fields)
}

/// Presses the button of that form.
fn sent_again(server: &Server, page: &Answer) -> Answer {
    let (to, fields) = offered(page);
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, t)| (&**n, &**t)).collect();
    bare(server, &to, &fields)
}

#[test]
fn every_form_that_changes_something_carries_its_token() {
    let server = Server::with_room(&["--port", "0"]);
    let token = server.form_token();
    assert_eq!(token.len(), 64);
    let mut forms = 0;
    for (path, page) in every_page(&server) {
        let mut is_open = false;
        for (tag, _) in tags(&page.body) {
            let carries = tag.value("name") == Some(FORM_TOKEN);
            if is_open {
                assert!(carries && tag.value("value") == Some(&token), "{path}");
            }
            is_open = tag.name == "form" && tag.value("method") == Some("post");
            forms += usize::from(is_open);
            if tag.value("formmethod") == Some("post") {
                assert!(carries && tag.value("value") == Some(&token), "{path}");
            }
        }
        // Never in an address, which is logged and handed on.
        assert!(!path.contains(FORM_TOKEN), "{path}");
    }
    assert!(40 < forms, "{forms}");
}

#[test]
fn without_its_token_a_form_does_nothing_and_keeps_what_was_typed() {
    let server = Server::with_room(&["--port", "0"]);
    let hash = base(&server.get(FIRST));
    // Another visitor of the same machine, and a made-up one.
    let (_, key) = server.address.split_once("/enter").unwrap();
    let other = server
        .ask("GET", &format!("/enter{key}"), &[], b"")
        .cookie();
    let others = form_token(&server.ask("GET", "/", &[("Cookie", &other)], b""));
    let own = server.form_token();
    assert_ne!(own, others);
    let long = format!("{own}0");
    for token in [
        None,
        Some(""),
        Some(&*others),
        Some(&own[1..]),
        Some(&*long),
    ] {
        let typed = "12 m \"<b>\"";
        let mut fields = vec![("base", hash.as_str()), ("room|0|length", typed)];
        fields.extend(token.map(|t| (FORM_TOKEN, t)));
        let refused = bare(&server, FIRST, &fields);
        assert_eq!(refused.status, 403, "{token:?}");
        for words in [
            "nothing was done",
            "Send it now",
            "12 m &quot;&lt;b&gt;&quot;",
        ] {
            assert!(refused.body.contains(words), "{words}: {}", refused.body);
        }
        assert!(!refused.body.contains("<b>"));
        assert_eq!(room_text(&server), ROOM);
    }
    let refused = bare(
        &server,
        FIRST,
        &[("base", &hash), ("room|0|length", "12 m")],
    );
    let taken = sent_again(&server, &refused);
    assert_eq!(taken.status, 303, "{}", taken.body);
    assert!(room_text(&server).contains("length = \"12 m\""));
}

#[test]
fn no_address_takes_what_carries_no_token() {
    let server = Server::with_room(&["--port", "0"]);
    let origin = server.origin();
    let room = "/jobs/one/rooms/a";
    for path in [
        "/choices",
        "/jobs",
        "/jobs/open",
        "/jobs/bring-back",
        "/jobs/one",
        "/jobs/one/rooms",
        "/jobs/one/site",
        "/jobs/one/site/text",
        "/jobs/one/site/older",
        "/jobs/one/machines/enter",
        "/share",
        &format!("{room}/survey"),
        &format!("{room}/survey/plant"),
        &format!("{room}/text"),
        &format!("{room}/older"),
        &format!("{room}/try"),
        &format!("{room}/plan"),
        &format!("{room}/dossier"),
        &format!("{room}/dossier/stop"),
        &format!("{room}/proof"),
        &format!("{room}/proof/run"),
        &format!("{room}/proof/stop"),
        &format!("{room}/proof/found"),
        &format!("{room}/fault"),
        &format!("{room}/startup/who"),
        &format!("{room}/startup/close"),
        &format!("{room}/startup/sign"),
        &format!("{room}/startup/units/D1/act"),
        &format!("{room}/startup/units/D1/photo"),
        "/api/jobs",
        "/api/air",
    ] {
        let with = |more: &[(&str, &str)]| {
            let mut headers = vec![("Cookie", server.cookie.as_str()), ("Origin", &origin)];
            headers.extend(more);
            server.ask("POST", path, &headers, b"units=us").status
        };
        let json = ("Content-Type", "application/json");
        let upload = ("Content-Type", "multipart/form-data; boundary=x");
        for kind in [FORM, json, upload] {
            assert_eq!(with(&[kind]), 403, "{path} {kind:?}");
            assert_eq!(with(&[kind, ("X-Form-Token", "no")]), 403, "{path}");
        }
        // Every one of these is an address that takes forms, or says that it
        // takes none.
        let token = server.form_token();
        let status = with(&[FORM, ("X-Form-Token", &token)]);
        assert_ne!(status, 403, "{path}");
        assert_eq!(status == 405, path.starts_with("/api/"), "{path}: {status}");
        assert!(status < 500, "{path}: {status}");
    }
}

#[test]
fn an_upload_carries_its_token_before_its_file() {
    let server = Server::with_room(&["--port", "0"]);
    let origin = server.origin();
    let at = "/jobs/one/rooms/a/proof";
    let token = server.form_token();
    let part = |token: &str| {
        format!("--x\r\nContent-Disposition: form-data; name=\"{FORM_TOKEN}\"\r\n\r\n{token}\r\n")
    };
    let file = format!(
        "--x\r\nContent-Disposition: form-data; name=\"log\"; filename=\"a.csv\"\r\n\r\n{}\r\n",
        "2025-01-01 00:00,50\n".repeat(200)
    );
    let send = |body: String| {
        let headers = [
            ("Cookie", server.cookie.as_str()),
            ("Origin", &origin),
            ("Content-Type", "multipart/form-data; boundary=x"),
        ];
        let refused = server.ask("POST", at, &headers, format!("{body}--x--\r\n").as_bytes());
        refused.status
    };
    let log = server.folder.path().join("one/logs/a.csv");
    let wrong = part(&"0".repeat(64));
    for body in [
        file.clone(),
        format!("{wrong}{file}"),
        format!("{file}{}", part(&token)),
        String::new(),
    ] {
        assert_eq!(send(body), 403);
        assert!(!log.exists());
    }
    assert_eq!(send(format!("{}{file}", part(&token))), 303);
    assert_eq!(std::fs::read(&log).unwrap().len(), 4000);
}

#[test]
fn a_token_lasts_as_long_as_its_cookie_and_stands_in_no_file() {
    let server = Server::with(&[&SHARED[..], &["--plain"]].concat(), |folder| {
        std::fs::create_dir(folder.join("one")).unwrap();
        std::fs::write(folder.join("one/a.room.toml"), ROOM).unwrap();
    });
    let mut phone = Phone::new(&server, 1);
    phone.pair(&server);
    let (cookie, token) = (server.cookie.clone(), server.form_token());
    let of_phone = form_token(&phone.get("/"));
    assert_ne!(token, of_phone);
    // That of the laptop is good for nothing on the phone.
    let lan = format!("http://127.0.0.2:{}", server.port);
    let headers = [
        ("Cookie", phone.cookie.as_str()),
        ("Origin", &lan),
        ("X-Form-Token", &token),
        FORM,
    ];
    assert_eq!(
        phone.ask("POST", "/choices", &headers, b"units=us").status,
        403
    );
    // A page drawn before a restart is still good.
    let mut server = server.killed_and_back();
    server.cookie = cookie;
    let fields = [(FORM_TOKEN, token.as_str()), ("units", "us")];
    assert_eq!(bare(&server, "/choices", &fields).status, 303);
    for file in common::files_below(server.state.path()) {
        let text = std::fs::read_to_string(file).unwrap_or_default();
        assert!(!text.contains(&token) && !text.contains(&of_phone));
    }
}

/// The disk says no: the page keeps what was typed and sends it again.
#[test]
fn what_could_not_be_written_is_kept_on_the_page() {
    let server = Server::with_room(&["--port", "0"]);
    let in_the_way = server.folder.path().join("one/.older");
    std::fs::write(&in_the_way, "in the way").unwrap();
    let hash = base(&server.get(FIRST));
    let fields = [
        ("base", &*hash),
        ("room|0|length", "12 m"),
        ("room|0|width", "8 m <b>"),
    ];
    assert_eq!(
        server.post(FIRST, &fields).status,
        422,
        "what cannot be read is told first"
    );
    let fields = [
        ("base", &*hash),
        ("room|0|length", "12 m"),
        ("room|0|width", "8 m"),
    ];
    let refused = server.post(FIRST, &fields);
    assert_eq!(refused.status, 507, "{}", refused.body);
    let (to, kept) = offered(&refused);
    assert_eq!(to, FIRST);
    for (name, text) in fields {
        assert!(kept.contains(&(name.to_owned(), text.to_owned())), "{name}");
    }
    assert!(meant(&refused.body).contains("cannot"), "{}", refused.body);
    assert_eq!(room_text(&server), ROOM);
    std::fs::remove_file(&in_the_way).unwrap();
    assert_eq!(sent_again(&server, &refused).status, 303);
    let text = room_text(&server);
    assert!(
        text.contains("length = \"12 m\"") && text.contains("width = \"8 m\""),
        "{text}"
    );
}
