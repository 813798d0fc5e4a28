//! Times the reading of a log onto steps of a minute.
//!
//! usage: rows_per_second FILE
//!
//! Writes one line, `rows per second, rows, minutes, mean of the first channel
//! over its minutes, peak memory [MB]`: the rate of the best of three rounds,
//! so that other work on the machine counts little.

use std::fs::File;
use std::time::Instant;

use readings::{Grid, Options, read};

#[allow(clippy::print_stdout, reason = "it is what the program is for")]
fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args()
        .nth(1)
        .ok_or("usage: rows_per_second FILE")?;
    let (mut best_s, mut said) = (f64::INFINITY, String::new());
    for _ in 0..3 {
        let start = Instant::now();
        let mut grid = Grid::new(60, 1 << 20);
        let mut file = File::open(&path)?;
        let taken = read(&mut file, &Options::default(), &mut grid, &mut |_| true)?;
        best_s = best_s.min(start.elapsed().as_secs_f64());
        let means: Vec<f64> = grid
            .means(0)
            .into_iter()
            .filter(|x| x.is_finite())
            .collect();
        let mean = means.iter().sum::<f64>() / means.len() as f64;
        said = format!("{},{},{mean:.6}", taken.rows, means.len());
    }
    let rows: f64 = said.split(',').next().unwrap_or("0").parse()?;
    println!("{:.0},{said},{:.1}", rows / best_s, peak_mb());
    Ok(())
}

/// Largest memory of this process so far, where the system tells \[MB\].
fn peak_mb() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|l| l.starts_with("VmHWM:"));
    let kb = line.and_then(|l| l.split_whitespace().nth(1)?.parse::<f64>().ok());
    kb.map_or(f64::NAN, |kb| kb / 1000.0)
}
