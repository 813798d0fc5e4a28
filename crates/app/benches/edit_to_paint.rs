//! How long an edit in real Chromium takes until its answer is painted.
//!
//! `cargo xtask load` runs it on a server of the release; what is timed happens
//! in the browser and in that server, so this itself needs no optimising.
//! Needs `chromium` and `chromedriver`.

#![allow(clippy::unwrap_used, reason = "a bench fails by panicking")]
#![allow(clippy::print_stdout, reason = "a bench tells its figures")]
#![allow(dead_code, reason = "the window is shared with tests")]

#[path = "../tests/common/mod.rs"]
mod common;
#[path = "../tests/browser/screen.rs"]
mod screen;

use std::time::{Duration, Instant};

use screen::{LAPTOP, PHONE, Screen};

/// Half of the edits are to be painted within this \[ms\].
const AIM_MS: f64 = 150.0;
/// Edits timed on each sheet.
const EDITS: usize = 21;
/// The field that is edited.
const FIELD: &str = "[name='try.crop.canopy']";

/// Notes for each edit when its answer was in the page and when it was painted,
/// counted from the event that the browser sends as the field is left.
const WATCH: &str = "window.timed = [];
    const answer = document.getElementById('answer');
    document.querySelector('form[data-try]').addEventListener('change', (event) => {
      const since = event.timeStamp;
      const seen = new MutationObserver(() => {
        seen.disconnect();
        const there = performance.now() - since;
        // A message that is sent in a frame comes after that frame is painted.
        requestAnimationFrame(() => {
          const { port1, port2 } = new MessageChannel();
          port1.onmessage = () => window.timed.push([there, performance.now() - since]);
          port2.postMessage(0);
        });
      });
      seen.observe(answer, { childList: true });
    }, true);";

fn main() {
    // Cargo adds a flag of its own.
    let given = std::env::args().skip(1).filter(|a| !a.starts_with("--"));
    let [address, room] = &given.collect::<Vec<_>>()[..] else {
        println!("cargo xtask load runs this: it takes a server's address and a room's path");
        return;
    };
    let (base, _) = address.split_once("/enter").unwrap();
    let runtime = tokio::runtime::Runtime::new().unwrap();
    runtime.block_on(async {
        for (mark, size) in [(1, LAPTOP), (2, PHONE)] {
            let screen = Screen::at(base, address, size).await;
            for (nth, sheet) in ["load", "units", "day"].into_iter().enumerate() {
                screen.go(&format!("{room}/{sheet}")).await;
                screen.press(".try > summary").await;
                screen.script(WATCH).await;
                let timed = edits(&screen, 50 + nth, mark).await;
                let half = |which: usize| {
                    let mut all: Vec<f64> = timed.iter().map(|t| t[which]).collect();
                    all.sort_by(f64::total_cmp);
                    (all[EDITS / 2], all[EDITS - 1])
                };
                let ((there, _), (painted, last)) = (half(0), half(1));
                println!(
                    "an edit in Chromium ({}), painted on {sheet}: half within {painted:.0} ms, {:.2} of the {AIM_MS} ms aimed at, of which {:.0} ms after its answer is in the page; all within {last:.0} ms",
                    size.name,
                    painted / AIM_MS,
                    painted - there,
                );
            }
            screen.close().await;
        }
    });
    println!("a field is answered as it is left, by Tab or Enter; nothing waits for more keys");
}

/// Edits that nobody made before, one after the other: so many square metres,
/// hundredths that count up, and a mark.
async fn edits(screen: &Screen, m2: usize, mark: usize) -> Vec<[f64; 2]> {
    for n in 0..EDITS {
        // Everything selected, written over, left.
        let keys = format!("\u{e009}a\u{e000}{m2}.{n:02}{mark} m2\u{e004}");
        screen.keys(FIELD, &keys).await;
        let begun = Instant::now();
        while screen.script("return timed.length").await != n + 1 {
            assert!(begun.elapsed() < Duration::from_secs(20), "no answer");
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
    }
    serde_json::from_value(screen.script("return timed").await).unwrap()
}
