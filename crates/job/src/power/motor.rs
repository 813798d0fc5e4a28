//! Currents of a circuit for a hermetic motor-compressor (NEC Article 440).
//!
//! A plate that states them governs; these hold where it does not.

use equipment::Plate;

/// Currents of the motors of one machine \[A\].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MotorCurrents {
    /// Of the compressor: the greater of rated-load and branch-circuit
    /// selection current \[A\].
    pub compressor_a: f64,
    /// Of all other motors together \[A\].
    pub others_a: f64,
}

/// Which share of the compressor's current a protective device may have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DeviceRule {
    /// The usual one, 1.75.
    Usual,
    /// Where the machine does not start on the usual one, 2.25.
    WillNotStart,
}

impl DeviceRule {
    /// Factor on the compressor's current.
    pub const fn factor(self) -> f64 {
        match self {
            Self::Usual => 1.75,
            Self::WillNotStart => 2.25,
        }
    }
}

impl MotorCurrents {
    /// Of a plate; `None` where it does not state the compressor's current.
    pub fn of(plate: &Plate) -> Option<Self> {
        let compressor_a = plate.compressor_a?;
        Some(Self {
            compressor_a,
            others_a: plate.full_load_a - compressor_a,
        })
    }
}

/// Minimum circuit ampacity \[A\].
///
/// ```text
/// I_MCA = 1.25 · I_c + I_o        compressor the largest motor
/// ```
///
/// - `motors`: rated currents \[A\], the compressor's the largest
///
/// **Valid** for one compressor with smaller motors on one circuit.
/// **Source** NEC 440.33 and 440.4(B), as explained in public code notes.
/// **Checked** `tests/power.rs`, 12.8 A and 1.6 A give 17.6 A.
///
/// ```
/// use job::power::motor::{MotorCurrents, min_circuit_a};
/// let motors = MotorCurrents { compressor_a: 12.8, others_a: 1.6 };
/// assert!((min_circuit_a(motors) - 17.6).abs() < 1e-9);
/// ```
pub fn min_circuit_a(motors: MotorCurrents) -> f64 {
    1.25 * motors.compressor_a + motors.others_a
}

/// Greatest overcurrent protection \[A\], before rounding down to a standard
/// size.
///
/// ```text
/// I_max = k · I_c + I_o        k = 1.75, or 2.25 where it will not start
/// ```
///
/// - `motors`: rated currents \[A\]
/// - `rule`: which factor
///
/// **Valid** for one compressor with smaller motors on one circuit.
/// **Source** NEC 440.22(A) and (B), as explained in public code notes.
/// **Checked** `tests/power.rs`, 12.8 A and 1.6 A give 24.0 A and 30.4 A.
pub fn max_protection_a(motors: MotorCurrents, rule: DeviceRule) -> f64 {
    rule.factor() * motors.compressor_a + motors.others_a
}

/// Locked-rotor current over rated-load current where the plate is silent.
///
/// **Assumed** 6, the middle of 5 to 7 for small hermetic compressors, recalled.
pub const LOCKED_ROTOR_RATIO: f64 = 6.0;

/// Current while a unit starts \[A\]: the plate's, else
/// [`LOCKED_ROTOR_RATIO`] times full load.
pub fn locked_rotor_a(plate: &Plate) -> f64 {
    plate
        .locked_rotor_a
        .unwrap_or(LOCKED_ROTOR_RATIO * plate.full_load_a)
}
