//! The fast grid against the solver.

use air::MoistAir;
use equipment::{Catalog, CoolerGridAxes, FilterState, Valve, read_machine};

fn catalog() -> Catalog {
    let mut c = Catalog::default();
    for text in [
        include_str!("../../../catalog/generic-150.toml"),
        include_str!("../../../catalog/generic-30.toml"),
        include_str!("../../../catalog/generic-90-cold.toml"),
        include_str!("../../../catalog/generic-70.toml"),
        include_str!("../../../catalog/generic-split-14.toml"),
        include_str!("../../../catalog/generic-packaged-5-ton.toml"),
        include_str!("../../../catalog/generic-chilled-30.toml"),
    ] {
        c.insert(read_machine("a file", text).expect("readable"))
            .expect("new");
    }
    c
}

#[test]
fn a_grid_says_what_the_unit_says() {
    for p_pa in [101_325.0, 83_523.5] {
        for m in catalog().dehumidifiers.values() {
            let grid = m.grid(p_pa, FilterState::Clean);
            let mut worst = 0.0_f64;
            for i in 0..40 {
                for j in 0..40 {
                    let t_c = 16.1 + 0.37 * f64::from(i);
                    let rh = 0.41 + 0.0131 * f64::from(j);
                    let air = MoistAir::from_rel_humidity(t_c, rh.min(0.8), p_pa).expect("air");
                    let out = m.at(air, FilterState::Clean);
                    let fast = grid.at(t_c, air.humidity_ratio());
                    worst = worst
                        .max(
                            (fast.removal_kg_per_s - out.removal_kg_per_s).abs()
                                / m.rating().removal_kg_per_s,
                        )
                        .max((fast.power_w - out.power_w).abs() / m.rating().power_w);
                    assert!(fast.airflow_m3_per_s == out.airflow_m3_per_s);
                }
            }
            println!("{} {p_pa}: {:.3} %", m.code, 100.0 * worst);
            assert!(worst < 0.01, "{} {worst}", m.code);
            let cold = grid.at(m.min_inlet_c - 0.1, 0.004);
            assert!(cold.removal_kg_per_s == 0.0 && cold.power_w == m.standby_w);
        }
    }
}

#[test]
fn a_grid_says_what_the_cooler_says() {
    for c in catalog().coolers.values() {
        let grid = c.grid(&CoolerGridAxes {
            outdoors_c: vec![25.0, 30.0, 35.0, 40.0],
            dry_bulbs_c: (10.0, 40.0),
            pressure_pa: 101_325.0,
            airflow_m3_per_s: c.airflow_m3_per_s,
            valve: Valve::OPEN,
        });
        let mut worst = 0.0_f64;
        for i in 0..25 {
            for j in 0..25 {
                let t_c = 18.2 + 0.43 * f64::from(i);
                let rh = 0.35 + 0.02 * f64::from(j);
                let air = MoistAir::from_rel_humidity(t_c, rh, 101_325.0).expect("air");
                let out = c.at(air, 32.7, c.airflow_m3_per_s);
                let fast = grid.at(t_c, air.humidity_ratio(), 32.7);
                worst = worst
                    .max((fast.sensible_w - out.sensible_w).abs() / c.rating.total_w)
                    .max((fast.latent_w - out.latent_w).abs() / c.rating.total_w)
                    .max(
                        (fast.compressor_w - out.compressor_w).abs()
                            / c.rating.compressor_w.max(1000.0),
                    );
            }
        }
        println!("{}: {:.3} %", c.code, 100.0 * worst);
        assert!(worst < 0.01, "{} {worst}", c.code);
    }
}
