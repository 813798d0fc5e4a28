//! A condensate pump, where water does not fall to the drain by itself.

use std::f64::consts::PI;

use crate::friction::colebrook;
use quantity::STANDARD_GRAVITY_M_PER_S2;

/// Viscosity of water at 15 °C \[m²/s\].
///
/// **Source** IAPWS, by way of common tables: 1.138 mPa s over 999.1 kg/m³.
const VISCOSITY_M2_PER_S: f64 = 1.138e-3 / 999.1;
/// Roughness of smooth tube \[m\].
const ROUGHNESS_M: f64 = 1.5e-6;
/// Losses of a check valve, bends and the end, in velocity heads.
///
/// **Assumed**: check valve 2.5, four bends 0.9 each, outlet 1.
const LOSSES: f64 = 7.1;
/// Pump flow over peak condensate.
///
/// **Source** common practice, no published source.
pub const FLOW_FACTOR: f64 = 2.0;
/// Inside diameters of tube that is tried \[m\], with trade names.
pub const TUBES: [(f64, &str); 4] = [
    (0.0095, "3/8 in inside"),
    (0.0127, "1/2 in inside"),
    (0.0159, "5/8 in inside"),
    (0.0191, "3/4 in inside"),
];
/// Largest friction head that a tube is taken with \[m\]. **Assumed**.
const FRICTION_LIMIT_M: f64 = 1.5;

/// Reynolds number in a full tube.
///
/// ```text
/// Re = v D / nu        nu at 15 °C
/// ```
///
/// - `flow_m3_per_s`: flow
/// - `inside_m`: D \[m\]
///
/// **Valid** water near 15 °C.
/// **Source** definition.
/// **Checked** `tests/drain.rs`.
pub fn reynolds(flow_m3_per_s: f64, inside_m: f64) -> f64 {
    speed_m_per_s(flow_m3_per_s, inside_m) * inside_m / VISCOSITY_M2_PER_S
}

/// Speed in a full tube \[m/s\].
pub fn speed_m_per_s(flow_m3_per_s: f64, inside_m: f64) -> f64 {
    flow_m3_per_s / (0.25 * PI * inside_m * inside_m)
}

/// Friction factor by Darcy.
///
/// ```text
/// Re < 2040   f = 64 / Re
/// else        by Colebrook
/// ```
///
/// - `reynolds`: Re, above zero
/// - `inside_m`: D \[m\]
///
/// **Valid** full smooth tube; between laminar and turbulent it jumps up.
/// **Source** Hagen and Poiseuille; Colebrook, as in `friction.rs`.
/// **Checked** `tests/drain.rs`.
pub fn friction_factor(reynolds: f64, inside_m: f64) -> f64 {
    if reynolds < 2040.0 {
        return 64.0 / reynolds;
    }
    colebrook(reynolds, ROUGHNESS_M / inside_m)
}

/// Head lost to friction in a tube \[m\].
///
/// ```text
/// h = f L/D v²/(2 g)
/// ```
///
/// - `flow_m3_per_s`: flow while the pump runs
/// - `inside_m`, `length_m`: of the tube \[m\]
///
/// **Valid** as [`friction_factor`].
/// **Source** Darcy and Weisbach.
/// **Checked** `tests/drain.rs`.
pub fn friction_head_m(flow_m3_per_s: f64, inside_m: f64, length_m: f64) -> f64 {
    if flow_m3_per_s <= 0.0 {
        return 0.0;
    }
    let f = friction_factor(reynolds(flow_m3_per_s, inside_m), inside_m);
    let v = speed_m_per_s(flow_m3_per_s, inside_m);
    f * length_m / inside_m * v * v / (2.0 * STANDARD_GRAVITY_M_PER_S2)
}

/// A pump at a unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pump {
    /// Least flow at the head \[m³/s\].
    pub flow_m3_per_s: f64,
    /// Level in its tank \[m\].
    pub from_m: f64,
    /// Where its tube ends and water falls again \[m\].
    pub to_m: f64,
    /// Inside diameter of its tube \[m\].
    pub tube_m: f64,
    /// Trade name of the tube.
    pub tube: &'static str,
    /// Length of its tube \[m\].
    pub length_m: f64,
    /// Friction and losses in it \[m\].
    pub friction_m: f64,
}

impl Pump {
    /// A pump that lifts peak condensate from one level to another.
    pub fn new(peak_m3_per_s: f64, from_m: f64, to_m: f64, length_m: f64) -> Self {
        let flow_m3_per_s = FLOW_FACTOR * peak_m3_per_s;
        let lost = |tube_m: f64| {
            let v = speed_m_per_s(flow_m3_per_s, tube_m);
            friction_head_m(flow_m3_per_s, tube_m, length_m)
                + LOSSES * v * v / (2.0 * STANDARD_GRAVITY_M_PER_S2)
        };
        let (tube_m, tube) = TUBES
            .into_iter()
            .find(|(d, _)| lost(*d) <= FRICTION_LIMIT_M)
            .unwrap_or(TUBES[TUBES.len() - 1]);
        Self {
            flow_m3_per_s,
            from_m,
            to_m,
            tube_m,
            tube,
            length_m,
            friction_m: lost(tube_m),
        }
    }

    /// Static lift \[m\].
    pub const fn lift_m(&self) -> f64 {
        self.to_m - self.from_m
    }

    /// Head that the pump must give at its flow \[m\].
    pub const fn head_m(&self) -> f64 {
        self.lift_m() + self.friction_m
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wider_tube_is_taken_when_the_narrow_one_loses_too_much() {
        let small = Pump::new(5e-6, 0.2, 3.0, 3.0);
        let large = Pump::new(8e-5, 0.2, 3.0, 3.0);
        assert_eq!(small.tube, TUBES[0].1);
        assert!(small.tube_m < large.tube_m && large.friction_m <= FRICTION_LIMIT_M);
        assert!((small.flow_m3_per_s - 1e-5).abs() < 1e-18);
        assert!((small.lift_m() - 2.8).abs() < 1e-12 && small.lift_m() < small.head_m());
        assert_eq!(friction_head_m(0.0, 0.0095, 8.0), 0.0);
    }
}
