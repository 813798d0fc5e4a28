//! Rows of a log a second, and memory, beside two libraries for tables.

use std::fs::File;
use std::io::{BufWriter, Write as _};
use std::path::Path;
use std::process::Command;

use anyhow::{Context, Result, bail, ensure};

use crate::peers::say;
use crate::python::{self, output};

/// The libraries, as they come from the package index.
const PINNED: [&str; 2] = ["polars==1.35.2", "duckdb==1.4.2"];
/// Rows of the log: one each five seconds for 289 days.
const ROWS: usize = 5_000_000;

/// Writes a log of five million rows under `target/peers`, reads it with the
/// `readings` crate and with each library onto means by the minute, and prints
/// rows a second and peak memory as ratios.
///
/// # Errors
/// No Python 3, no package index, or means that disagree.
pub(crate) fn run() -> Result<()> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .context("xtask has no parent folder")?;
    let folder = root.join("target/peers");
    std::fs::create_dir_all(&folder)
        .with_context(|| format!("cannot make {}", folder.display()))?;
    let python = python::with(&folder, &PINNED)?;
    let log = folder.join("log.csv");
    write_log(&log)?;
    let bytes = std::fs::metadata(&log)?.len();

    let ours = Timing::read(&output(
        Command::new(std::env::var("CARGO").unwrap_or_else(|_| "cargo".into()))
            .current_dir(root)
            .args(["run", "--quiet", "--release", "--package", "readings"])
            .args(["--example", "rows_per_second", "--"])
            .arg(&log),
    )?)?;
    let mut table = format!(
        "{} rows of six columns, {:.0} MB, onto means by the minute\n\n{:<28}{:>12}{:>10}{:>12}{:>10}\n{}",
        ours.rows,
        bytes as f64 / 1e6,
        "",
        "rows/s",
        "ours is",
        "peak MB",
        "ours is",
        row("this program (readings)", &ours, &ours)
    );
    for way in ["duckdb", "polars"] {
        let script = root.join("xtask/peers/logs.py");
        let theirs = Timing::read(&output(
            Command::new(&python).arg(script).arg(way).arg(&log),
        )?)?;
        table += &row(way, &theirs, &ours);
        ensure!(
            (theirs.rows, theirs.minutes) == (ours.rows, ours.minutes)
                && (theirs.mean - ours.mean).abs() < 1e-4,
            "{way} read another log: {} rows, {} minutes, mean {}",
            theirs.rows,
            theirs.minutes,
            theirs.mean
        );
    }
    say(&table)
}

/// One run of one program.
struct Timing {
    per_second: f64,
    rows: u64,
    minutes: u64,
    mean: f64,
    peak_mb: f64,
}

impl Timing {
    /// Reads `rows per second,rows,minutes,mean,peak MB`.
    fn read(line: &str) -> Result<Self> {
        let parts: Vec<&str> = line.trim().split(',').collect();
        let [per_second, rows, minutes, mean, peak_mb] = parts[..] else {
            bail!("five numbers were expected, read {line:?}");
        };
        Ok(Self {
            per_second: per_second.parse()?,
            rows: rows.parse()?,
            minutes: minutes.parse()?,
            mean: mean.parse()?,
            peak_mb: peak_mb.parse()?,
        })
    }
}

fn row(name: &str, timing: &Timing, ours: &Timing) -> String {
    format!(
        "{name:<28}{:>12.0}{:>9.2}x{:>12.1}{:>9.2}x\n",
        timing.per_second,
        ours.per_second / timing.per_second,
        timing.peak_mb,
        ours.peak_mb / timing.peak_mb,
    )
}

/// A room that swings by day and night, with lights and a unit that cycles.
fn write_log(path: &Path) -> Result<()> {
    let file = File::create(path).with_context(|| format!("cannot write {}", path.display()))?;
    let mut out = BufWriter::new(file);
    writeln!(
        out,
        "Time,Canopy temp (°C),Canopy RH (%),CO2 (ppm),Light (lux),D1 power (W)"
    )?;
    let mut day = 1_u32;
    let (mut month, mut year) = (1_usize, 2025);
    for i in 0..ROWS {
        let second = 5 * i % 86_400;
        if second == 0 && i != 0 {
            const LENGTHS: [u32; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
            day += 1;
            if LENGTHS[month - 1] < day {
                (day, month) = (1, month + 1);
            }
            if 12 < month {
                (month, year) = (1, year + 1);
            }
        }
        let lit = (7 * 3600..19 * 3600).contains(&second);
        let phase = second as f64 / 86_400.0 * std::f64::consts::TAU;
        let t = 23.0 - 2.5 * phase.cos() + (i % 17) as f64 * 0.02;
        let rh = 58.0 + 6.0 * phase.cos() + (i % 23) as f64 * 0.05;
        let co2 = if lit { 1000.0 } else { 700.0 } + (i % 31) as f64;
        let lux = if lit { 32_000 } else { 0 };
        let watt = if i / 120 % 3 == 0 {
            4.0
        } else {
            655.0 + (i % 7) as f64
        };
        writeln!(
            out,
            "{year}-{month:02}-{day:02} {:02}:{:02}:{:02},{t:.2},{rh:.1},{co2:.0},{lux},{watt:.1}",
            second / 3600,
            second / 60 % 60,
            second % 60
        )?;
    }
    out.flush().context("cannot write")
}
