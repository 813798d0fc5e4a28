//! Cooling machines: directions, the valve, the size.

use air::{MoistAir, Property};
use equipment::{Cooler, CoolerConditions, CoolerData, Valve, read_cooler};

fn chilled() -> Cooler {
    let text = include_str!("../../../catalog/generic-chilled-30.toml");
    read_cooler("chilled", text).expect("readable")
}

fn split() -> Cooler {
    let text = include_str!("../../../catalog/generic-split-14.toml");
    read_cooler("split", text).expect("readable")
}

fn packaged() -> Cooler {
    let text = include_str!("../../../catalog/generic-packaged-5-ton.toml");
    read_cooler("packaged", text).expect("readable")
}

fn air(t_c: f64, rh: f64, p_pa: f64) -> MoistAir {
    MoistAir::from_rel_humidity(t_c, rh, p_pa).expect("possible air")
}

#[test]
fn a_valve_modulates_from_nothing_to_the_rating() {
    let c = chilled();
    assert!(c.modulates() && !split().modulates());
    let entering = MoistAir::from_pair(
        Property::DryBulb(c.rating.dry_bulb_c),
        Property::WetBulb(c.rating.wet_bulb_c),
        101_325.0,
    )
    .expect("possible air");
    let at = |open| {
        c.under(&CoolerConditions {
            entering,
            outdoor_c: 35.0,
            airflow_m3_per_s: c.airflow_m3_per_s,
            valve: Valve { open },
        })
    };
    let wide = at(1.0);
    assert!(
        (wide.total_w / c.rating.total_w - 1.0).abs() < 0.01,
        "{wide:?}"
    );
    assert!((wide.sensible_w / c.rating.sensible_w - 1.0).abs() < 0.01);
    let mut last = at(0.0);
    assert!(last.total_w.abs() < 1.0 && last.compressor_w == 0.0);
    for i in 1..=10 {
        let now = at(0.1 * f64::from(i));
        assert!(now.total_w > last.total_w && now.adp_c < last.adp_c);
        last = now;
    }
    // A throttled coil is warmer and takes a smaller share as water.
    assert!(at(0.3).latent_w / at(0.3).total_w < wide.latent_w / wide.total_w);
}

#[test]
fn hot_outdoors_less_capacity_damp_room_more_water() {
    for c in [split(), packaged()] {
        let at = |t_c, rh, outdoor_c| c.at(air(t_c, rh, 101_325.0), outdoor_c, c.airflow_m3_per_s);
        assert!(at(25.0, 0.6, 42.0).total_w < at(25.0, 0.6, 30.0).total_w);
        assert!(at(25.0, 0.6, 42.0).compressor_w > at(25.0, 0.6, 30.0).compressor_w);
        assert!(at(25.0, 0.7, 35.0).water_kg_per_s > at(25.0, 0.5, 35.0).water_kg_per_s);
        // Dry air: all sensible, and no longer dependent on the wet bulb.
        let (a, b) = (at(28.0, 0.10, 35.0), at(28.0, 0.15, 35.0));
        assert!(
            a.water_kg_per_s < 1e-9 && b.water_kg_per_s < 1e-9,
            "{}",
            c.code
        );
        assert!((a.total_w / b.total_w - 1.0).abs() < 0.02, "{}", c.code);
    }
}

#[test]
fn altitude_and_air_flow_move_the_split() {
    for c in [split(), packaged(), chilled()] {
        let sea = c.at(air(25.0, 0.6, 101_325.0), 35.0, c.airflow_m3_per_s);
        let high = c.at(air(25.0, 0.6, 83_523.5), 35.0, c.airflow_m3_per_s);
        assert!(
            high.dry_air_kg_per_s < 0.85 * sea.dry_air_kg_per_s,
            "{}",
            c.code
        );
        assert!(
            high.sensible_w / high.total_w < sea.sensible_w / sea.total_w,
            "{}",
            c.code
        );
        assert!(high.total_w < 1.02 * sea.total_w, "{}", c.code);
        let slow = c.at(air(25.0, 0.6, 101_325.0), 35.0, 0.7 * c.airflow_m3_per_s);
        assert!(slow.total_w < sea.total_w, "{}", c.code);
        assert!(
            slow.sensible_w / slow.total_w < sea.sensible_w / sea.total_w,
            "{}",
            c.code
        );
        let still = c.at(air(25.0, 0.6, 101_325.0), 35.0, 0.1 * c.airflow_m3_per_s);
        assert_eq!(still.data, CoolerData::BeyondAirflow, "{}", c.code);
    }
}

#[test]
fn twice_the_machine_does_twice_as_much() {
    for c in [split(), packaged(), chilled()] {
        let entering = air(24.0, 0.6, 101_325.0);
        let one = c.at(entering, 33.0, c.airflow_m3_per_s);
        let two = c.scaled(2.0);
        let two = two.at(entering, 33.0, two.airflow_m3_per_s);
        for (a, b) in [
            (one.total_w, two.total_w),
            (one.latent_w, two.latent_w),
            (one.power_w(), two.power_w()),
        ] {
            assert!((b / a - 2.0).abs() < 1e-6, "{}", c.code);
        }
        assert!((one.leaving.dry_bulb_c() - two.leaving.dry_bulb_c()).abs() < 1e-6);
    }
}
