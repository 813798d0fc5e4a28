//! Air states a second beside two reference libraries, and their check values
//! computed anew.

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::Path;
use std::process::Command;

use anyhow::{Context, Result, bail, ensure};

use crate::python::{self, output};

/// The libraries, at the versions that the check values were made with; numba
/// is what PsychroLib compiles itself with where it finds it.
const PINNED: [&str; 3] = ["psychrolib==2.5.0", "CoolProp==8.0.0", "numba==0.68.1"];

/// How each library is run, and how far its mean over the five properties may
/// lie from ours. PsychroLib has our equations and stops its wet bulb at
/// 0.001 K; CoolProp has real gases (up to 0.6 kJ/kg, so 0.1 in the mean).
const WAYS: [(&str, &str, f64); 4] = [
    ("psychrolib-python", "PsychroLib 2.5.0, plain Python", 0.001),
    ("psychrolib-numba", "PsychroLib 2.5.0, numba, arrays", 0.001),
    (
        "coolprop-calls",
        "CoolProp 8.0.0 (C++), a call a property",
        0.1,
    ),
    ("coolprop-arrays", "CoolProp 8.0.0 (C++), arrays", 0.1),
];

/// Installs the libraries under `target/peers`, times them and the `air`
/// crate over the same states one after the other on one core, prints the
/// table, and computes the cross-check file anew to show what differs from the
/// committed one. Never changes a committed file.
///
/// # Errors
/// No Python 3, no package index, or means that disagree.
pub(crate) fn run() -> Result<()> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .context("xtask has no parent folder")?;
    let folder = root.join("target/peers");
    let python = python::with(&folder, &PINNED)?;

    let states = folder.join("states.csv");
    std::fs::write(&states, state_lines())
        .with_context(|| format!("cannot write {}", states.display()))?;

    let ours = Timing::read(&output(
        Command::new(std::env::var("CARGO").unwrap_or_else(|_| "cargo".into()))
            .current_dir(root)
            .args(["run", "--quiet", "--release", "--package", "air"])
            .args(["--example", "states_per_second", "--"])
            .arg(&states),
    )?)?;
    let mut table = format!(
        "Full air states (humidity ratio, dew point, wet bulb, enthalpy, volume), {} states, one core\n\n\
         {:<42}{:>12}{:>10}{:>12}\n{}",
        ours.count,
        "",
        "states/s",
        "ours is",
        "mean of 5",
        row("this program (air)", &ours, &ours)
    );
    let mut disagree = Vec::new();
    for (way, name, tolerance) in WAYS {
        let script = root.join("xtask/peers/states.py");
        let theirs = Timing::read(&output(
            Command::new(&python).arg(script).arg(way).arg(&states),
        )?)?;
        table += &row(name, &theirs, &ours);
        if tolerance < (theirs.mean - ours.mean).abs() {
            disagree.push(name);
        }
    }
    say(&table)?;
    ensure!(
        disagree.is_empty(),
        "means disagree: {}",
        disagree.join(", ")
    );

    let committed = root.join("crates/air/tests/cross/psychrometric_states.csv");
    let new = folder.join("psychrometric_states.csv");
    let difference = output(
        Command::new(&python)
            .arg(root.join("xtask/peers/make_states.py"))
            .args([&committed, &new]),
    )?;
    say(&format!(
        "Check values anew ({}): {difference}",
        new.display()
    ))
}

/// One run of one program.
struct Timing {
    per_second: f64,
    count: u64,
    mean: f64,
}

impl Timing {
    /// Reads `states per second,states,mean`.
    fn read(line: &str) -> Result<Self> {
        let parts: Vec<&str> = line.trim().split(',').collect();
        let [per_second, count, mean] = parts[..] else {
            bail!("three numbers were expected, read {line:?}");
        };
        Ok(Self {
            per_second: per_second.parse()?,
            count: count.parse()?,
            mean: mean.parse()?,
        })
    }
}

fn row(name: &str, timing: &Timing, ours: &Timing) -> String {
    format!(
        "{name:<42}{:>12.0}{:>9.0}x{:>12.4}\n",
        timing.per_second,
        ours.per_second / timing.per_second,
        timing.mean
    )
}

/// A thousand states of rooms: 10 to 40 °C, 20 to 98 %, sea level and 1600 m.
fn state_lines() -> String {
    let mut lines = String::new();
    for p_pa in [101_325.0, 83_523.46] {
        for t in 0..25 {
            for rh in 0..20 {
                let (t_c, rh) = (
                    10.0 + 1.25 * f64::from(t),
                    0.20 + 0.78 * f64::from(rh) / 19.0,
                );
                // Writing to a String cannot fail.
                let _ = writeln!(lines, "{t_c},{rh:.4},{p_pa}");
            }
        }
    }
    lines
}

/// Writes to standard output.
///
/// # Errors
/// Nobody reads.
pub(crate) fn say(text: &str) -> Result<()> {
    writeln!(std::io::stdout(), "{text}").context("cannot write")
}
