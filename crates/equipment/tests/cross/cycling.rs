//! Part load and re-evaporation, computed with Python 3.11 from the printed
//! equations (Winkler 2011 part load; Henderson and Rengarajan 1996).

use equipment::{CoilWetness, FanAlwaysOn, net_latent_share, part_load_factor, run_time_fraction};

#[test]
fn part_load_costs_energy() {
    assert!((part_load_factor(0.25) - 0.925).abs() < 1e-12);
    assert!((run_time_fraction(0.25) - 0.2703).abs() < 5e-5);
    assert!((part_load_factor(0.5) - 0.950).abs() < 1e-12);
    assert!((run_time_fraction(0.5) - 0.5263).abs() < 5e-5);
    assert!((run_time_fraction(1.0) - 1.0).abs() < 1e-12);
}

#[test]
fn a_fan_that_never_stops_gives_water_back() {
    let coil = CoilWetness::published(1500.0);
    for (run_time_fraction, expected) in [
        (1.0, 1.0),
        (0.9, 0.846),
        (0.8, 0.652),
        (0.7, 0.404),
        (0.6, 0.079),
        (0.5, 0.0),
        (0.2, 0.0),
        (0.0, 0.0),
    ] {
        let share = net_latent_share(
            &coil,
            FanAlwaysOn {
                run_time_fraction,
                latent_w: 1500.0,
                wet_bulb_depression_k: 7.3,
            },
        );
        println!("{run_time_fraction} {share:.4} {expected}");
        assert!((share - expected).abs() < 0.002, "{share} {expected}");
    }
}

#[test]
fn damper_air_takes_less_water_back() {
    let coil = CoilWetness::published(1500.0);
    let share = |wet_bulb_depression_k| {
        net_latent_share(
            &coil,
            FanAlwaysOn {
                run_time_fraction: 0.7,
                latent_w: 1500.0,
                wet_bulb_depression_k,
            },
        )
    };
    assert!(share(2.0) > share(5.0));
    assert!(share(5.0) > share(9.0));
}

#[test]
fn retained_water_is_the_latent_heat_of_the_wetting_time() {
    // 1500 W for 1400 s at 2.4416 MJ/kg (2501000 − 2361 · 25.16).
    let kg = CoilWetness::published(1500.0).retained_water_kg(25.16);
    assert!((kg - 1500.0 * 1400.0 / 2_441_597.0).abs() < 1e-6);
}
