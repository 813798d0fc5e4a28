//! Public curve set A normalised to 1 at 26.67 °C and 60 %. Computed from the
//! published coefficients with Python 3.11; printed to three places.

use equipment::curve::{SET_A_ENERGY_FACTOR, SET_A_REMOVAL, SET_B_ENERGY_FACTOR, SET_B_REMOVAL};
use equipment::{Rating, Standard};

const RH: [f64; 7] = [0.40, 0.50, 0.55, 0.60, 0.65, 0.70, 0.80];
/// Dry bulb; removal by column; energy factor by column.
#[rustfmt::skip]
const TABLE: [(f64, [f64; 7], [f64; 7]); 9] = [
    (15.00, [0.115, 0.324, 0.423, 0.518, 0.610, 0.698, 0.865], [0.187, 0.447, 0.567, 0.681, 0.789, 0.890, 1.073]),
    (18.333333, [0.230, 0.452, 0.557, 0.659, 0.757, 0.852, 1.031], [0.308, 0.562, 0.679, 0.790, 0.894, 0.993, 1.170]),
    (21.00, [0.321, 0.552, 0.663, 0.770, 0.873, 0.973, 1.163], [0.394, 0.643, 0.758, 0.867, 0.969, 1.065, 1.237]),
    (22.777778, [0.380, 0.619, 0.732, 0.843, 0.950, 1.053, 1.249], [0.447, 0.693, 0.806, 0.913, 1.013, 1.108, 1.277]),
    (24.00, [0.421, 0.664, 0.780, 0.893, 1.002, 1.108, 1.308], [0.481, 0.724, 0.836, 0.942, 1.042, 1.135, 1.302]),
    (26.666667, [0.507, 0.761, 0.882, 1.000, 1.114, 1.225, 1.436], [0.548, 0.787, 0.897, 1.000, 1.097, 1.188, 1.350]),
    (28.00, [0.550, 0.809, 0.933, 1.053, 1.170, 1.283, 1.500], [0.578, 0.815, 0.923, 1.025, 1.121, 1.211, 1.371]),
    (30.00, [0.614, 0.880, 1.008, 1.132, 1.253, 1.370, 1.594], [0.619, 0.852, 0.959, 1.059, 1.154, 1.241, 1.398]),
    (32.222222, [0.683, 0.958, 1.090, 1.218, 1.344, 1.465, 1.698], [0.659, 0.888, 0.993, 1.091, 1.183, 1.269, 1.421]),
];

#[test]
fn normalised_set_a_reproduces_the_table() {
    let (removal, energy) = (SET_A_REMOVAL.normalised(), SET_A_ENERGY_FACTOR.normalised());
    let mut worst: f64 = 0.0;
    for (t, f_w, f_ef) in TABLE {
        for (j, rh) in RH.iter().enumerate() {
            worst = worst
                .max((removal.at(t, *rh) - f_w[j]).abs())
                .max((energy.at(t, *rh) - f_ef[j]).abs());
        }
    }
    println!("largest difference {worst:.5}");
    assert!(worst < 0.001, "{worst}");
}

#[test]
fn raw_sets_read_what_their_coefficients_say() {
    let t = 80.0_f64;
    let warm = (t - 32.0) / 1.8;
    for (curve, at, expected) in [
        (SET_A_REMOVAL, (warm, 0.6), 0.985985),
        (SET_A_ENERGY_FACTOR, (warm, 0.6), 0.984756),
        (SET_B_REMOVAL, (warm, 0.6), 0.979708),
        (SET_B_ENERGY_FACTOR, (warm, 0.6), 0.975470),
    ] {
        assert!((curve.at(at.0, at.1) - expected).abs() < 2e-6, "{expected}");
    }
}

#[test]
fn the_two_sets_disagree_as_known() {
    let (a, b) = (SET_A_REMOVAL.normalised(), SET_B_REMOVAL.normalised());
    assert!((a.at(30.0, 0.8) - 1.594).abs() < 0.001);
    assert!((b.at(30.0, 0.8) - 1.312).abs() < 0.001);
    let (a, b) = (
        SET_A_ENERGY_FACTOR.normalised(),
        SET_B_ENERGY_FACTOR.normalised(),
    );
    assert!((a.at(30.0, 0.8) - 1.398).abs() < 0.001);
    assert!((b.at(30.0, 0.8) - 0.970).abs() < 0.001);
}

#[test]
fn ratings_are_converted_before_they_are_compared() {
    let portable = Rating {
        standard: Standard::Portable,
        dry_bulb_c: 33.0 / 1.8,
        rel_humidity: 0.6,
        removal_kg_per_s: 50.0 * 0.998 / 86_400.0,
        power_w: 500.0,
    };
    let warm = portable.converted(Standard::Warm).expect("a standard");
    assert!(portable.removal_over(&warm).is_err());
    // 65 °F removal is 0.659 of the 80 °F removal; 73 °F 0.843.
    assert!((portable.removal_kg_per_s / warm.removal_kg_per_s - 0.659).abs() < 0.001);
    let ducted = warm.converted(Standard::Ducted).expect("a standard");
    assert!((ducted.removal_over(&ducted).expect("same air") - 1.0).abs() < 1e-12);
    assert!((ducted.removal_kg_per_s / warm.removal_kg_per_s - 0.843).abs() < 0.001);
    let back = warm.converted(Standard::Portable).expect("a standard");
    assert!((back.removal_kg_per_s / portable.removal_kg_per_s - 1.0).abs() < 1e-12);
    assert!((back.power_w / portable.power_w - 1.0).abs() < 1e-12);
    let ef = portable.energy_factor_kg_per_j() / warm.energy_factor_kg_per_j();
    assert!((ef - 0.790).abs() < 0.001);
}
