//! Full air states a second: humidity ratio, dew point, wet bulb, enthalpy, volume.

use air::MoistAir;
use divan::{Bencher, black_box, counter::ItemsCount};

fn main() {
    divan::main();
}

/// A thousand states over −10 to 45 °C and 5 to 100 %.
fn states() -> Vec<(f64, f64)> {
    (0..1000_u32)
        .map(|i| {
            (
                -10.0 + 55.0 * f64::from(i % 40) / 39.0,
                0.05 + 0.95 * f64::from(i / 40) / 24.0,
            )
        })
        .collect()
}

fn bench(bencher: Bencher, f: impl Fn(&MoistAir) -> f64 + Sync) {
    let states = states();
    bencher.counter(ItemsCount::new(states.len())).bench(|| {
        states
            .iter()
            .map(|&(t_c, rh)| {
                f(
                    &MoistAir::from_rel_humidity(black_box(t_c), black_box(rh), 101_325.0)
                        .expect("in range"),
                )
            })
            .sum::<f64>()
    });
}

#[divan::bench]
fn full_state(bencher: Bencher) {
    bench(bencher, |air| {
        air.humidity_ratio()
            + air.dew_point_c()
            + air.wet_bulb_c()
            + air.enthalpy_j_per_kg()
            + air.specific_volume_m3_per_kg()
    });
}

#[divan::bench]
fn humidity_ratio(bencher: Bencher) {
    bench(bencher, MoistAir::humidity_ratio);
}

#[divan::bench]
fn dew_point(bencher: Bencher) {
    bench(bencher, MoistAir::dew_point_c);
}

#[divan::bench]
fn wet_bulb(bencher: Bencher) {
    bench(bencher, MoistAir::wet_bulb_c);
}

#[divan::bench]
fn saturation_pressure(bencher: Bencher) {
    let states = states();
    bencher.counter(ItemsCount::new(states.len())).bench(|| {
        states
            .iter()
            .map(|&(t_c, _)| air::saturation_pressure_pa(black_box(t_c)))
            .sum::<f64>()
    });
}
