//! A laptop and a phone in two real browsers: paired, let in, sent away.
//!
//! Needs `chromium` and `chromedriver`, as `browser.rs` does.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(dead_code, reason = "a part of what a browser can do is used")]

mod browser {
    pub(crate) mod axe;
    pub(crate) mod screen;
}
mod common;

use browser::axe;
use browser::screen::{LAPTOP, PHONE, Screen};
use common::web::Server;

/// A true address of this machine where it has one: browsers take 127.0.0.2
/// for this machine itself and behave otherwise there.
fn lan() -> String {
    let all = if_addrs::get_if_addrs().unwrap();
    let mut others = all.iter().filter_map(|i| match i.ip() {
        std::net::IpAddr::V4(v4) if !v4.is_loopback() => Some(v4.to_string()),
        _ => None,
    });
    others.next().unwrap_or("127.0.0.2".to_owned())
}

async fn looked_at(screen: &Screen, audit: &str, called: &str) {
    screen.picture(called).await;
    assert_eq!(screen.wide_px().await, 0, "{called} scrolls sideways");
    assert_eq!(screen.small_controls().await, [""; 0], "{called}");
    assert_eq!(screen.inline().await, [""; 0], "{called}");
    assert_eq!(screen.count("h1").await, 1, "{called}");
    assert_eq!(axe::faults(screen, audit).await, [""; 0], "{called}");
}

fn paired_and_sent_away(flags: &[&str]) {
    let audit = axe::source();
    let share = format!("--share={}", lan());
    let flags = [&["--port", "0", &share], flags].concat();
    let server = Server::with_room(&flags);
    let link = server.links[0].clone();
    let (base, _) = link.split_once("/pair").unwrap();
    let scheme = base.split(':').next().unwrap();
    let runtime = tokio::runtime::Runtime::new().unwrap();
    runtime.block_on(async {
        let laptop = Screen::open(&server, LAPTOP).await;
        laptop.go("/share").await;
        looked_at(&laptop, &audit, &format!("/share/{scheme}")).await;
        let phone = Screen::at(base, &link, PHONE).await;
        looked_at(&phone, &audit, &format!("/pair/{scheme}")).await;
        phone.write("name", "Ana's phone").await;
        phone.press("button.main").await;
        phone.wait_text("h1", "Now the laptop has to say yes").await;
        looked_at(&phone, &audit, "/pair/wait").await;
        // The laptop shows it without being asked.
        laptop.wait_text(".asks h2", "Let this phone in?").await;
        assert_eq!(
            phone.text(".shows").await,
            laptop.text(".asks .shows").await
        );
        looked_at(&laptop, &audit, "/share/asks").await;
        laptop.press("button[value='admit']").await;
        // So does the phone, and a form of it is taken.
        phone.wait_text("h1", "Jobs").await;
        phone.go("/jobs/one/rooms/a/survey").await;
        phone.write("room|0|length", "12 m").await;
        phone.press("form.survey button.main").await;
        phone.wait_text(".saved", "Saved").await;
        phone.go("/share").await;
        phone.wait_text("h1", "Not done").await;
        laptop.wait_text(".entries", "Ana's phone").await;
        looked_at(&laptop, &audit, "/share/in").await;
        laptop.press("button[value='revoke-phones']").await;
        for _ in 0..400 {
            if !server.get("/share").body.contains("Ana") {
                break;
            }
            tokio::time::sleep(std::time::Duration::from_millis(50)).await;
        }
        phone.go("/").await;
        phone.wait_text("h1", "Not let in yet").await;
        looked_at(&phone, &audit, "/pair/out").await;
        phone.press("a.main").await;
        phone.write("code", "00000000").await;
        phone.press("button.main").await;
        phone.wait_text(".problem", "There is a problem").await;
        looked_at(&phone, &audit, "/pair/wrong").await;
        laptop.press("button[value='stop']").await;
        laptop.wait_text("main", "on this machine only").await;
        phone.close().await;
        laptop.close().await;
    });
}

#[test]
fn a_phone_is_paired_where_nothing_is_encrypted() {
    paired_and_sent_away(&["--plain"]);
}

#[test]
fn a_phone_is_paired_over_a_certificate_of_our_own() {
    paired_and_sent_away(&[]);
}
