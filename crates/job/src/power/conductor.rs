//! Conductors: resistance, ampacity with corrections, voltage drop, choice.

use room::WiringRules;

/// Kilofoot in metres.
const KFT_M: f64 = 304.8;

/// Temperature coefficient of the resistance of copper at 20 °C \[1/K\]
/// (recalled).
pub const COPPER_PER_K: f64 = 0.003_93;

/// Resistivity of annealed copper at 20 °C, 100 % IACS: 1/58 Ω·mm²/m, IEC
/// 60028 (recalled) \[Ω·m\].
pub const COPPER_OHM_M: f64 = 1.0 / 58.0e6;

/// Diameter of a solid round conductor \[m\].
///
/// ```text
/// d = 0.127 mm · 92^((36 − n) / 39)
/// ```
///
/// - `awg`: gauge number; 1/0 to 4/0 are 0 to −3
///
/// **Valid** AWG 56 to 4/0. Outside: a finite number that no wire has.
/// **Source** ASTM B258.
/// **Checked** `tests/cross/power_wire.csv`, 12 AWG 2.0525 mm.
pub fn awg_diameter_m(awg: i32) -> f64 {
    0.127e-3 * 92.0_f64.powf(f64::from(36 - awg) / 39.0)
}

/// Resistance per length of a copper conductor \[Ω/m\].
///
/// ```text
/// R = ρ20 / A · (1 + α (t − 20))
/// ```
///
/// - `area_m2`: cross-section of copper \[m²\]
/// - `conductor_c`: temperature of the conductor \[°C\]
///
/// **Valid** −20 to 120 °C, direct current and small sizes at 60 Hz.
/// **Source** IACS resistivity and coefficient, recalled.
/// **Checked** `tests/cross/power_wire.csv`, 12 AWG at 75 °C 6.337 Ω/km.
pub fn copper_ohm_per_m(area_m2: f64, conductor_c: f64) -> f64 {
    COPPER_OHM_M / area_m2 * (1.0 + COPPER_PER_K * (conductor_c - 20.0))
}

/// A size of conductor as its table has it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// Trade name.
    pub name: &'static str,
    /// Area of copper \[mm²\].
    pub area_mm2: f64,
    /// Resistance at the working temperature of the table \[Ω/m\].
    pub ohm_per_m: f64,
    /// Ampacity by column: 60, 75, 90 °C (NEC); IEC has one, three times \[A\].
    pub ampacity_a: [f64; 3],
    /// Largest device of a small conductor, NEC 240.4(D) \[A\].
    pub small_device_a: Option<f64>,
}

const fn awg(
    name: &'static str,
    area_mm2: f64,
    stranded_ohm_per_kft: f64,
    ampacity_a: [f64; 3],
    small_device_a: Option<f64>,
) -> Size {
    Size {
        name,
        area_mm2,
        ohm_per_m: stranded_ohm_per_kft / KFT_M,
        ampacity_a,
        small_device_a,
    }
}

/// Copper at 75 °C, stranded (NEC chapter 9, Table 8), with the ampacities of
/// Table 310.16 for at most three conductors at 30 °C.
#[allow(
    clippy::approx_constant,
    reason = "3.14 is ohms per kilofoot of 14 AWG"
)]
const NEC_SIZES: &[Size] = &[
    awg("14 AWG", 2.0809, 3.14, [15.0, 20.0, 25.0], Some(15.0)),
    awg("12 AWG", 3.3088, 1.98, [20.0, 25.0, 30.0], Some(20.0)),
    awg("10 AWG", 5.2612, 1.24, [30.0, 35.0, 40.0], Some(30.0)),
    awg("8 AWG", 8.3656, 0.778, [40.0, 50.0, 55.0], None),
    awg("6 AWG", 13.3018, 0.491, [55.0, 65.0, 75.0], None),
    awg("4 AWG", 21.1506, 0.308, [70.0, 85.0, 95.0], None),
];

const fn metric(name: &'static str, area_mm2: f64, ohm_per_km_20: f64, ampacity_a: f64) -> Size {
    Size {
        name,
        area_mm2,
        // PVC works at 70 °C.
        ohm_per_m: ohm_per_km_20 * (1.0 + COPPER_PER_K * 50.0) / 1000.0,
        ampacity_a: [ampacity_a; 3],
        small_device_a: None,
    }
}

/// Copper, PVC, three loaded conductors, reference method B2 at 30 °C;
/// resistances of class 2 conductors. Two loaded conductors may carry more;
/// that is left as margin.
const IEC_SIZES: &[Size] = &[
    metric("1.5 mm²", 1.5, 12.1, 15.0),
    metric("2.5 mm²", 2.5, 7.41, 20.0),
    metric("4 mm²", 4.0, 4.61, 27.0),
    metric("6 mm²", 6.0, 3.08, 34.0),
    metric("10 mm²", 10.0, 1.83, 46.0),
    metric("16 mm²", 16.0, 1.15, 62.0),
];

/// The sizes that are offered, rising.
pub const fn sizes(rules: WiringRules) -> &'static [Size] {
    match rules {
        WiringRules::Nec2023 => NEC_SIZES,
        WiringRules::Iec60364 => IEC_SIZES,
    }
}

/// Correction for air of another temperature than 30 °C.
///
/// ```text
/// f = √( (t_c − t_a) / (t_c − 30) )        not above 1 here
/// ```
///
/// - `conductor_c`: rating of the insulation \[°C\]
/// - `ambient_c`: air around the conductors \[°C\]
///
/// **Valid** `ambient_c` below `conductor_c`; else 0. The tables' bands are
/// reproduced at their upper end within 0.01. Cooler air gives no credit.
/// **Source** NEC 310.15(B), the equation behind its table of corrections.
/// **Checked** `tests/published/power_ambient.csv`.
pub fn ambient_factor(conductor_c: f64, ambient_c: f64) -> f64 {
    ((conductor_c - ambient_c) / (conductor_c - 30.0))
        .clamp(0.0, 1.0)
        .sqrt()
}

/// Correction for conductors that lie together.
///
/// - `current_carrying`: conductors that carry current in one raceway
///
/// **Valid** up to 20; beyond, the last row.
/// **Source** NEC Table 310.15(C)(1), as transcribed publicly.
pub const fn bundling_factor(current_carrying: u32) -> f64 {
    match current_carrying {
        0..=3 => 1.0,
        4..=6 => 0.80,
        7..=9 => 0.70,
        _ => 0.50,
    }
}

/// What surrounds a conductor, and what it ends on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// Rules in force.
    pub rules: WiringRules,
    /// Rating of the insulation \[°C\]; IEC: PVC, 70 °C.
    pub insulation_c: f64,
    /// Rating of the terminals \[°C\].
    pub terminals_c: f64,
    /// Air around it \[°C\].
    pub ambient_c: f64,
    /// Current-carrying conductors in one raceway.
    pub together: u32,
}

/// Ampacity of a size, and its parts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ampacity {
    /// From the table, by the insulation \[A\].
    pub table_a: f64,
    /// Correction for the air.
    pub ambient: f64,
    /// Correction for conductors together.
    pub bundling: f64,
    /// What the terminals allow \[A\].
    pub terminal_a: f64,
    /// The least of the corrected table and the terminals \[A\].
    pub allowed_a: f64,
}

/// Working temperature of PVC, IEC 60364-5-52 \[°C\].
const PVC_C: f64 = 70.0;

/// Ampacity of a size where it lies \[A\].
///
/// ```text
/// I_z = min( I_table · f_ambient · f_together, I_terminal )
/// ```
///
/// **Valid** for the sizes of [`sizes`].
/// **Source** NEC 310.15, 110.14(C); IEC 60364-5-52 has no terminal column.
/// **Checked** `tests/power.rs`: 12 AWG, 90 °C, air at 40 °C: 27.3 A, capped by
/// a 75 °C terminal at 25 A.
pub fn ampacity(size: &Size, at: Conditions) -> Ampacity {
    let column = |celsius: f64| {
        let [a60, a75, a90] = size.ampacity_a;
        if celsius < 67.5 {
            a60
        } else if celsius < 82.5 {
            a75
        } else {
            a90
        }
    };
    let (insulation_c, terminal_a) = match at.rules {
        WiringRules::Nec2023 => (at.insulation_c, column(at.terminals_c)),
        WiringRules::Iec60364 => (PVC_C, size.ampacity_a[0]),
    };
    let table_a = column(insulation_c);
    let ambient = ambient_factor(insulation_c, at.ambient_c);
    let bundling = bundling_factor(at.together);
    Ampacity {
        table_a,
        ambient,
        bundling,
        terminal_a,
        allowed_a: (table_a * ambient * bundling).min(terminal_a),
    }
}

/// One phase or three.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phases {
    /// Two conductors carry the current there and back.
    Single,
    /// Three phases.
    Three,
}

impl Phases {
    /// From a plate: 3, or anything else as 1.
    pub const fn of(count: u32) -> Self {
        if count == 3 {
            Self::Three
        } else {
            Self::Single
        }
    }

    /// Factor on length × current × resistance: 2 or √3.
    pub fn drop_factor(self) -> f64 {
        match self {
            Self::Single => 2.0,
            Self::Three => 3.0_f64.sqrt(),
        }
    }

    /// Factor on volts × amperes: 1 or √3.
    pub fn power_factor(self) -> f64 {
        match self {
            Self::Single => 1.0,
            Self::Three => 3.0_f64.sqrt(),
        }
    }
}

/// Voltage drop along a circuit \[V\].
///
/// ```text
/// ΔV = k · L · I · R        k = 2 for one phase, √3 for three
/// ```
///
/// - `phases`: which of the two
/// - `length_m`: one way \[m\]
/// - `current_a`: current \[A\]
/// - `ohm_per_m`: resistance of one conductor \[Ω/m\]
///
/// **Valid** for conductors up to about 1/0 AWG or 50 mm², beyond which
/// reactance counts too.
/// **Source** derived from Ohm's law; NEC 210.19 note on 3 %, recalled.
/// **Checked** `tests/power.rs`: 12 AWG solid, 30 m, 14.4 A: 5.47 V and 4.74 V.
pub fn voltage_drop_v(phases: Phases, length_m: f64, current_a: f64, ohm_per_m: f64) -> f64 {
    phases.drop_factor() * length_m * current_a * ohm_per_m
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn larger_conductors_carry_more_and_drop_less() {
        for rules in [WiringRules::Nec2023, WiringRules::Iec60364] {
            for pair in sizes(rules).windows(2) {
                assert!(pair[0].area_mm2 < pair[1].area_mm2);
                assert!(pair[1].ohm_per_m < pair[0].ohm_per_m);
                assert!((0..3).all(|i| pair[0].ampacity_a[i] < pair[1].ampacity_a[i]));
            }
        }
    }

    #[test]
    fn hot_air_leaves_nothing_and_cool_air_gives_no_credit() {
        assert_eq!(ambient_factor(75.0, 80.0), 0.0);
        assert_eq!(ambient_factor(75.0, 10.0), 1.0);
    }
}
