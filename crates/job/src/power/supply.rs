//! What a panel gives, how a unit can be hooked up to it, and unbalance.

use equipment::Plate;
use room::{Panel, WiringRules};

/// A motor runs within this share of its rated voltage.
///
/// **Source** NEMA MG 1, 12.44, as quoted publicly: ±10 % at rated frequency.
pub const VOLTAGE_TOLERANCE: f64 = 0.10;

/// How a unit sits on a panel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hookup {
    /// Voltage between its live conductors, nominal \[V\].
    pub volts: f64,
    /// Poles of its device.
    pub poles: u32,
    /// Voltage of a phase to ground \[V\].
    pub to_ground_v: f64,
    /// Rated voltage of the plate that this is held against \[V\].
    pub rated_v: f64,
}

/// What is known of a panel's supply, with what fills the gaps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Supply {
    /// Between phases, or of the single phase \[V\].
    pub volts: f64,
    /// 1 or 3.
    pub phases: u32,
    /// Of a phase to ground \[V\].
    pub to_ground_v: f64,
    /// Frequency \[Hz\].
    pub hertz: f64,
    /// Live legs: 1 of a phase and a neutral, 2 of a split phase, 3.
    pub legs: u32,
}

/// Frequency where nothing was surveyed \[Hz\].
pub const fn usual_hertz(rules: WiringRules) -> f64 {
    match rules {
        WiringRules::Nec2023 => 60.0,
        WiringRules::Iec60364 => 50.0,
    }
}

/// The supply of a panel; what was not surveyed is taken from the plate and
/// the usual systems, and a check says so.
pub fn supply(panel: &Panel, plate: &Plate, rules: WiringRules) -> Supply {
    let volts = panel.voltage_v.as_ref().map_or(plate.volts, |g| g.value);
    let phases = match panel.phases.as_ref().map_or(plate.phases, |g| g.value) {
        3 => 3,
        _ => 1,
    };
    let usual = usual_to_ground_v(volts, phases, rules);
    let to_ground_v = panel.to_ground_v.as_ref().map_or(usual, |g| g.value);
    let legs = match phases {
        3 => 3,
        _ if 1.5 * to_ground_v < volts => 2,
        _ => 1,
    };
    Supply {
        volts,
        phases,
        to_ground_v,
        hertz: panel
            .hertz
            .as_ref()
            .map_or_else(|| usual_hertz(rules), |g| g.value),
        legs,
    }
}

/// Voltage of a phase to ground by the usual systems \[V\].
///
/// Three phases: star, but 240 V delta with a high leg by NEC, whose worst leg
/// (208 V) counts. One phase: 208 V and 240 V by NEC are two legs of 120 V;
/// else the phase itself.
pub fn usual_to_ground_v(volts: f64, phases: u32, rules: WiringRules) -> f64 {
    let near = |v: f64| (volts / v - 1.0).abs() < 0.03;
    match (phases, rules) {
        (3, WiringRules::Nec2023) if near(240.0) => 208.0,
        (3, _) => volts / 3.0_f64.sqrt(),
        (_, WiringRules::Nec2023) if near(208.0) || near(240.0) => 120.0,
        (_, WiringRules::Nec2023) if near(480.0) => 277.0,
        _ => volts,
    }
}

/// How a unit is hooked up: of what the panel gives, the voltage nearest to a
/// rated one. What does not fit is hooked up all the same; checks say so.
pub fn hookup(supply: &Supply, plate: &Plate) -> Hookup {
    let star = (supply.to_ground_v * 3.0_f64.sqrt() / supply.volts - 1.0).abs() < 0.03;
    let mut ways: Vec<(f64, u32)> = Vec::new();
    match (plate.phases, supply.legs) {
        (3, _) => ways.push((supply.volts, 3)),
        (_, 1) => ways.push((supply.volts, 1)),
        (_, legs) => {
            ways.push((supply.volts, 2));
            if legs == 2 || star {
                ways.push((supply.to_ground_v, 1));
            }
        }
    }
    let rated = [Some(plate.volts), plate.low_volts];
    let mut best = Hookup {
        volts: supply.volts,
        poles: if plate.phases == 3 {
            3
        } else {
            supply.legs.min(2)
        },
        to_ground_v: supply.to_ground_v,
        rated_v: plate.volts,
    };
    let mut least = f64::INFINITY;
    for (volts, poles) in ways {
        for rated_v in rated.into_iter().flatten() {
            let off = (volts / rated_v - 1.0).abs();
            if off < least {
                least = off;
                best = Hookup {
                    volts,
                    poles,
                    to_ground_v: supply.to_ground_v,
                    rated_v,
                };
            }
        }
    }
    best
}

/// Unbalance up to which a three-phase motor gives its full load (NEMA MG 1, as
/// quoted publicly).
pub const MOST_UNBALANCE: f64 = 0.01;
/// Unbalance above which it must not run (NEMA MG 1, as quoted publicly).
pub const NEVER_UNBALANCE: f64 = 0.05;

/// Voltage unbalance of three phases, 0 to 1.
///
/// ```text
/// u = max |V_i − V̄| / V̄
/// ```
///
/// - `volts`: the three voltages between phases \[V\]
///
/// **Valid** for positive voltages; 0 where their mean is 0.
/// **Source** NEMA MG 1, as quoted publicly: to 1 % no derating, never run
/// above 5 %.
/// **Checked** `tests/power.rs`: 462, 463, 455 V give 1.09 %.
pub fn unbalance(volts: [f64; 3]) -> f64 {
    let mean = volts.iter().sum::<f64>() / 3.0;
    let most = volts.iter().map(|v| (v - mean).abs()).fold(0.0, f64::max);
    if mean == 0.0 { 0.0 } else { most / mean }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plate(volts: f64, low_volts: Option<f64>, phases: u32) -> Plate {
        Plate {
            volts,
            low_volts,
            phases,
            hertz: 60.0,
            full_load_a: 10.0,
            min_circuit_a: 12.0,
            max_protection_a: 20.0,
            compressor_a: None,
            locked_rotor_a: None,
        }
    }

    fn gives(volts: f64, phases: u32, to_ground_v: f64, legs: u32) -> Supply {
        Supply {
            volts,
            phases,
            to_ground_v,
            hertz: 60.0,
            legs,
        }
    }

    #[test]
    fn a_unit_takes_the_voltage_that_is_nearest_to_its_plate() {
        let star = gives(208.0, 3, 120.1, 3);
        let h = hookup(&star, &plate(240.0, Some(208.0), 1));
        assert_eq!((h.volts, h.poles, h.rated_v), (208.0, 2, 208.0));
        let h = hookup(&star, &plate(115.0, None, 1));
        assert_eq!((h.volts, h.poles), (120.1, 1));
        let split = gives(240.0, 1, 120.0, 2);
        assert_eq!(hookup(&split, &plate(240.0, Some(208.0), 1)).poles, 2);
        let delta = gives(240.0, 3, 208.0, 3);
        // No neutral is counted on where the system is not a star.
        assert_eq!(hookup(&delta, &plate(120.0, None, 1)).volts, 240.0);
        let european = gives(400.0, 3, 230.9, 3);
        let h = hookup(&european, &plate(230.0, None, 1));
        assert_eq!((h.poles, h.rated_v), (1, 230.0));
    }

    #[test]
    fn usual_systems_have_their_voltage_to_ground() {
        let nec = WiringRules::Nec2023;
        assert_eq!(usual_to_ground_v(240.0, 1, nec), 120.0);
        assert_eq!(usual_to_ground_v(240.0, 3, nec), 208.0);
        assert!((usual_to_ground_v(208.0, 3, nec) - 120.1).abs() < 0.1);
        assert_eq!(usual_to_ground_v(230.0, 1, WiringRules::Iec60364), 230.0);
    }
}
