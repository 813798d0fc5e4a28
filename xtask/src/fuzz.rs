//! Bounded random input for the readers: nothing that a person can write may
//! make them panic, what is printed must be readable, and a refusal says where
//! in the text it is and why.

use std::collections::BTreeSet;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail};
use fields::Problems;
use quantity::{Dim, UnitSystem, Value};
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Seconds for each target where none are named: `cargo xtask fuzz 60`.
const SECONDS: u64 = 20;

/// Unlike failures of one target that are written down.
const KEPT: usize = 8;

/// Spellings from which quantities grow.
const SPELLINGS: &[&str] = &[
    "36 ft 6 in",
    "12'6\"",
    "3 1/2 in",
    "11.1 m",
    "78 °F",
    "25.5 C",
    "62 %RH",
    "1.1 kPa",
    "4.2 gal/day",
    "300 pint/day",
    "1,200 cfm",
    "0.8 in w.g.",
    "5 ton",
    "900 µmol/m2/s",
    "3.0..4.5 L/day",
    "3,5",
    "-1e308 m",
    "NaN kW",
    "1 h 30 min",
    "..",
    "%",
    "\u{2212}4 °F",
];

/// A target: what is done with an input; `Err` where the result is wrong.
type Target = fn(&str) -> std::result::Result<(), String>;

pub(crate) fn run() -> Result<()> {
    let seconds = match std::env::args().nth(2) {
        Some(text) => text.parse().context("seconds, a whole number")?,
        None => SECONDS,
    };
    let machine_heads = ["[dehumidifier]", "[cooler]", "[controller]"];
    let (machines, rooms): (Vec<String>, Vec<String>) = corpus()?
        .into_iter()
        .partition(|text| machine_heads.iter().any(|head| text.contains(head)));
    let spellings: Vec<String> = SPELLINGS.iter().map(|s| (*s).to_owned()).collect();
    let targets: [(&str, &[String], Target); 3] = [
        ("quantity", &spellings, quantity_reader),
        ("room", &rooms, room_reader),
        ("machine", &machines, machine_reader),
    ];
    let mut failures = 0;
    for (name, corpus, target) in targets {
        failures += fuzz(name, corpus, target, Duration::from_secs(seconds))?;
    }
    if failures > 0 {
        bail!("{failures} inputs went wrong");
    }
    Ok(())
}

/// Every room, site and machine file of the project.
fn corpus() -> Result<Vec<String>> {
    let mut texts = Vec::new();
    let mut folders = vec![
        "cases".into(),
        "catalog".into(),
        Path::new("crates/room/tests/rooms").to_path_buf(),
    ];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).with_context(|| folder.display().to_string())? {
            let path = entry?.path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "toml") {
                texts.push(std::fs::read_to_string(path)?);
            }
        }
    }
    texts.sort();
    Ok(texts)
}

/// Runs one target for its time; how many inputs went wrong. The first few
/// unlike ones are written under `target/fuzz`.
fn fuzz(name: &str, corpus: &[String], target: Target, time: Duration) -> Result<u64> {
    let mut random = ChaCha8Rng::seed_from_u64(1);
    let begun = Instant::now();
    let (mut runs, mut failures) = (0_u64, 0_u64);
    let mut kept = BTreeSet::new();
    while begun.elapsed() < time {
        let input = mutated(corpus, &mut random);
        let wrong = match catch_unwind(AssertUnwindSafe(|| target(&input))) {
            Ok(Ok(())) => None,
            Ok(Err(wrong)) => Some(wrong),
            Err(_) => Some("a panic".to_owned()),
        };
        runs += 1;
        let Some(wrong) = wrong else { continue };
        failures += 1;
        if kept.len() < KEPT && kept.insert(wrong.clone()) {
            let path = Path::new("target/fuzz").join(format!("{name}-{}", kept.len()));
            std::fs::create_dir_all("target/fuzz")?;
            std::fs::write(&path, &input)?;
            super::say(&format!(
                "{name} after {runs} inputs: {wrong}; the input is in {}",
                path.display()
            ));
        }
    }
    super::say(&format!(
        "{name}: {runs} inputs, {:.0}/s, {failures} went wrong",
        runs as f64 / begun.elapsed().as_secs_f64()
    ));
    Ok(failures)
}

/// One text of the corpus after a few random changes.
fn mutated(corpus: &[String], random: &mut impl Rng) -> String {
    let pick = |random: &mut dyn FnMut(usize) -> usize| corpus[random(corpus.len())].clone();
    let mut below = |n: usize| random.random_range(0..n.max(1));
    let mut bytes = pick(&mut below).into_bytes();
    for _ in 0..=below(6) {
        let at = below(bytes.len());
        match below(6) {
            0 if !bytes.is_empty() => bytes[at] ^= 1 << below(8),
            1 => bytes.truncate(at),
            2 => {
                let other = pick(&mut below).into_bytes();
                let from = below(other.len());
                bytes.splice(at..at, other[from..].iter().take(60).copied());
            }
            3 => {
                let extreme = [
                    "1e999",
                    "1e308",
                    "1e-320",
                    "-0",
                    "9999999999999999999",
                    "\u{0}",
                    "\"",
                    "]",
                    "NaN",
                    "é",
                ];
                bytes.splice(at..at, extreme[below(extreme.len())].bytes());
            }
            4 => swap_words(&mut bytes, &mut below),
            _ => {
                let end = (at + below(40)).min(bytes.len());
                bytes.drain(at.min(end)..end);
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Two words change places.
fn swap_words(bytes: &mut Vec<u8>, below: &mut impl FnMut(usize) -> usize) {
    let mut words: Vec<&[u8]> = bytes.split_inclusive(|b| b" \n,".contains(b)).collect();
    if words.is_empty() {
        return;
    }
    let (a, b) = (below(words.len()), below(words.len()));
    words.swap(a, b);
    *bytes = words.concat();
}

fn quantity_reader(text: &str) -> std::result::Result<(), String> {
    for dim in Dim::ALL {
        if let Ok(band) = quantity::read_band(text, dim) {
            if !(band.low <= band.likely && band.likely <= band.high) {
                return Err(format!("{text:?} is a band out of order: {band:?}"));
            }
            for si in [band.low, band.likely, band.high] {
                readable(text, Value::new(si, dim))?;
            }
        }
        if let Ok(value) = quantity::read(text, dim) {
            readable(text, value)?;
        }
    }
    Ok(())
}

/// What is shown of a value that came from `text` can be read again.
fn readable(text: &str, value: Value) -> std::result::Result<(), String> {
    for system in [UnitSystem::Metric, UnitSystem::Us] {
        let shown = value.show(system);
        if let Err(e) = quantity::read(&shown, value.dim) {
            return Err(format!(
                "{text:?} shows as {shown:?}, which is refused: {e}"
            ));
        }
    }
    Ok(())
}

fn room_reader(text: &str) -> std::result::Result<(), String> {
    room::Room::read(None, ("fuzz", text)).map_or_else(|problems| told(text, &problems), |_| Ok(()))
}

fn machine_reader(text: &str) -> std::result::Result<(), String> {
    equipment::read_machine("fuzz", text).map_or_else(|problems| told(text, &problems), |_| Ok(()))
}

/// A refusal says what is wrong, and where in the text.
fn told(text: &str, problems: &Problems) -> std::result::Result<(), String> {
    if problems.is_empty() {
        return Err("refused without a reason".to_owned());
    }
    let lines = text.split('\n').count();
    for problem in problems {
        let inside = text.get(problem.span.clone()).is_some()
            && (1..=lines).contains(&problem.line)
            && 1 <= problem.column;
        if !inside {
            return Err(format!("a place that the text does not have: {problem:?}"));
        }
        if problem.what.is_empty() {
            return Err(format!("nothing is said of a problem: {problem:?}"));
        }
    }
    Ok(())
}
