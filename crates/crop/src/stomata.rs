//! How widely the leaf pores stand open: the resistance of leaves to vapour.

use crate::Lag;

/// Stomatal resistance of a lit leaf \[s/m\].
///
/// ```text
/// r_s = 60 · (1500 + PPFD) / (200 + PPFD)
/// ```
///
/// - `ppfd_umol_per_m2_s`: photon flux density at the canopy \[µmol/(m² s)\]
///
/// **Valid** 0 to about 1500 µmol/(m² s), lettuce near 400 ppm CO2 (fit of the
/// paper); used for other crops for want of better. A negative number is taken
/// as dark. No answer to VPD, temperature or CO2: see [`co2_factor`].
/// **Error** not stated by the paper; some copies print 220 for 200, but only
/// 200 gives the paper's own 158 s/m at 600 µmol/(m² s).
/// **Source** Graamans et al., Agricultural Systems 153 (2017), eq. 9; read in
/// four independent transcriptions.
/// **Checked** `tests/published/graamans_2017.csv`,
/// `tests/cross/stomatal_resistance.csv`.
///
/// ```
/// let r = crop::stomata::lit_resistance_s_per_m(600.0);
/// assert!((r - 157.5).abs() < 0.01);
/// ```
pub fn lit_resistance_s_per_m(ppfd_umol_per_m2_s: f64) -> f64 {
    let ppfd = ppfd_umol_per_m2_s.max(0.0);
    60.0 * (1500.0 + ppfd) / (200.0 + ppfd)
}

/// Stomatal resistance of leaves in the dark, with its spread \[s/m\].
///
/// The night rate is the least known number of a crop room. 450 s/m is the
/// lit equation at zero light and gives most water; 2400 s/m was measured on
/// roses and gives least; 1200 s/m gives a night of 12–23 % of the day's rate,
/// as measured on bean and cotton.
///
/// **Source** 450: Graamans et al. 2017 eq. 9. 2400: Seginer, Agric. Meteorol.
/// 30 (1984) 257–268 (abstract). **Assumed** 1200, inside the bands of Resco
/// de Dios et al., Sci. Rep. 5 (2015) 10975, and of Medrano et al. 2005.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NightResistance {
    /// Resistance that gives most water \[s/m\].
    pub most_water_s_per_m: f64,
    /// Default \[s/m\].
    pub likely_s_per_m: f64,
    /// Resistance that gives least water \[s/m\].
    pub least_water_s_per_m: f64,
}

/// The night band where nothing was measured; see [`NightResistance`].
pub const NIGHT: NightResistance = NightResistance {
    most_water_s_per_m: 450.0,
    likely_s_per_m: 1200.0,
    least_water_s_per_m: 2400.0,
};

/// By how much carbon dioxide above ambient closes lit stomata \[–\].
///
/// ```text
/// f = min( 1 + 6.1e-7 · (CO2 − 200)² , 1.5 )
/// ```
///
/// - `co2_ppm`: mole fraction of CO2 \[ppm\]
///
/// **Valid** 200 to about 1105 ppm, where the cap of 1.5 is met; below 200 ppm
/// it is held at 1. Multiplies [`lit_resistance_s_per_m`] (that pairing is an
/// assumption: the factor was fitted to tomato).
/// **Error** not known for other crops than tomato.
/// **Source** Stanghellini, thesis, Wageningen 1987, eq. 3.51, read in two
/// public codes. **Assumed** its use with the resistance of Graamans.
/// **Checked** `tests/cross/other_sources.csv`.
///
/// ```
/// assert!((crop::stomata::co2_factor(1000.0) - 1.39).abs() < 0.005);
/// assert_eq!(crop::stomata::co2_factor(1500.0), 1.5);
/// ```
pub fn co2_factor(co2_ppm: f64) -> f64 {
    let above = (co2_ppm - 200.0).max(0.0);
    (1.0 + 6.1e-7 * above * above).min(1.5)
}

/// Time constant of opening and closing \[s\]: middle of 10 to 20 minutes.
///
/// **Assumed**, recalled and not looked up: pores take 15 to 30 minutes to
/// follow the lamps.
pub const LAG_TIME_CONSTANT_S: f64 = 900.0;

/// Resistance a while after the lamps changed \[s/m\], first order.
///
/// ```text
/// r(t) = r_target + (r_now − r_target) · exp(−t/τ)
/// ```
///
/// - `now_s_per_m`: resistance at the start \[s/m\]
/// - `target_s_per_m`: resistance that the leaf tends to \[s/m\]
/// - `lag`: time passed and time constant
///
/// **Valid** any length of step (the answer is exact, so two half steps equal
/// one whole). A time constant of zero or less jumps to the target.
/// **Error** none beyond the first-order form itself.
/// **Source** the exact solution of a first-order lag. **Assumed** that
/// resistance, not conductance, is what lags: at lights-off that lets the
/// rate fall early, at lights-on late.
/// **Checked** unit tests below.
///
/// ```
/// use crop::{Lag, stomata::lagged_resistance_s_per_m};
/// let lag = Lag { passed_s: 900.0, time_constant_s: 900.0 };
/// let r = lagged_resistance_s_per_m(130.0, 1200.0, lag);
/// assert!((r - (1200.0 - 1070.0 / std::f64::consts::E)).abs() < 1e-9);
/// ```
pub fn lagged_resistance_s_per_m(now_s_per_m: f64, target_s_per_m: f64, lag: Lag) -> f64 {
    target_s_per_m + (now_s_per_m - target_s_per_m) * lag.left()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_light_opens_the_pores() {
        let mut last = f64::INFINITY;
        for ppfd in [0.0, 50.0, 140.0, 300.0, 600.0, 900.0, 1500.0, 2500.0] {
            let r = lit_resistance_s_per_m(ppfd);
            assert!(r < last && r > 60.0, "{ppfd} gives {r}");
            last = r;
        }
    }

    #[test]
    fn negative_light_is_dark() {
        assert_eq!(lit_resistance_s_per_m(-5.0), lit_resistance_s_per_m(0.0));
    }

    #[test]
    fn co2_below_the_fit_changes_nothing() {
        assert_eq!(co2_factor(0.0), 1.0);
        assert_eq!(co2_factor(200.0), 1.0);
    }

    #[test]
    fn two_half_steps_are_one_whole() {
        let lag = |passed_s| Lag {
            passed_s,
            time_constant_s: LAG_TIME_CONSTANT_S,
        };
        let whole = lagged_resistance_s_per_m(130.9, 1200.0, lag(600.0));
        let half = lagged_resistance_s_per_m(130.9, 1200.0, lag(300.0));
        let halves = lagged_resistance_s_per_m(half, 1200.0, lag(300.0));
        assert!((whole - halves).abs() < 1e-9);
        let at_once = lagged_resistance_s_per_m(130.9, 1200.0, lag(0.0));
        assert!((at_once - 130.9).abs() < 1e-9);
        let no_lag = Lag {
            passed_s: 1.0,
            time_constant_s: 0.0,
        };
        assert_eq!(lagged_resistance_s_per_m(130.9, 1200.0, no_lag), 1200.0);
    }
}
