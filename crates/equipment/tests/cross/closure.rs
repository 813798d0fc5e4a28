//! Apparatus dew point and bypass factor: a worked state, and the closure.
//! Computed with PsychroLib 2.5.0 at 101 325 Pa (1600 m: 83 523.5 Pa).

use air::MoistAir;
use equipment::curve::SET_A_REMOVAL;
use equipment::{Closure, ClosureRating, CoilState, frost_share, pass_coil};

const SEA_PA: f64 = 101_325.0;
const HIGH_PA: f64 = 83_523.5;

fn air(t_c: f64, rh: f64, p_pa: f64) -> MoistAir {
    MoistAir::from_rel_humidity(t_c, rh, p_pa).expect("possible air")
}

fn near(what: &str, got: f64, expected: f64, tolerance: f64) {
    println!("{what}: {got:.5} against {expected:.5}");
    assert!(
        (got - expected).abs() <= tolerance,
        "{what}: {got} against {expected}"
    );
}

/// The worked coil: 26.6667 °C and 60 %, 0.100 m³/s, ADP 8.0 °C, BF 0.20.
fn worked(p_pa: f64) -> (MoistAir, equipment::CoilPass) {
    let inlet = air(26.6667, 0.6, p_pa);
    let dry_air_kg_per_s = 0.1 / inlet.specific_volume_m3_per_kg();
    let coil = CoilState {
        dry_air_kg_per_s,
        adp_c: 8.0,
        bypass_factor: 0.20,
    };
    (inlet, pass_coil(&inlet, coil))
}

#[test]
fn worked_state() {
    let (inlet, pass) = worked(SEA_PA);
    let rel = 0.005;
    near("dry air", pass.dry_air_kg_per_s, 0.11530, rel * 0.1153);
    near("W in", inlet.humidity_ratio(), 0.013156, rel * 0.013156);
    near("T off", pass.off_coil.dry_bulb_c(), 11.733, 0.05);
    near(
        "W off",
        pass.off_coil.humidity_ratio(),
        0.007956,
        rel * 0.007956,
    );
    near("RH off", pass.off_coil.rel_humidity(), 0.929, rel * 0.929);
    near("kg/h", 3600.0 * pass.water_kg_per_s, 2.158, rel * 2.158);
    near("Q coil", pass.coil_w(), 3257.0, rel * 3257.0);
    near("Q s", pass.sensible_w, 1758.0, rel * 1758.0);
    near("Q lat", pass.latent_w, 1529.0, rel * 1529.0);
    near("SHR", pass.sensible_share(), 0.535, rel * 0.535);
    // Condenser on the same stream, 600 W.
    let h = pass.off_coil.enthalpy_j_per_kg() + (pass.coil_w() + 600.0) / pass.dry_air_kg_per_s;
    let t_2 = air::dry_bulb_from_enthalpy_c(h, pass.off_coil.humidity_ratio());
    near("T 2", t_2, 44.5, 0.05);
    let out = MoistAir::new(t_2, pass.off_coil.humidity_ratio(), SEA_PA).expect("possible");
    near("RH 2", out.rel_humidity(), 0.137, 0.0005);
    let sensible = pass.dry_air_kg_per_s
        * (out.enthalpy_j_per_kg()
            - air::enthalpy_j_per_kg(inlet.dry_bulb_c(), out.humidity_ratio()));
    near("sensible", sensible, 2100.0, rel * 2100.0);
    near("net", sensible - pass.latent_w, 571.0, rel * 571.0);
}

#[test]
fn worked_state_at_altitude() {
    let (_, pass) = worked(HIGH_PA);
    near("dry air", pass.dry_air_kg_per_s, 0.09461, 0.005 * 0.09461);
    near("kg/h", 3600.0 * pass.water_kg_per_s, 2.163, 0.005 * 2.163);
    near("SHR", pass.sensible_share(), 0.486, 0.005 * 0.486);
    let h = pass.off_coil.enthalpy_j_per_kg() + (pass.coil_w() + 600.0) / pass.dry_air_kg_per_s;
    let t_2 = air::dry_bulb_from_enthalpy_c(h, pass.off_coil.humidity_ratio());
    near("T 2", t_2, 48.4, 0.05);
}

/// 50 L/day, 0.1371 m³/s, bypass factor 0.20, k 0.015 /K.
fn fifty() -> Closure {
    Closure::from_rating(&ClosureRating {
        inlet: air(48.0 / 1.8, 0.6, SEA_PA),
        removal_kg_per_s: 50.0 * 0.998 / 86_400.0,
        airflow_m3_per_s: 0.1371,
        bypass_factor: 0.20,
        slope_per_k: 0.015,
    })
    .expect("a rating that a coil can give")
}

fn ratio(closure: &Closure, t_c: f64, rh: f64, p_pa: f64) -> f64 {
    closure.at(&air(t_c, rh, p_pa), 0.1371).water_kg_per_s / (50.0 * 0.998 / 86_400.0)
}

#[test]
fn closure_through_a_rating() {
    let c = fifty();
    near("ADP", c.rated_adp_c, 11.76, 0.01);
    near("Q", c.rated_coil_w, 3368.0, 3.0);
    near("itself", ratio(&c, 48.0 / 1.8, 0.6, SEA_PA), 1.0, 1e-9);
    near("22.78/60", ratio(&c, 22.7778, 0.60, SEA_PA), 0.843, 0.001);
    near("18.33/60", ratio(&c, 18.3333, 0.60, SEA_PA), 0.678, 0.001);
    near("26.67/80", ratio(&c, 26.6667, 0.80, SEA_PA), 1.465, 0.001);
    near("28/55", ratio(&c, 28.0, 0.55, SEA_PA), 0.927, 0.001);
}

#[test]
fn closure_at_altitude() {
    let c = fifty();
    let inlet = air(48.0 / 1.8, 0.6, HIGH_PA);
    let pass = c.at(&inlet, 0.1371);
    near("BF", pass.bypass_factor, 0.141, 0.0005);
    near("ADP", pass.adp_c, 11.45, 0.01);
    near(
        "ratio",
        pass.water_kg_per_s * 86_400.0 / (50.0 * 0.998),
        1.119,
        0.001,
    );
}

#[test]
fn closure_against_public_set_a() {
    let c = fifty();
    let set_a = SET_A_REMOVAL.normalised();
    let (mut squares, mut worst, mut n) = (0.0, 0.0_f64, 0);
    for t_f in [65.0, 70.0, 73.0, 75.0, 80.0, 85.0, 90.0_f64] {
        for rh in [0.40, 0.50, 0.60, 0.70, 0.80] {
            let t_c = (t_f - 32.0) / 1.8;
            let e = ratio(&c, t_c, rh, SEA_PA) - set_a.at(t_c, rh);
            squares += e * e;
            worst = worst.max(e.abs());
            n += 1;
        }
    }
    let rms = (squares / f64::from(n)).sqrt();
    println!("closure against set A: rms {rms:.4}, largest {worst:.4}");
    // Stated 0.029 rms and 0.070 at most; the grid of the statement is not
    // known, so a tenth is left.
    assert!(rms < 0.032 && worst < 0.077, "{rms} {worst}");
}

#[test]
fn coil_temperature_at_low_inlet() {
    let c = fifty();
    for (t_c, adp_c) in [
        (20.0, 5.2),
        (16.0, 1.3),
        (15.0, 0.4),
        (14.0, -0.5),
        (10.0, -4.0),
    ] {
        near(
            "ADP",
            c.at(&air(t_c, 0.6, SEA_PA), 0.1371).adp_c,
            adp_c,
            0.06,
        );
    }
}

#[test]
fn frost_takes_what_set_a_shows() {
    let c = fifty();
    for (t_c, closure, share) in [
        (15.0, 0.567, 0.91),
        (12.0, 0.488, 0.80),
        (10.0, 0.439, 0.69),
    ] {
        let pass = c.at(&air(t_c, 0.6, SEA_PA), 0.1371);
        near(
            "closure",
            pass.water_kg_per_s * 86_400.0 / (50.0 * 0.998),
            closure,
            0.002,
        );
        near("share", frost_share(pass.adp_c), share, 0.01);
    }
    assert_eq!(frost_share(8.0), 1.0);
    let mut last = 1.0;
    for i in 0..400 {
        let share = frost_share(5.0 - 0.1 * f64::from(i));
        assert!(share <= last && share >= 0.3, "{share}");
        last = share;
    }
}
