//! What is kept to answer faster is never seen where it no longer holds: after
//! every change each page is what a server says that has kept nothing.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::collections::BTreeMap;
use std::path::Path;
use std::time::{Duration, Instant};

use common::files_below;
use common::web::{Answer, ROOM, Server, form_token};

const AT: &str = "/jobs/one/rooms/a";
const PAGES: [&str; 15] = [
    "/load",
    "/units",
    "/day",
    "/plan",
    "/plan?show=drain",
    "/plan?x.D1=2+m&y.D1=2+m",
    "/hanging",
    "/drain",
    "/power",
    "/control",
    "/findings",
    "/load?try.crop.canopy=45+m2",
    "/units?try.crop.canopy=45+m2",
    "/day?try.crop.canopy=45+m2",
    "/load?try.crop.canopy=45+acres",
];

fn fill(folder: &Path) {
    std::fs::create_dir(folder.join("one")).unwrap();
    std::fs::write(folder.join("one/a.room.toml"), ROOM).unwrap();
}

/// One who takes what the site says, and one with units and looks of their own.
fn visitors(server: &mut Server) -> [String; 2] {
    let first = server.cookie.clone();
    let (_, path) = server.address.split_once(&server.port.to_string()).unwrap();
    let other = server.ask("GET", path, &[], b"").cookie();
    server.cookie = other.clone();
    for choice in [("units", "us"), ("theme", "dark")] {
        assert_eq!(server.post("/choices", &[choice]).status, 303);
    }
    server.cookie = first.clone();
    [first, other]
}

/// Status and words of every page, as a server says them that was never asked.
fn anew(of: &Server) -> Vec<(u16, String)> {
    let from = of.folder.path();
    let mut server = Server::start(|to| {
        for file in files_below(from) {
            let copy = to.join(file.strip_prefix(from).unwrap());
            std::fs::create_dir_all(copy.parent().unwrap()).unwrap();
            std::fs::copy(file, copy).unwrap();
        }
    });
    let visitors = visitors(&mut server);
    let said = |cookie: &String, page: &str| {
        let got = server.ask("GET", &format!("{AT}{page}"), &[("Cookie", cookie)], b"");
        (got.status, told(&got))
    };
    let ask = |page: &&str| visitors.each_ref().map(|cookie| said(cookie, page));
    PAGES.iter().flat_map(ask).collect()
}

/// What a page says, without the word that is each visitor's own.
fn told(page: &Answer) -> String {
    match form_token(page) {
        token if token.is_empty() => page.body.clone(),
        token => page.body.replace(&token, "token"),
    }
}

/// What a browser has kept: by page and visitor the tag, and what it says.
type Had = BTreeMap<(usize, usize), (String, String)>;

/// Every page, asked as a browser does that has kept the last answer.
fn asked(server: &Server, visitors: &[String; 2], had: &mut Had) -> Vec<(u16, String)> {
    let mut all = Vec::new();
    for (nth, page) in PAGES.iter().enumerate() {
        for (who, cookie) in visitors.iter().enumerate() {
            let known = had.get(&(nth, who)).cloned();
            let tag = known.as_ref().map_or("", |(tag, _)| tag);
            let headers = [("Cookie", cookie.as_str()), ("If-None-Match", tag)];
            let got = server.ask("GET", &format!("{AT}{page}"), &headers, b"");
            match (got.status, known) {
                (304, Some((tag, body))) => {
                    assert_eq!(got.header("etag"), Some(&*tag));
                    assert_eq!(got.bytes.len(), 0);
                    all.push((200, body));
                }
                (status, _) => {
                    if let Some(tag) = got.header("etag") {
                        had.insert((nth, who), (tag.to_owned(), told(&got)));
                    }
                    all.push((status, told(&got)));
                }
            }
        }
    }
    all
}

#[test]
fn no_page_is_older_than_what_it_is_made_from() {
    let mut server = Server::start(fill);
    let job = server.folder.path().join("one");
    let visitors = visitors(&mut server);
    let write = |name: &str, text: &str| std::fs::write(job.join(name), text).unwrap();
    let machine = include_str!("../../../catalog/generic-70.toml");
    let larger = ROOM.replace("40 m2", "42 m2");
    let steps: [(&str, &dyn Fn()); 7] = [
        ("at first", &|| ()),
        ("the room's file", &|| write("a.room.toml", &larger)),
        ("the site's file", &|| {
            write(
                "site.toml",
                "[site]\naltitude = \"1500 m\"\ndisplay = \"metric\"\n",
            );
        }),
        ("a machine's file", &|| {
            std::fs::create_dir(job.join("catalog")).unwrap();
            let stronger = machine.replace("125 pt/d", "135 pt/d");
            assert_ne!(stronger, machine);
            write("catalog/generic-70.toml", &stronger);
        }),
        ("a file that is broken", &|| {
            write("a.room.toml", &larger.replace("42 m2", "42 acres"));
        }),
        ("mended as it was", &|| write("a.room.toml", &larger)),
        ("the first again", &|| {
            std::fs::remove_file(job.join("site.toml")).unwrap();
            std::fs::remove_dir_all(job.join("catalog")).unwrap();
            write("a.room.toml", ROOM);
        }),
    ];
    let (mut had, mut before) = (Had::new(), Vec::new());
    for (what, change) in steps {
        change();
        // Twice: what was drawn for this very question, and what was kept.
        let first = asked(&server, &visitors, &mut had);
        let second = asked(&server, &visitors, &mut had);
        let anew = anew(&server);
        for (nth, page) in PAGES.iter().enumerate() {
            for who in 0..2 {
                let at = 2 * nth + who;
                assert!(first[at] == anew[at], "{page} of {who}, {what}");
                assert!(second[at] == anew[at], "{page} of {who} once more, {what}");
            }
            // What is broken is told to everyone alike.
            let is_whole = anew[2 * nth].0 == 200;
            assert!(!is_whole || anew[2 * nth] != anew[2 * nth + 1], "{page}");
        }
        assert_ne!(before, anew, "{what} changes nothing");
        before = anew;
    }
}

/// The same files, looked at more thoroughly meanwhile.
#[test]
fn a_full_run_is_seen_as_soon_as_it_is_done() {
    let server = Server::start(fill);
    let page = || server.get(&format!("{AT}/load")).body;
    let before = page();
    assert_eq!(page(), before);
    let dossier = format!("{AT}/dossier");
    assert_eq!(server.post(&dossier, &[("paper", "a4")]).status, 303);
    let begun = Instant::now();
    let is_open = || {
        let progress = server.get(&format!("{dossier}/progress")).body;
        progress.contains("\"open\":true")
    };
    while is_open() {
        assert!(begun.elapsed() < Duration::from_secs(600), "does not end");
        std::thread::sleep(Duration::from_millis(200));
    }
    assert_ne!(page(), before);
    assert_eq!(page(), page());
}
