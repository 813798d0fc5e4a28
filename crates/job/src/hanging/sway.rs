//! Sway: how a hung unit swings, and what an earthquake asks.

use std::f64::consts::PI;

use quantity::STANDARD_GRAVITY_M_PER_S2;

/// Period of a unit that swings on its rods \[s\].
///
/// ```text
/// T = 2 π √(l / g)
/// ```
///
/// - `length_m`: free length of the rods \[m\]
///
/// **Valid** small swings on rods that hinge at both ends; nuts tightened at
/// the ends stiffen short rods.
/// **Error** long against a braced rod.
/// **Source** mathematical pendulum.
/// **Checked** `tests/hanging.rs`, 0.9 m: 1.90 s.
pub fn pendulum_period_s(length_m: f64) -> f64 {
    2.0 * PI * (length_m.max(0.0) / STANDARD_GRAVITY_M_PER_S2).sqrt()
}

/// Inputs of the seismic force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seismic {
    /// S_DS of the site \[g\].
    pub acceleration_g: f64,
    /// Operating weight W_p \[N\].
    pub weight_n: f64,
    /// Component amplification a_p.
    pub amplification: f64,
    /// Component response R_p.
    pub response: f64,
    /// Importance I_p.
    pub importance: f64,
    /// Height of the fastening over that of the roof, z/h.
    pub height_share: f64,
}

/// Horizontal seismic force on a component \[N\].
///
/// ```text
/// F_p = 0.4 a_p S_DS W_p (1 + 2 z/h) / (R_p / I_p)
/// 0.3 S_DS I_p W_p ≤ F_p ≤ 1.6 S_DS I_p W_p
/// ```
///
/// - `of`: as named there
///
/// **Valid** ASCE 7-05 to 7-16; ASCE 7-22 replaces it.
/// **Error** screening only: the engineer of record decides.
/// **Source** ASCE 7-10 eq. 13.3-1 (form read in a transcription, bounds from
/// memory).
/// **Checked** beside the code, by hand, and at both bounds.
pub fn seismic_force_n(of: &Seismic) -> f64 {
    let base = of.acceleration_g * of.weight_n;
    let force = 0.4 * of.amplification * base * (1.0 + 2.0 * of.height_share)
        / (of.response / of.importance);
    force.clamp(0.3 * of.importance * base, 1.6 * of.importance * base)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seismic_force_by_hand_and_within_its_bounds() {
        let of = Seismic {
            acceleration_g: 1.0,
            weight_n: 1000.0,
            amplification: 2.5,
            response: 2.5,
            importance: 1.0,
            height_share: 1.0,
        };
        // 0.4 · 2.5 · 1 · 1000 · 3 / 2.5 = 1200.
        assert!((seismic_force_n(&of) - 1200.0).abs() < 1e-9);
        let low = Seismic {
            response: 12.0,
            ..of
        };
        assert!((seismic_force_n(&low) - 300.0).abs() < 1e-9);
        let high = Seismic {
            response: 1.0,
            ..of
        };
        assert!((seismic_force_n(&high) - 1600.0).abs() < 1e-9);
    }
}
