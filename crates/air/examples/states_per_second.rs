//! Times full air states (humidity ratio, dew point, wet bulb, enthalpy,
//! specific volume) over the states of a file: lines of dry bulb \[°C\],
//! relative humidity (0 to 1) and pressure \[Pa\], separated by commas.
//!
//! Writes one line, `states per second, states, mean`: the rate of the best
//! round through the file, so that other work on the machine counts little,
//! and the mean of the five properties, so that programs can be seen to agree.

use std::hint::black_box;
use std::time::Instant;

use air::MoistAir;

/// How long rounds are repeated \[s\].
const ENOUGH_S: f64 = 1.0;

#[allow(clippy::print_stdout, reason = "it is what the program is for")]
fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args()
        .nth(1)
        .ok_or("usage: states_per_second FILE")?;
    let mut states = Vec::new();
    for line in std::fs::read_to_string(&path)?.lines() {
        let numbers = line
            .split(',')
            .map(str::parse)
            .collect::<Result<Vec<f64>, _>>()?;
        let [t_c, rh, p_pa] = numbers[..] else {
            return Err(format!("{path}: three numbers a line are expected, read {line:?}").into());
        };
        states.push((t_c, rh, p_pa));
    }

    let mut sum = 0.0;
    let mut best_s = f64::INFINITY;
    let start = Instant::now();
    while start.elapsed().as_secs_f64() < ENOUGH_S {
        let round = Instant::now();
        sum = 0.0;
        for &(t_c, rh, p_pa) in &states {
            let air = MoistAir::from_rel_humidity(black_box(t_c), black_box(rh), black_box(p_pa))?;
            sum += air.humidity_ratio()
                + air.dew_point_c()
                + air.wet_bulb_c()
                + air.enthalpy_j_per_kg() / 1000.0
                + air.specific_volume_m3_per_kg();
        }
        sum = black_box(sum);
        best_s = best_s.min(round.elapsed().as_secs_f64());
    }
    let count = states.len();
    let (per_second, mean) = (count as f64 / best_s, sum / (5.0 * count as f64));
    println!("{per_second:.0},{count},{mean:.4}");
    Ok(())
}
