//! A start-up in real Chromium at the size of a phone: out of reach and back,
//! without script, signed with a finger.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(dead_code, reason = "the window is shared with other tests")]

mod browser {
    pub(crate) mod screen;
}
mod common;

use std::path::PathBuf;

use browser::screen::{PHONE, Screen};
use common::web::Server;
use common::{drywright, root};
use serde_json::Value;

const START: &str = "/jobs/demo/rooms/veg-1/startup";

fn served() -> Server {
    Server::start(|folder| {
        let job = folder.join("demo");
        std::fs::create_dir(&job).unwrap();
        for name in ["site.toml", "veg-1.room.toml"] {
            std::fs::copy(root().join("cases/demo").join(name), job.join(name)).unwrap();
        }
    })
}

fn story<F: Future<Output = ()>>(server: &Server, story: impl FnOnce(Screen) -> F) {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    runtime.block_on(async {
        story(Screen::open(server, PHONE).await).await;
    });
}

/// A picture as a phone's camera makes it, with more dots than are kept.
fn photo(server: &Server) -> PathBuf {
    let file = server.state.path().join("photo.png");
    image::RgbImage::from_fn(3_000, 40, |x, _| image::Rgb([(x % 251) as u8, 90, 90]))
        .save(&file)
        .unwrap();
    file
}

async fn say_who(screen: &Screen) {
    screen.go(START).await;
    screen.write("who", "A. Example").await;
    screen.press("form.who button").await;
    screen.wait_text("h1", "Start-up").await;
}

/// What is recorded, step by step.
fn recorded(server: &Server) -> Vec<Value> {
    let folder = server.folder.path().join("demo");
    let ran = drywright(&folder, &["start", "veg-1.room.toml", "--json"]);
    let all: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(all["record_is_whole"], true);
    all["steps"].as_array().unwrap().clone()
}

fn with_event(steps: &[Value]) -> Vec<(&str, &str)> {
    let mut found: Vec<(i64, &str, &str)> = steps
        .iter()
        .filter(|s| !s["event"].is_null())
        .map(|s| {
            let text = |key: &str| s[key].as_str().unwrap();
            (
                s["at_utc_ms"].as_i64().unwrap(),
                text("id"),
                text("standing"),
            )
        })
        .collect();
    found.sort();
    found
        .into_iter()
        .map(|(_, id, standing)| (id, standing))
        .collect()
}

const LEFT_OUT: [&str; 4] = [
    "D1.delivered",
    "D1.carried",
    "D1.nameplate",
    "D1.control-wires",
];

/// Unfolds a step; the one that comes next is unfolded already.
async fn unfold(screen: &Screen, id: &str) {
    screen
        .press(&format!("[id='{id}'] > details > summary"))
        .await;
}

/// Fills in and sends the form that leaves a step out.
async fn leave_out(screen: &Screen, id: &str) {
    let section = format!("document.getElementById('{id}')");
    screen
        .script(&format!(
            "for (const d of {section}.querySelectorAll('details')) d.open = true;
             {section}.querySelector('textarea[name=reason]').value = 'not in this test';"
        ))
        .await;
    screen
        .press(&format!("[id='{id}'] button[value=skip]"))
        .await;
}

#[test]
fn what_is_ticked_out_of_reach_arrives_once_and_in_order() {
    let server = served();
    let picture = photo(&server);
    story(&server, |screen| async move {
        say_who(&screen).await;
        screen.go(&format!("{START}/units/D1")).await;
        screen.cut_off(true).await;
        unfold(&screen, "D1.filter").await;
        screen
            .press("[id='D1.filter'] label:has([value=yes])")
            .await;
        screen.press("[id='D1.filter'] button[value=done]").await;
        for id in LEFT_OUT {
            leave_out(&screen, id).await;
        }
        screen.choose("[id='D1.filter-photo']", &picture).await;
        screen.wait_text(".queue", "6 waiting to send").await;
        screen
            .wait_text("[id='D1.filter'] .waits", "waiting to send")
            .await;
        screen.picture("startup-out-of-reach").await;
        screen.cut_off(false).await;
        screen
            .wait_text("[id='D1.filter'] .standing", "saved")
            .await;
        for _ in 0..200 {
            if screen
                .script("return document.querySelector('.queue').hidden")
                .await
                == true
            {
                break;
            }
            tokio::time::sleep(std::time::Duration::from_millis(100)).await;
        }
        screen.wait_text("[id='D1.filter'] .standing", "Done").await;
        assert_eq!(screen.count("[id='D1.filter'] .photos img").await, 1);
        screen.picture("startup-back-in-reach").await;
        screen.close().await;
    });
    let steps = recorded(&server);
    let [a, b, c, d] = LEFT_OUT.map(|id| (id, "left out"));
    assert_eq!(with_event(&steps), [("D1.filter", "done"), a, b, c, d]);
    let folder = server.folder.path().join("demo");
    let verified = drywright(&folder, &["start", "veg-1.room.toml", "--verify"]);
    // The start, five ticks and one photo.
    assert!(verified.out.contains(": 7 events"), "{}", verified.out);
}

#[test]
fn without_script_a_step_is_ticked_and_a_photo_sent() {
    let server = served();
    let picture = photo(&server);
    story(&server, |screen| async move {
        screen.without_script().await;
        say_who(&screen).await;
        screen.go(&format!("{START}/units/D1")).await;
        unfold(&screen, "D1.filter").await;
        screen
            .press("[id='D1.filter'] label:has([value=yes])")
            .await;
        screen.press("[id='D1.filter'] button[value=done]").await;
        screen
            .wait_text("[id='D1.filter'] .standing", "saved")
            .await;
        unfold(&screen, "D1.filter").await;
        screen.choose("[id='D1.filter-photo']", &picture).await;
        screen.press("[id='D1.filter'] form.photo button").await;
        screen.wait_text("h1", "D1: 1 of").await;
        assert_eq!(screen.count("[id='D1.filter'] .photos img").await, 1);
        screen.go(&format!("{START}/sign")).await;
        screen.write("name", "B. Example").await;
        screen.press("form[data-sign] button.main").await;
        screen.wait_text(".saved", "Signed by B. Example").await;
        screen.close().await;
    });
    assert_eq!(with_event(&recorded(&server)), [("D1.filter", "done")]);
}

#[test]
fn a_signature_is_drawn_with_a_finger() {
    let server = served();
    story(&server, |screen| async move {
        say_who(&screen).await;
        screen.go(&format!("{START}/sign")).await;
        screen.write("name", "B. Example").await;
        screen.drag("form[data-sign] canvas", 60, 10).await;
        let strokes = screen.value("strokes").await;
        assert!(
            strokes.starts_with("[[[") && 2 < strokes.matches(',').count(),
            "{strokes}"
        );
        screen.press("form[data-sign] button.main").await;
        screen.wait_text(".saved", "Signed by B. Example").await;
        screen.picture("startup-signed").await;
        screen.close().await;
    });
    let record = std::fs::read(server.folder.path().join("demo/record.sqlite")).unwrap();
    assert!(record.windows(9).any(|w| w == b"\"drawn\":["));
}

/// An unusual number is asked about beside its field, and everything that was
/// typed is still there.
#[test]
fn four_hundred_amps_are_asked_about() {
    let server = served();
    story(&server, |screen| async move {
        say_who(&screen).await;
        screen.go(&format!("{START}/units/D1")).await;
        let step = "[id='D1.nameplate']";
        unfold(&screen, "D1.nameplate").await;
        for (name, text) in [
            ("plate_volts", "240"),
            ("plate_min_circuit", "400"),
            ("plate_max_protection", "15"),
            ("device", "15 A"),
        ] {
            screen.write(&format!("e.{name}"), text).await;
        }
        for entry in ["model", "disconnect"] {
            screen
                .press(&format!("{step} label:has([name='e.{entry}'][value=yes])"))
                .await;
        }
        screen.press(&format!("{step} button[value=done]")).await;
        screen.wait_text(".problem", "is 4.00 A meant?").await;
        assert_eq!(screen.value("e.plate_volts").await, "240");
        screen.picture("startup-asked").await;
        screen
            .press(&format!(
                "{step} label:has([name='meant.plate_min_circuit'])"
            ))
            .await;
        screen.press(&format!("{step} button[value=done]")).await;
        screen
            .wait_text(&format!("{step} .standing"), "saved")
            .await;
        screen.close().await;
    });
}

/// What is no photo is refused with words, and does not look as if it were
/// still on its way.
#[test]
fn a_photo_that_was_refused_is_not_being_sent() {
    let server = served();
    let file = server.state.path().join("letter.png");
    std::fs::write(&file, "a letter, not a photo").unwrap();
    story(&server, |screen| async move {
        say_who(&screen).await;
        screen.go(&format!("{START}/units/D1")).await;
        unfold(&screen, "D1.filter").await;
        screen.choose("[id='D1.filter-photo']", &file).await;
        screen.wait_text(".problem", "not a photo").await;
        assert_eq!(screen.count(".just-taken").await, 0);
        screen.close().await;
    });
}

#[test]
fn an_address_that_is_malformed_stops_no_timer() {
    let server = served();
    let folder = server.folder.path().join("demo");
    // What comes before the water of one hour is left out, so that its step is
    // open.
    let by = ["--by", "A"];
    let skip = ["--skip", "D1.running", "--reason", "not in this test"];
    let room = ["start", "veg-1.room.toml"];
    let ran = drywright(&folder, &[&room[..], &skip, &by].concat());
    assert!(ran.code < 2, "{}", ran.err);
    let steps = recorded(&server);
    let condensate = steps.iter().find(|s| s["id"] == "D1.condensate").unwrap();
    assert_eq!(condensate["standing"], "open");
    let timer = ["--timer", "D1.condensate"];
    let ran = drywright(&folder, &[&room[..], &timer, &by].concat());
    assert!(ran.code < 2, "{}", ran.err);
    story(&server, |screen| async move {
        for end in ["", "#%"] {
            screen.go(START).await;
            screen.go(&format!("{START}/units/D1{end}")).await;
            let since = "return document.querySelector('[data-since-ms]').textContent";
            let mut told = Value::Null;
            for _ in 0..100 {
                told = screen.script(since).await;
                if told != "" {
                    break;
                }
                tokio::time::sleep(std::time::Duration::from_millis(50)).await;
            }
            assert!(
                told.as_str().is_some_and(|t| t.contains(':')),
                "{end}: {told}"
            );
        }
        screen.close().await;
    });
}

/// Steps that are done, failed, left out, open and closed: told apart by mark
/// and word, in every theme and in grey print, and large enough for gloves.
#[test]
fn every_page_of_a_start_up_is_for_gloves() {
    let server = served();
    story(&server, |screen| async move {
        say_who(&screen).await;
        let unit = format!("{START}/units/D1");
        screen.go(&unit).await;
        unfold(&screen, "D1.filter").await;
        screen.press("[id='D1.filter'] label:has([value=no])").await;
        screen.press("[id='D1.filter'] button[value=done]").await;
        screen
            .wait_text("[id='D1.filter'] .standing", "Failed")
            .await;
        leave_out(&screen, "D1.delivered").await;
        screen
            .wait_text("[id='D1.delivered'] .standing", "Left out")
            .await;
        for path in [START, &unit, &format!("{START}/sign")] {
            screen.go(path).await;
            assert_eq!(screen.told_by_colour().await, [""; 0], "{path}");
            for open in [false, true] {
                screen
                    .script(&format!(
                        "for (const d of document.querySelectorAll('details')) d.open = {open}"
                    ))
                    .await;
                assert_eq!(screen.low_in_gloves().await, [""; 0], "{path}, {open}");
                assert_eq!(
                    screen.ill_placed_controls().await,
                    [""; 0],
                    "{path}, {open}"
                );
                for theme in ["dark", "lights-off", "light"] {
                    assert_eq!(screen.faint(theme).await, [""; 0], "{path}, {theme}");
                    screen.on_paper(true).await;
                    assert_eq!(
                        screen.faint(theme).await,
                        [""; 0],
                        "{path}, {theme} printed"
                    );
                    screen.on_paper(false).await;
                }
                for twice in [false, true] {
                    screen.narrow(twice).await;
                    assert_eq!(screen.wide_px().await, 0, "{path}, {open}, {twice}");
                    assert_eq!(
                        screen.cut_off_texts().await,
                        [""; 0],
                        "{path}, {open}, {twice}"
                    );
                    assert_eq!(
                        screen.covered_in_focus().await,
                        [""; 0],
                        "{path}, {open}, {twice}"
                    );
                }
                screen.as_before().await;
            }
        }
        screen.close().await;
    });
}
