//! What holds for every page that links lead to: reading changes nothing, no
//! other origin is let in, and hostile texts stay texts everywhere, on paper
//! and in drawings too.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::path::{Path, PathBuf};

use common::crawl::{every_page, meant, tags};
use common::phone::{Phone, SHARED};
use common::web::{Answer, Server, encoded};
use common::{files_below, root};
use fields::edit::{Change, changed, written};
use fields::{Format, Kind};

fn contents(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let read = |p: PathBuf| (p.clone(), std::fs::read(p).unwrap());
    files_below(folder).into_iter().map(read).collect()
}

/// The addresses of the JSON, as its own document lists them.
fn api(server: &Server, job: &str, room: &str) -> Vec<String> {
    let document: serde_json::Value =
        serde_json::from_str(&server.get("/api/openapi.json").body).unwrap();
    let paths = document["paths"].as_object().unwrap();
    let asked = |p: &String| p.replace("{job}", job).replace("{room}", room);
    paths.keys().map(asked).collect()
}

#[test]
fn reading_every_page_twice_changes_nothing_and_lets_no_other_origin_in() {
    let server = Server::with_room(&["--port", "0"]);
    let before = contents(server.folder.path());
    let first = every_page(&server);
    let paths: Vec<&String> = first.iter().map(|(path, _)| path).collect();
    for sheet in [
        "survey",
        "load",
        "plan/suggest",
        "startup",
        "proof",
        "fault",
        "compare",
    ] {
        let has = |p: &&&String| p.contains(&format!("/rooms/a/{sheet}"));
        assert!(paths.iter().any(|p| has(&p)), "no link leads to {sheet}");
    }
    assert!(
        paths.iter().any(|p| p.contains("from=")),
        "no part of a chart's time"
    );
    let api = api(&server, "one", "a");
    let again = every_page(&server);
    assert_eq!(first.len(), again.len());
    let asked = api
        .iter()
        .chain(&api)
        .map(|path| (path.clone(), server.get(path)));
    for (path, answer) in first.into_iter().chain(again).chain(asked) {
        assert!(
            matches!(answer.status, 200 | 303 | 400),
            "{path}: {}",
            answer.status
        );
        for (name, value) in &answer.headers {
            assert!(
                !name.starts_with("access-control-"),
                "{path}: {name}: {value}"
            );
        }
        let policy = answer.header("content-security-policy").unwrap();
        assert!(policy.contains("default-src 'none'"), "{path}");
        // Of two attributes of one name a browser drops the second.
        for (tag, _) in tags(&answer.body) {
            let mut names: Vec<_> = tag.attributes.iter().map(|(name, _)| name).collect();
            names.sort();
            let twice = names.windows(2).find(|w| w[0] == w[1]);
            assert_eq!(twice, None, "{path}: <{}>", tag.name);
        }
    }
    assert_eq!(contents(server.folder.path()), before);
}

/// What a hostile colleague would write: it ends attributes, elements, SVG,
/// comments, and would run if anything took it for markup.
const HOSTILE: &str =
    r#""><img src=x onerror=alert(1)><script>alert(2)</script></svg>-->javascript:alert(3)"#;

/// A text in which every field for words holds what is hostile, where that can
/// be read; and how many do.
fn hostile(
    format: &Format,
    text: &str,
    reads: impl Fn(&str) -> bool,
    spared: &[&str],
) -> (String, usize) {
    let mut now = text.to_owned();
    let mut count = 0;
    for w in written(format, text).unwrap() {
        let section = format.section(w.section).unwrap();
        let is_words = |kind: &Kind| matches!(kind, Kind::Text | Kind::List(Kind::Text));
        for field in section.fields.iter().filter(|f| is_words(&f.kind)) {
            if spared.contains(&field.key) {
                continue;
            }
            let change = Change::Set {
                section: w.section.into(),
                nth: w.nth,
                key: field.key.into(),
                typed: format!("{HOSTILE}{count}"),
            };
            if let Ok(tried) = changed(format, &now, &[change])
                && reads(&tried)
            {
                now = tried;
                count += 1;
            }
        }
    }
    (now, count)
}

/// A job of the demonstration in which all words are hostile.
fn hostile_job(folder: &Path) {
    let demo = root().join("cases/demo");
    let read = |name: &str| std::fs::read_to_string(demo.join(name)).unwrap();
    let reads_site = |t: &str| room::SITE_FORMAT.read("site.toml", t).is_ok();
    let (site, count) = hostile(&room::SITE_FORMAT, &read("site.toml"), reads_site, &[]);
    assert!(3 <= count, "{count} fields of the site");
    let name = "veg-1.room.toml";
    let job = folder.join("hostile");
    std::fs::create_dir_all(job.join("catalog")).unwrap();
    std::fs::create_dir_all(job.join("logs")).unwrap();
    std::fs::write(job.join("site.toml"), &site).unwrap();
    // As the steps read it: what refers to a name by its old one is a problem.
    let reads = |t: &str| {
        std::fs::write(job.join(name), t).unwrap();
        common::drywright(&job, &["check", name]).code < 2
    };
    // What names a machine leads to its file; a unit's tag is typed once more
    // where it is placed.
    let spared = ["model", "models", "controller", "kind"];
    let (text, count) = hostile(&room::ROOM_FORMAT, &read(name), reads, &spared);
    assert!(6 <= count, "{count} fields of the room");
    std::fs::write(job.join(name), text).unwrap();
    let machine = std::fs::read_to_string(root().join("catalog/generic-70.toml")).unwrap();
    let reads = |t: &str| equipment::MODEL_FORMAT.read("generic-70.toml", t).is_ok();
    let (machine, count) = hostile(&equipment::MODEL_FORMAT, &machine, reads, &["code", "kind"]);
    assert!(2 <= count, "{count} fields of the machine");
    std::fs::write(job.join("catalog/generic-70.toml"), machine).unwrap();
}

/// Nothing of a page is taken for markup that is not ours.
fn is_clean(path: &str, page: &Answer) {
    let kind = page.header("content-type").unwrap_or_default();
    assert_eq!(
        page.header("x-content-type-options"),
        Some("nosniff"),
        "{path}"
    );
    if !kind.starts_with("text/html") {
        // Nothing else may be taken for a page.
        assert!(
            kind != "image/svg+xml" || path.starts_with("/assets/"),
            "{path}"
        );
        return;
    }
    for (tag, after) in tags(&page.body) {
        let source = tag.value("src").unwrap_or_default();
        match tag.name.as_str() {
            "script" => assert!(source.starts_with("/assets/") && after.is_empty(), "{path}"),
            "img" => assert!(
                source.starts_with('/') && !source.starts_with("//"),
                "{path}"
            ),
            "iframe" | "object" | "embed" | "style" | "base" | "foreignobject" => {
                panic!("{path}: <{}>", tag.name)
            }
            _ => {}
        }
        for (name, value) in &tag.attributes {
            assert!(
                !name.starts_with("on") && name != "style",
                "{path}: {name}={value}"
            );
            if ["href", "src", "action", "formaction", "xlink:href"].contains(&name.as_str()) {
                let scheme = value.split(['/', '?', '#']).next().unwrap_or_default();
                assert!(
                    !scheme.contains(':') || scheme.starts_with("http") || scheme == "data:",
                    "{path}: {name}={value}"
                );
            }
        }
    }
}

fn says_it(page: &Answer) -> bool {
    meant(&page.body).contains("onerror=alert(1)")
}

#[test]
fn hostile_words_are_words_on_every_page() {
    let server = Server::start(hostile_job);
    let room = "/jobs/hostile/rooms/veg-1";
    // What people type on pages, kept.
    let said = server.post(&format!("{room}/startup/who"), &[("who", HOSTILE)]);
    assert_eq!(said.status, 303);
    let mut server = server;
    server.cookie = format!("{}; {}", server.cookie, said.cookie());
    let units = tagged(&server, room);
    let act = format!("{room}/startup/units/{}/act", encoded(&units));
    let kept = server.post(
        &act,
        &[
            ("step", &format!("{units}.filter")),
            ("act", "skip"),
            ("reason", HOSTILE),
        ],
    );
    assert_eq!(kept.status, 303, "{}", kept.body);
    let signed = [("by", "installer"), ("name", HOSTILE), ("strokes", "")];
    assert_eq!(
        server.post(&format!("{room}/startup/sign"), &signed).status,
        303
    );
    // A log whose columns and cells are hostile.
    let log = format!(
        "time,\"{0} temp (°C)\",\"{0} RH (%)\"\n2025-03-10T00:00:00Z,21,{0}\n",
        HOSTILE.replace('"', "\"\"")
    );
    let put = ("log", "log.csv", log.as_bytes());
    assert_eq!(
        server.upload(&format!("{room}/proof"), &[], put).status,
        303
    );
    let ran = server.post(&format!("{room}/proof/run"), &[("log", "log.csv")]);
    assert_eq!(ran.status, 303);

    let all = every_page(&server);
    let mut said = 0;
    for (path, page) in &all {
        assert!(page.status < 500, "{path}: {}", page.status);
        is_clean(path, page);
        said += usize::from(says_it(page));
    }
    assert!(15 < said, "{said} of {} pages", all.len());
    for path in api(&server, "hostile", "veg-1") {
        let answer = server.get(&path);
        assert_eq!(
            answer.header("content-type"),
            Some("application/json"),
            "{path}"
        );
    }
}

/// The tag of the first unit.
fn tagged(server: &Server, room: &str) -> String {
    let page = server.get(&format!("{room}/startup"));
    let at = format!("{room}/startup/units/");
    let links = tags(&page.body);
    let mut units = links
        .iter()
        .filter_map(|(t, _)| t.value("href")?.strip_prefix(&at));
    // The unit alone, not a step of it.
    let first = units.find(|u| *u != "whole-room" && !u.contains('#'));
    let first = first.unwrap();
    let mut bytes = Vec::new();
    let mut rest = first.bytes();
    while let Some(b) = rest.next() {
        let hex: Vec<u8> = if b == b'%' {
            rest.by_ref().take(2).collect()
        } else {
            vec![]
        };
        let one = std::str::from_utf8(&hex)
            .ok()
            .and_then(|h| u8::from_str_radix(h, 16).ok());
        bytes.push(one.unwrap_or(b));
    }
    String::from_utf8(bytes).unwrap()
}

/// What is typed and not taken comes back as it was typed, as text.
#[test]
fn hostile_words_that_are_refused_come_back_as_words() {
    let server = Server::start(hostile_job);
    let room = "/jobs/hostile/rooms/veg-1";
    let typed = encoded(HOSTILE);
    for asked in [
        format!("{room}/load?try.target.lights_on.dry_bulb={typed}"),
        format!("{room}/units?try.unit.model={typed}&try.unit.number={typed}"),
        format!("{room}/compare?with={typed}"),
        format!("{room}/plan?x.D1={typed}&facing.D1={typed}&move={typed}"),
        format!("{room}/load?from={typed}&to={typed}"),
        format!("{room}/proof?log={typed}&zone={typed}&columns={typed}"),
        format!("{room}/fault?unit={typed}&seen.{typed}=yes&read.amps={typed}"),
        format!("{room}/startup/units/{typed}"),
        format!("/air?dry_bulb={typed}&rh={typed}"),
        format!("/machines/{typed}"),
        format!("/jobs/{typed}"),
        format!("/{typed}"),
        format!("/api/air?dry_bulb={typed}"),
        format!("/assets/{typed}"),
    ] {
        let page = server.get(&asked);
        assert!(page.status < 500, "{asked}: {}", page.status);
        is_clean(&asked, &page);
    }
    // Every field of every form of every page.
    let mut forms = 0;
    for (path, page) in every_page(&server) {
        let mut to: Option<String> = None;
        let mut names: Vec<String> = Vec::new();
        let mut all = Vec::new();
        for (tag, _) in tags(&page.body) {
            if tag.name == "form" {
                all.extend(to.take().map(|to| (to, std::mem::take(&mut names))));
                let is_post = tag.value("method") == Some("post") && tag.value("enctype").is_none();
                let action = tag.value("action").unwrap_or(&path).to_owned();
                // What takes a room or a visitor away is not pressed.
                to = Some(action).filter(|a| is_post && *a != "/share");
            } else if let Some(name) = tag.value("name").filter(|n| *n != "form-token") {
                names.push(name.to_owned());
            }
        }
        all.extend(to.map(|to| (to, names)));
        for (to, names) in all {
            let typed: Vec<(&str, &str)> = names
                .iter()
                .map(|n| (n.as_str(), if n == "base" { "0" } else { HOSTILE }))
                .collect();
            let answer = server.post(&to, &typed);
            assert!(answer.status < 500, "{path} to {to}: {}", answer.status);
            is_clean(&to, &answer);
            forms += 1;
        }
    }
    assert!(30 < forms, "{forms}");
}

#[test]
fn hostile_words_are_words_on_paper_and_in_drawings() {
    let folder = tempfile::tempdir().unwrap();
    hostile_job(folder.path());
    let job = folder.path().join("hostile");
    let ran = common::drywright(
        &job,
        &["design", "veg-1.room.toml", "--preview", "--out", "out"],
    );
    assert!(ran.code < 2, "{}", ran.err);
    let (mut drawings, mut papers) = (0, 0);
    for file in files_below(&job.join("out")) {
        let bytes = std::fs::read(&file).unwrap();
        let name = file.display().to_string();
        if name.ends_with(".svg") {
            let text = String::from_utf8(bytes).unwrap();
            for (tag, _) in tags(&text) {
                assert!(
                    !["script", "img", "foreignobject"].contains(&&*tag.name),
                    "{name}"
                );
                let runs = |n: &str| n.starts_with("on") || n.ends_with("href");
                assert!(!tag.attributes.iter().any(|(n, _)| runs(n)), "{name}");
            }
            resvg::usvg::Tree::from_str(&text, &resvg::usvg::Options::default()).unwrap();
            drawings += usize::from(meant(&text).contains("onerror"));
        } else if name.ends_with(".pdf") {
            let has = |mark: &[u8]| bytes.windows(mark.len()).any(|w| w == mark);
            assert!(bytes.starts_with(b"%PDF"));
            for runs in [
                &b"/JavaScript"[..],
                b"/JS",
                b"/OpenAction",
                b"/Launch",
                b"/SubmitForm",
            ] {
                assert!(!has(runs), "{name}");
            }
            papers += 1;
        } else if name.ends_with(".json") {
            serde_json::from_slice::<serde_json::Value>(&bytes).unwrap();
        }
    }
    assert!(
        0 < drawings && 0 < papers,
        "{drawings} drawings, {papers} papers"
    );
}

/// A way back that leads away leads home.
#[test]
fn no_way_back_leaves_this_host() {
    let server = Server::with_room(&["--port", "0"]);
    let room = "/jobs/one/rooms/a";
    let hash = {
        let page = server.get(&format!("{room}/survey")).body;
        let (_, rest) = page.split_once("name=\"base\" value=\"").unwrap();
        rest.split('"').next().unwrap().to_owned()
    };
    for back in [
        "//evil.example",
        "///evil.example",
        "/\\evil.example",
        "\\\\evil.example",
        "https:evil.example",
        "https://evil.example/",
        "javascript:alert(1)",
        "/\t/evil.example",
        "/\r\nLocation: https://evil.example",
        "\u{0}//evil.example",
        "/jobs/one/rooms/a/startup\r\nX-Evil: 1",
        "/jobs/one/rooms/a/startup/../../../../..//evil.example",
        "/jobs/one/rooms/a/startup@evil.example",
        "/jobs/one/rooms/a/startup\u{e9}",
    ] {
        for (path, fields) in [
            ("/choices".to_owned(), vec![("units", "us"), ("back", back)]),
            (
                format!("{room}/startup/who"),
                vec![("who", "A"), ("back", back)],
            ),
            (
                format!("{room}/try"),
                vec![
                    ("base", &*hash),
                    ("try.room.length", "11 m"),
                    ("back", back),
                ],
            ),
        ] {
            let answer = server.post(&path, &fields);
            assert!(
                matches!(answer.status, 303 | 400 | 409),
                "{path} {back:?}: {}",
                answer.status
            );
            assert!(answer.header("x-evil").is_none());
            if let Some(to) = answer.header("location") {
                let is_own = to.starts_with('/') && !to[1..].starts_with(['/', '\\']);
                assert!(is_own && to.is_ascii(), "{path} {back:?}: {to}");
            }
        }
    }
}

#[test]
fn an_open_connection_of_a_revoked_phone_is_answered_no_more() {
    use std::io::{Read as _, Write as _};
    let server = Server::with_room(&[&SHARED[..], &["--plain"]].concat());
    let mut phone = Phone::new(&server, 1);
    phone.pair(&server);
    let mut open = phone.connect();
    let head = format!(
        "GET /jobs/one HTTP/1.1\r\nHost: 127.0.0.2:{}\r\nCookie: {}\r\n\r\n",
        server.port, phone.cookie
    );
    let mut ask = || {
        open.write_all(head.as_bytes()).unwrap();
        let mut answer = Vec::new();
        let mut some = [0; 4096];
        while !answer.windows(7).any(|w| w == b"</html>") {
            let n = open.read(&mut some).unwrap();
            assert!(0 < n, "closed: {}", String::from_utf8_lossy(&answer));
            answer.extend_from_slice(&some[..n]);
        }
        // The rest of a chunked answer.
        let _ = open.set_read_timeout(Some(std::time::Duration::from_millis(200)));
        let _ = open.read(&mut some);
        let _ = open.set_read_timeout(None);
        String::from_utf8_lossy(&answer[..12]).into_owned()
    };
    assert_eq!(ask(), "HTTP/1.1 200");
    server.post("/share", &[("act", "revoke-phones")]);
    assert_eq!(ask(), "HTTP/1.1 401");
}

/// No fixed place of a job may be a link: nothing is read or written through it.
#[cfg(unix)]
#[test]
fn no_place_of_a_job_leads_out_of_it() {
    use std::os::unix::fs::symlink;
    for place in [
        ".older",
        "logs",
        "out",
        "photos",
        "catalog",
        "site.toml",
        "record.sqlite",
    ] {
        let outside = tempfile::tempdir().unwrap();
        let target = match place {
            "site.toml" | "record.sqlite" => {
                let file = outside.path().join("secret");
                std::fs::write(&file, "[site]\nname = \"secret\"\n").unwrap();
                file
            }
            _ => outside.path().to_path_buf(),
        };
        let before = contents(outside.path());
        let server = Server::with_room(&["--port", "0"]);
        symlink(&target, server.folder.path().join("one").join(place)).unwrap();
        let room = "/jobs/one/rooms/a";
        for path in ["survey", "load", "proof", "startup", "dossier", "older"] {
            let page = server.get(&format!("{room}/{path}"));
            assert_eq!(page.status, 422, "{place}: {path}");
            assert!(meant(&page.body).contains("is a link"), "{place}: {path}");
            assert!(!page.body.contains("secret"), "{place}: {path}");
        }
        for (path, fields) in [
            ("survey", vec![("base", "0"), ("room|0|length", "12 m")]),
            ("dossier", vec![("paper", "a4")]),
            (
                "startup/units/D1/act",
                vec![("step", "D1.filter"), ("act", "done")],
            ),
            ("fault", vec![("by", "A")]),
        ] {
            let answer = server.post(&format!("{room}/{path}"), &fields);
            assert_eq!(answer.status, 422, "{place}: {path}");
        }
        let put = ("log", "a.csv", &b"a,b\n"[..]);
        assert_eq!(
            server.upload(&format!("{room}/proof"), &[], put).status,
            422
        );
        assert_eq!(server.get("/").status, 200);
        assert_eq!(contents(outside.path()), before, "{place}");
    }
    // The archive, and what is made of one room.
    let outside = tempfile::tempdir().unwrap();
    let server = Server::with_room(&["--port", "0"]);
    symlink(outside.path(), server.folder.path().join("archive")).unwrap();
    let archived = server.post("/jobs/one", &[("act", "archive"), ("name", "")]);
    assert_eq!(archived.status, 403);
    std::fs::create_dir(server.folder.path().join("one/out")).unwrap();
    symlink(outside.path(), server.folder.path().join("one/out/a")).unwrap();
    let made = server.post("/jobs/one/rooms/a/dossier", &[("paper", "a4")]);
    assert_eq!(made.status, 403);
    assert_eq!(std::fs::read_dir(outside.path()).unwrap().count(), 0);
}

#[test]
fn a_room_that_was_taken_out_is_brought_back() {
    let server = Server::with_room(&["--port", "0"]);
    let file = server.folder.path().join("one/a.room.toml");
    let text = std::fs::read_to_string(&file).unwrap();
    let rooms = |act: &str, name: &str| {
        server
            .post("/jobs/one/rooms", &[("act", act), ("name", name)])
            .status
    };
    assert!(!server.get("/jobs/one").body.contains("taken out</h2>"));
    assert_eq!(rooms("back", "a"), 404, "it is there");
    assert_eq!(rooms("out", "a"), 303);
    assert!(!file.exists());
    let page = server.get("/jobs/one").body;
    assert!(
        page.contains("Rooms that were taken out") && page.contains("Bring back"),
        "{page}"
    );
    for name in ["b", "../a", "", "a.room.toml"] {
        assert_eq!(rooms("back", name), 404, "{name}");
    }
    // Another of that name was made meanwhile: it is not written over.
    let made = server.post("/jobs/one/rooms", &[("act", "new"), ("name", "A")]);
    assert_eq!(made.status, 303);
    assert_eq!(rooms("back", "a"), 404);
    assert_eq!(rooms("out", "A"), 303);
    assert_eq!(rooms("back", "a"), 303);
    assert_eq!(std::fs::read_to_string(&file).unwrap(), text);
    assert_eq!(server.get("/jobs/one/rooms/a/load").status, 200);
}
