//! Real Chromium in which no script runs: everything is read and entered all
//! the same.
//!
//! Needs `chromium` and `chromedriver`, as `browser.rs` does.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(dead_code, reason = "a part of what a browser can do is used")]

mod browser {
    pub(crate) mod screen;
}
mod common;

use browser::screen::{LAPTOP, PHONE, Screen};
use common::web::Server;

fn story<F: Future<Output = ()>>(story: impl FnOnce() -> F) {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    runtime.block_on(story());
}

#[test]
fn a_design_is_entered_tried_and_moved() {
    let server = Server::with_room(&["--port", "0"]);
    story(|| async {
        let screen = Screen::open(&server, PHONE).await;
        screen.without_script().await;
        let room = "/jobs/one/rooms/a";
        screen.go(&format!("{room}/survey")).await;
        screen.write("room|0|length", "twelve").await;
        screen.press("form.survey button.main").await;
        screen.wait_text("#problems", "There is a problem").await;
        assert_eq!(screen.value("room|0|length").await, "twelve");
        screen.write("room|0|length", "12 m").await;
        screen.press("form.survey button.main").await;
        screen.wait_text(".saved", "Saved").await;

        screen.go(&format!("{room}/load")).await;
        screen.press(".try > summary").await;
        screen
            .write("try.target.lights_on.dry_bulb", "22..25 °C")
            .await;
        screen.press("form[data-try] button").await;
        screen.wait_text(".trial", "22..25 °C").await;
        screen.press(".trial button.main").await;
        screen.wait_text("h1", "Load").await;
        assert_eq!(screen.count(".trial").await, 0);

        screen.go(&format!("{room}/plan")).await;
        let before = screen.value("x.D1").await;
        screen.press("button[value='D1 +x']").await;
        screen.wait_changed("x.D1", &before).await;
        screen.press("button[formmethod='post']").await;
        screen.wait_text("h1", "Plan").await;
        assert_ne!(screen.value("x.D1").await, before);
        screen.press("summary:has(+ form[action='/choices'])").await;
        screen.press("button[value='us']").await;
        screen.wait_text("h1", "Jobs").await;
        screen.close().await;
    });
    let file = server.folder.path().join("one/a.room.toml");
    let text = std::fs::read_to_string(file).unwrap();
    for words in ["length = \"12 m\"", "22..25 °C", "at = ["] {
        assert!(text.contains(words), "{words}: {text}");
    }
}

/// A run goes on when its tab is closed; it is looked at again and stopped.
#[test]
fn a_full_run_is_started_looked_at_and_stopped() {
    let server = Server::with_room(&["--port", "0"]);
    story(|| async {
        let screen = Screen::open(&server, LAPTOP).await;
        screen.without_script().await;
        screen.go("/jobs/one/rooms/a/dossier").await;
        screen.press("form.order button.main").await;
        screen.wait_text(".run .state", "for ").await;
        screen.go("/").await;
        screen.go("/jobs/one/rooms/a/dossier").await;
        screen.press("noscript a.button").await;
        screen.wait_text(".run .state", "for ").await;
        screen.press(".run button.grave").await;
        for _ in 0..100 {
            if screen.text(".run .state").await.contains("Stopped") {
                break;
            }
            tokio::time::sleep(std::time::Duration::from_millis(300)).await;
            screen.go("/jobs/one/rooms/a/dossier").await;
        }
        screen.wait_text(".run .state", "Stopped").await;
        screen.close().await;
    });
}

#[test]
fn a_phone_is_paired() {
    let server = Server::with_room(&["--port", "0", "--share=127.0.0.2", "--plain"]);
    let link = server.links[0].clone();
    let (base, _) = link.split_once("/pair").unwrap();
    story(|| async {
        let laptop = Screen::open(&server, LAPTOP).await;
        laptop.without_script().await;
        let phone = Screen::at(base, base, PHONE).await;
        phone.without_script().await;
        phone.go(link.strip_prefix(base).unwrap()).await;
        phone.write("name", "Ana's phone").await;
        phone.press("button.main").await;
        phone.wait_text("h1", "Now the laptop has to say yes").await;
        laptop.go("/share").await;
        laptop.press("button[value='admit']").await;
        // It asks for itself anew.
        phone.wait_text("h1", "Jobs").await;
        phone.go("/jobs/one/rooms/a/survey").await;
        phone.write("room|0|length", "12 m").await;
        phone.press("form.survey button.main").await;
        phone.wait_text(".saved", "Saved").await;
        phone.close().await;
        laptop.close().await;
    });
}
