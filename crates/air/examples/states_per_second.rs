//! Times full air states (humidity ratio, dew point, wet bulb, enthalpy,
//! specific volume) over the states of a file: lines of dry bulb \[°C\],
//! relative humidity (0 to 1) and pressure \[Pa\], separated by commas.
//!
//! Writes one line, `states per second, states, checksum`; the checksum is
//! the mean of the five properties, so that runs can be seen to agree.

use std::hint::black_box;
use std::time::Instant;

use air::MoistAir;

/// Shortest time worth measuring \[s\].
const ENOUGH_S: f64 = 1.0;

#[allow(clippy::print_stdout)]
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

    let mut rounds = 0_u32;
    let mut sum = 0.0;
    let start = Instant::now();
    let mut elapsed_s = 0.0;
    while elapsed_s < ENOUGH_S {
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
        rounds += 1;
        elapsed_s = start.elapsed().as_secs_f64();
    }
    let count = states.len();
    #[allow(clippy::cast_precision_loss)]
    let (per_second, checksum) = (
        f64::from(rounds) * count as f64 / elapsed_s,
        sum / (5.0 * count as f64),
    );
    println!("{per_second:.0},{count},{checksum:.4}");
    Ok(())
}
