//! A cooling coil by apparatus dew point and bypass factor: BF 0.15, 1.0 m³/s
//! at the inlet. Computed with PsychroLib 2.5.0; 0.5 %.

use air::MoistAir;
use equipment::{CoilState, pass_coil};

#[test]
fn the_latent_share_falls_with_dry_air_and_warm_coils() {
    for (t_c, rh, adp_c, q_s, q_lat, shr, kg_per_h) in [
        (28.0, 0.55, 10.0, 17_950.0, 13_470.0, 0.571, 18.99),
        (22.0, 0.60, 10.0, 12_260.0, 5_760.0, 0.680, 8.16),
        (22.0, 0.60, 7.0, 15_290.0, 9_370.0, 0.620, 13.27_f64),
    ] {
        let inlet = MoistAir::from_rel_humidity(t_c, rh, 101_325.0).expect("possible air");
        let pass = pass_coil(
            &inlet,
            CoilState {
                dry_air_kg_per_s: 1.0 / inlet.specific_volume_m3_per_kg(),
                adp_c,
                bypass_factor: 0.15,
            },
        );
        for (got, expected) in [
            (pass.sensible_w, q_s),
            (pass.latent_w, q_lat),
            (pass.sensible_share(), shr),
            (3600.0 * pass.water_kg_per_s, kg_per_h),
        ] {
            println!(
                "{got:.4} against {expected:.4}: {:.3} %",
                100.0 * (got / expected - 1.0)
            );
            assert!((got / expected - 1.0).abs() < 0.005, "{got} {expected}");
        }
    }
}
