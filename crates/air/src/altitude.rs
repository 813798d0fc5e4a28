//! Pressure and temperature of the standard atmosphere.

/// Barometric pressure of the standard atmosphere at an altitude \[Pa\].
///
/// ```text
/// p = 101325 · (1 − 2.25577e-5 · z)^5.2559        z in m
/// ```
///
/// - `altitude_m`: height above sea level \[m\]
///
/// **Valid** −5000 to 11 000 m. Outside: a number that means nothing.
/// **Error** that of the standard atmosphere; weather moves the true pressure
/// by some ±3 %.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 3.
/// **Checked** `tests/published/`, `tests/cross/`.
///
/// ```
/// assert!((air::pressure_from_altitude_pa(1600.0) - 83_523.5).abs() < 1.0);
/// ```
#[inline]
pub fn pressure_from_altitude_pa(altitude_m: f64) -> f64 {
    101_325.0 * (1.0 - 2.25577e-5 * altitude_m).powf(5.2559)
}

/// Air temperature of the standard atmosphere at an altitude \[°C\].
///
/// ```text
/// t = 15 − 0.0065 · z        z in m
/// ```
///
/// - `altitude_m`: height above sea level \[m\]
///
/// **Valid** −5000 to 11 000 m.
/// **Error** none: a definition.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 4.
/// **Checked** `tests/published/`.
#[inline]
pub fn temperature_from_altitude_c(altitude_m: f64) -> f64 {
    15.0 - 0.0065 * altitude_m
}
