//! Wet bulbs printed with the rating conditions of 10 CFR 430 subpart B
//! appendices X and X1: 69.6, 56.6 and 63.6 °F (to 0.1 °F).

use air::MoistAir;
use equipment::Standard;
use equipment::curve::{SET_A_ENERGY_FACTOR, SET_A_REMOVAL};

#[test]
fn rating_conditions_have_the_wet_bulb_printed_with_them() {
    for (standard, wet_bulb_f) in [
        (Standard::Warm, 69.6),
        (Standard::Portable, 56.6),
        (Standard::Ducted, 63.6),
    ] {
        let (t_c, rh) = standard.air().expect("a standard condition");
        let air = MoistAir::from_rel_humidity(t_c, rh, 101_325.0).expect("possible air");
        let got_f = 1.8 * air.wet_bulb_c() + 32.0;
        println!("{}: {got_f:.3} against {wet_bulb_f}", standard.word());
        assert!((got_f - wet_bulb_f).abs() < 0.1, "{got_f}");
    }
}

/// Winkler, Christensen and Tomerlin 2011, raw set A, five places.
#[test]
fn raw_set_a() {
    for (t_c, rh, removal, energy_factor) in [
        (18.3333, 0.60, 0.64973, 0.77779),
        (22.7778, 0.60, 0.83102, 0.89894),
        (30.0, 0.80, 1.57155, 1.37631),
    ] {
        assert!((SET_A_REMOVAL.at(t_c, rh) - removal).abs() < 1e-5);
        assert!((SET_A_ENERGY_FACTOR.at(t_c, rh) - energy_factor).abs() < 1e-5);
    }
}
