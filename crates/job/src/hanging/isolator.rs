//! Vibration isolators: which size, and what they do.

use std::f64::consts::PI;

use room::Isolator;

use quantity::STANDARD_GRAVITY_M_PER_S2;

/// Rated loads of rubber and spring hangers \[N\]: steps of about 1.4.
///
/// Common practice, no published source: makers' steps differ, and what is
/// bought is chosen by its own list.
const STEPS_N: [f64; 9] = [
    150.0, 200.0, 300.0, 400.0, 550.0, 800.0, 1100.0, 1600.0, 2200.0,
];

/// The largest of the usual steps \[N\].
pub const LARGEST_N: f64 = STEPS_N[STEPS_N.len() - 1];

/// An isolator for one rod.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hanger {
    /// Kind.
    pub kind: Isolator,
    /// Rated load \[N\]; `None`: none of the usual steps carries it.
    pub rated_n: Option<f64>,
    /// How far it gives under the even load \[m\].
    pub deflection_m: f64,
    /// Natural frequency of the unit on it \[Hz\].
    pub natural_hz: f64,
    /// Share of the force at the supply frequency that gets through.
    pub transmitted: f64,
    /// Length that it takes of the rod \[m\].
    pub height_m: f64,
}

/// Deflection at rated load, and length of the hanger \[m\].
///
/// Common practice, no published source: rubber gives about 1/4 in, springs
/// about 1 in; lengths of boxes for 3/8 in rod.
const fn size_m(kind: Isolator) -> (f64, f64) {
    match kind {
        Isolator::None => (0.0, 0.0),
        Isolator::Rubber => (0.25 * 0.0254, 0.080),
        Isolator::Spring => (1.0 * 0.0254, 0.140),
    }
}

/// Length of rod that an isolator takes \[m\].
pub const fn height_m(kind: Isolator) -> f64 {
    size_m(kind).1
}

/// Natural frequency of a mass on a spring, from its static deflection \[Hz\].
///
/// ```text
/// f = √(g / δ) / (2 π)
/// ```
///
/// - `deflection_m`: static deflection δ \[m\]
///
/// **Valid** linear springs; rubber is stiffer when it vibrates, by half and
/// more.
/// **Error** up to a third on rubber, from memory.
/// **Source** mass on a spring.
/// **Checked** beside the code, 25 mm: 3.15 Hz.
pub fn natural_frequency_hz(deflection_m: f64) -> f64 {
    (STANDARD_GRAVITY_M_PER_S2 / deflection_m).sqrt() / (2.0 * PI)
}

/// Share of a force that gets through an undamped isolator.
///
/// ```text
/// T = 1 / |(f / f_n)² − 1|
/// ```
///
/// - `forced_hz`: frequency of the force \[Hz\]
/// - `natural_hz`: natural frequency f_n \[Hz\]
///
/// **Valid** above √2 f_n; at f_n itself infinite.
/// **Error** damping makes it more, flexible structure too.
/// **Source** forced vibration of one mass.
/// **Checked** beside the code, ratio 3: 1/8.
pub fn transmitted(forced_hz: f64, natural_hz: f64) -> f64 {
    1.0 / ((forced_hz / natural_hz).powi(2) - 1.0).abs()
}

/// The isolator for a rod: the least of the usual steps that carries the worst
/// load without factor, so that the even load still makes it give.
pub fn choose(kind: Isolator, even_n: f64, worst_n: f64, forced_hz: f64) -> Option<Hanger> {
    if kind == Isolator::None {
        return None;
    }
    let (at_rated_m, height_m) = size_m(kind);
    let rated_n = STEPS_N.into_iter().find(|n| worst_n <= *n);
    let full_n = rated_n.unwrap_or(LARGEST_N);
    let deflection_m = at_rated_m * even_n / full_n;
    let natural_hz = natural_frequency_hz(deflection_m);
    Some(Hanger {
        kind,
        rated_n,
        deflection_m,
        natural_hz,
        transmitted: transmitted(forced_hz, natural_hz),
        height_m,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_inch_of_spring_is_three_hertz() {
        assert!((natural_frequency_hz(0.025) - 3.152).abs() < 0.001);
        assert!((transmitted(30.0, 10.0) - 0.125).abs() < 1e-12);
    }

    #[test]
    fn an_isolator_carries_the_worst_load() {
        let of = |worst| choose(Isolator::Spring, 250.0, worst, 60.0).unwrap();
        assert_eq!(of(550.0).rated_n, Some(550.0));
        assert_eq!(of(550.1).rated_n, Some(800.0));
        assert_eq!(of(2200.1).rated_n, None);
        assert!(choose(Isolator::None, 250.0, 500.0, 60.0).is_none());
        // Springs let less through than rubber.
        let rubber = choose(Isolator::Rubber, 250.0, 500.0, 60.0).unwrap();
        assert!(of(500.0).transmitted < rubber.transmitted);
    }
}
