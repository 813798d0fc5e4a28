//! The web app in real Chromium, at the size of a phone and of a laptop.
//!
//! Needs `chromium` and `chromedriver`; `cargo xtask test` installs both where
//! it may. Pictures of every page are left in `target/screens/`.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(dead_code, reason = "the window is shared with other tests")]

mod browser {
    pub(crate) mod axe;
    pub(crate) mod screen;
}
mod common;

use browser::axe;
use browser::screen::{LAPTOP, PHONE, Screen, Size};
use common::root;
use common::web::Server;

/// Served: the demonstration with units there, so that answers come at once,
/// and a room whose file is broken.
fn served() -> Server {
    Server::start(|folder| {
        let job = folder.join("demonstration");
        std::fs::create_dir(&job).unwrap();
        let demo = root().join("cases/demo");
        for name in ["site.toml", "veg-1.room.toml"] {
            std::fs::copy(demo.join(name), job.join(name)).unwrap();
        }
    })
}

/// Runs a story in a browser of its own.
fn story<F: Future<Output = ()>>(server: &Server, size: Size, story: impl FnOnce(Screen) -> F) {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    runtime.block_on(async {
        let screen = Screen::open(server, size).await;
        story(screen).await;
    });
}

/// Every page that links lead to: nothing scrolls sideways, controls are large
/// enough for a thumb, nothing is written in style or event attributes, and an
/// audit of accessibility finds no serious fault.
fn every_page(size: Size) {
    let server = served();
    let audit = axe::source();
    story(&server, size, |screen| async move {
        let mut seen = vec!["/".to_owned()];
        let mut next = 0;
        while let Some(path) = seen.get(next).cloned() {
            next += 1;
            screen.go(&path).await;
            screen.picture(&path).await;
            assert_eq!(screen.wide_px().await, 0, "{path} scrolls sideways");
            assert_eq!(screen.small_controls().await, [""; 0], "{path}");
            assert_eq!(screen.ill_placed_controls().await, [""; 0], "{path}");
            assert_eq!(screen.inline().await, [""; 0], "{path}");
            assert_eq!(screen.forbidden().await, [""; 0], "{path}");
            assert_eq!(screen.count("h1").await, 1, "{path}");
            assert_eq!(axe::faults(&screen, &audit).await, [""; 0], "{path}");
            for theme in ["dark", "lights-off", "light"] {
                assert_eq!(screen.faint(theme).await, [""; 0], "{path}, {theme}");
            }
            assert_eq!(screen.told_by_colour().await, [""; 0], "{path}");
            assert_eq!(screen.low_in_gloves().await, [""; 0], "{path}");
            screen.on_paper(true).await;
            for theme in ["dark", "lights-off", "light"] {
                assert_eq!(
                    screen.faint(theme).await,
                    [""; 0],
                    "{path}, {theme} printed"
                );
            }
            screen.on_paper(false).await;
            for twice in [false, true] {
                screen.narrow(twice).await;
                let how = format!("{path} at 320 px, letters doubled: {twice}");
                assert_eq!(screen.wide_px().await, 0, "{how}");
                assert_eq!(screen.cut_off_texts().await, [""; 0], "{how}");
                assert_eq!(screen.covered_in_focus().await, [""; 0], "{how}");
            }
            screen.as_before().await;
            for link in screen.links().await {
                if !seen.contains(&link) {
                    seen.push(link);
                }
            }
        }
        assert!(12 < seen.len(), "{seen:?}");
        screen.close().await;
    });
}

#[test]
fn every_page_on_a_phone() {
    every_page(PHONE);
}

#[test]
fn every_page_on_a_laptop() {
    every_page(LAPTOP);
}

/// A unit is moved by the mouse, by two taps, by keys and by buttons; each is
/// answered, and said to those who listen.
#[test]
fn a_unit_is_moved_on_the_plan() {
    let server = served();
    story(&server, LAPTOP, |screen| async move {
        screen.go("/jobs/demonstration/rooms/veg-1/plan").await;
        let x = "x.D1";
        let before = screen.value(x).await;
        screen.drag("[data-part='D1']", 60, 0).await;
        screen.wait_changed(x, &before).await;
        screen.wait_text(".shares", "Short-circuit").await;
        let dragged = screen.value(x).await;

        // Two taps: the unit, then a place.
        screen.tap("[data-part='D1']", (0, 0)).await;
        screen.tap(".board svg", (0, 40)).await;
        screen.wait_changed(x, &dragged).await;
        let tapped = screen.value(x).await;

        screen.keys(".board .paper", "\u{e014}").await;
        screen.wait_changed(x, &tapped).await;
        let keyed = screen.value(x).await;

        screen.press("button[value='D1 -x']").await;
        screen.wait_changed(x, &keyed).await;
        screen.wait_text("#status", "Short-circuit").await;

        // Turned by a tap, and by a key.
        let facing = "facing.D1";
        let stood = screen.value(facing).await;
        screen.press("button[value='D1 turn']").await;
        screen.wait_changed(facing, &stood).await;
        let turned = screen.value(facing).await;
        screen.keys(".board .paper", "r").await;
        screen.wait_changed(facing, &turned).await;
        screen.wait_text("#status", "Short-circuit").await;
        screen.close().await;
    });
}

/// A change is tried in place, seen on another sheet, and saved; a number opens
/// to its working, and a chart is read by keys.
#[test]
fn a_change_is_tried_and_a_chart_is_read() {
    let server = served();
    story(&server, PHONE, |screen| async move {
        screen.go("/jobs/demonstration/rooms/veg-1/load").await;
        screen.press(".try > summary").await;
        let field = "try.target.lights_off.dry_bulb";
        screen.write(field, "abc").await;
        screen.press("form[data-try] button").await;
        screen.wait_text(".try .field .error", "abc").await;
        screen.write(field, "64..68 °F").await;
        screen.press("form[data-try] button").await;
        screen.wait_text(".trial", "64..68 °F").await;
        assert_eq!(screen.count(".try .error").await, 0);
        screen.picture("tried").await;

        screen.press(".trial a[href*='/day?']").await;
        screen.wait_text("h1", "Day").await;
        screen.wait_text(".trial", "64..68 °F").await;
        screen
            .keys("figure.drawing .paper", "\u{e014}\u{e014}")
            .await;
        screen.wait_text(".reading", "00:15").await;
        screen.tap("figure.drawing svg", (0, 0)).await;
        screen.wait_text(".reading", "Dry bulb").await;

        screen.press(".trial button.main").await;
        screen.wait_text("h1", "Day").await;
        assert_eq!(screen.count(".trial").await, 0);
        screen.press("td a.worked").await;
        screen.wait_text(".working:target", "lights").await;
        screen.picture("working").await;
        screen.close().await;
    });
    let saved = server.folder.path().join("demonstration/veg-1.room.toml");
    let text = std::fs::read_to_string(saved).unwrap();
    assert!(text.contains("64..68 °F"), "{text}");
}

/// A part of a chart's time is shown by taps, by keys, and by the address.
#[test]
fn a_part_of_the_day_is_shown() {
    let server = served();
    story(&server, PHONE, |screen| async move {
        let day = "/jobs/demonstration/rooms/veg-1/day";
        screen.go(day).await;
        screen.wait_text(".zoom", "00:00 to 00:00").await;
        screen.press("a[data-zoom='+']").await;
        screen.wait_text(".zoom", "06:00 to 18:00").await;
        screen.wait_text("#status", "06:00 to 18:00").await;
        screen.press("a[data-zoom='▶']").await;
        screen.wait_text(".zoom", "12:00 to 00:00").await;
        screen.picture("part-of-the-day").await;
        screen.keys("figure.drawing .paper", "+").await;
        screen.wait_text(".zoom", "15:00 to 21:00").await;
        // It is read as before, minute by minute where there are minutes.
        screen
            .keys("figure.drawing .paper", "\u{e014}\u{e014}")
            .await;
        screen.wait_text(".reading", "15:05").await;
        screen.keys("figure.drawing .paper", "0").await;
        screen.wait_text(".zoom", "00:00 to 00:00").await;
        assert_eq!(screen.wide_px().await, 0);
        screen.without_script().await;
        screen.go(&format!("{day}?from=8&to=10")).await;
        screen.wait_text(".zoom", "08:00 to 10:00").await;
        screen.press("a[data-zoom='−']").await;
        screen.wait_text(".zoom", "07:00 to 11:00").await;
        screen.press("a[data-zoom='Fit']").await;
        screen.wait_text(".zoom", "00:00 to 00:00").await;
        screen.close().await;
    });
}

/// A job is made, a field broken and mended; what was typed and not saved is
/// offered back after the server was killed.
#[test]
fn a_job_is_made_and_a_field_broken_and_mended() {
    let server = served();
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let screen = runtime.block_on(async {
        let screen = Screen::open(&server, PHONE).await;
        screen.go("/").await;
        screen.write("name", "Phone job").await;
        screen.press("form[action='/jobs'] button").await;
        screen.wait_text("h1", "Phone job").await;
        screen.press("a[href$='/rooms/room%201/survey']").await;
        screen.write("room|0|length", "ten metres").await;
        screen.press("form.survey button.main").await;
        screen.wait_text("#problems", "There is a problem").await;
        assert_eq!(screen.value("room|0|length").await, "ten metres");
        assert!(screen.text(".field .error").await.contains("ten metres"));
        screen.write("room|0|length", "12 m").await;
        screen.press("form.survey button.main").await;
        screen.wait_text(".saved", "Saved").await;
        screen.write("room|0|width", "8 m").await;
        // Longer than the half second after which a draft is kept.
        tokio::time::sleep(std::time::Duration::from_millis(900)).await;
        screen
    });
    let server = server.killed_and_back();
    runtime.block_on(async {
        screen.press("form.survey button.main").await;
        screen.wait_text(".saved", "Saved").await;
        assert_eq!(screen.value("room|0|width").await, "8 m");
        screen.write("room|0|height", "5 m").await;
        tokio::time::sleep(std::time::Duration::from_millis(900)).await;
        screen.go("/jobs/Phone%20job/rooms/room%201/survey").await;
        assert_eq!(screen.value("room|0|height").await, "");
        screen.wait_text(".draft", "was not saved").await;
        screen.press(".draft button").await;
        assert_eq!(screen.value("room|0|height").await, "5 m");
        screen.close().await;
    });
    let text = std::fs::read_to_string(server.folder.path().join("Phone job/room 1.room.toml"));
    let text = text.unwrap();
    assert!(
        text.contains("length = \"12 m\"") && text.contains("width = \"8 m\""),
        "{text}"
    );
    assert!(text.contains("# Surveyed by"), "{text}");
}

/// A browser keeps six connections to one server. Pages that look again and
/// again must not hold them, or the next tab stays empty.
#[test]
fn a_first_view_is_light_and_the_seventh_tab_loads() {
    let server = served();
    let room = "/jobs/demonstration/rooms/veg-1";
    let dossier = format!("{room}/dossier");
    story(&server, PHONE, |screen| async move {
        screen.keep_nothing().await;
        for path in [
            "/".to_owned(),
            format!("{room}/load"),
            format!("{room}/plan"),
        ] {
            screen.go(&path).await;
            let (files, bytes) = screen.fetched().await;
            assert!((3..=8).contains(&files), "{path}: {files} files");
            assert!(
                (1000..=100 * 1024).contains(&bytes),
                "{path}: {bytes} bytes"
            );
        }
        // A full run, so that its page looks again and again too.
        screen.go(&dossier).await;
        screen.press("form.order button").await;
        assert!(!screen.text(".run .state").await.is_empty());
        let startup = format!("{room}/startup");
        for live in ["/share", &dossier, &startup, "/share", "/share"] {
            screen.in_new_tab().await;
            screen.go(live).await;
        }
        screen.in_new_tab().await;
        screen.go(&format!("{room}/day")).await;
        assert_eq!(screen.text("h1").await, "Day");
        screen.close().await;
    });
}
