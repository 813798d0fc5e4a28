//! The ceiling that irrigation sets to what can evaporate.

/// Water balance of a crop's irrigation over some days.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IrrigationBalance {
    /// Water applied \[kg\].
    pub applied_kg: f64,
    /// Water that ran off or drained \[kg\].
    pub runoff_kg: f64,
    /// Gain of water in the growing medium \[kg\]; about 0 over three days or more.
    pub medium_gain_kg: f64,
    /// Water kept in new growth \[kg\].
    pub retained_kg: f64,
}

/// Share of uptake that stays in new growth where it was not weighed \[–\].
///
/// **Source** water use efficiency of lettuce, 4.0 %: Ohyama, Yamaguchi,
/// Enjoji, Agronomy 10 (2020) 723 (abstract); others give 4 to 5 %.
pub const RETAINED_SHARE: f64 = 0.05;

/// Water that stays in new growth \[kg\].
///
/// ```text
/// retained = fresh gain · water fraction
/// ```
///
/// - `fresh_gain_kg`: gain of fresh mass \[kg\]
/// - `water_fraction`: water in it, 0 to 1; 0.95 for lettuce (recalled)
///
/// **Valid** any crop. **Error** with the fraction.
/// **Source** definition of the water fraction.
/// **Checked** unit tests of this file.
///
/// ```
/// assert_eq!(crop::irrigation::retained_kg(10.0, 0.95), 9.5);
/// ```
pub fn retained_kg(fresh_gain_kg: f64, water_fraction: f64) -> f64 {
    fresh_gain_kg * water_fraction
}

/// Most water that can have evaporated \[kg\].
///
/// ```text
/// E ≤ applied − runoff − medium gain − retained
/// ```
///
/// - `balance`: what was measured
///
/// **Valid** over three days or more; shorter spans move with the medium.
/// A negative answer means that the measurements contradict each other.
/// **Error** of the measurements alone; no model in it. An estimate above the
/// ceiling is wrong, or the irrigation data are.
/// **Source** conservation of water.
/// **Checked** unit tests of this file.
///
/// ```
/// use crop::irrigation::{IrrigationBalance, ceiling_kg};
/// let week = IrrigationBalance {
///     applied_kg: 700.0, runoff_kg: 105.0, medium_gain_kg: 0.0, retained_kg: 29.75,
/// };
/// assert_eq!(ceiling_kg(&week), 565.25); // 0.95 of 595
/// ```
pub fn ceiling_kg(balance: &IrrigationBalance) -> f64 {
    balance.applied_kg - balance.runoff_kg - balance.medium_gain_kg - balance.retained_kg
}

/// Most water that can evaporate where growth was not weighed \[kg/s\].
///
/// ```text
/// E ≤ (1 − retained share) · (applied − runoff)
/// ```
///
/// - `applied_kg_per_s`, `runoff_kg_per_s`: means over some days \[kg/s\]
///
/// **Valid** means over three days or more, so that the medium gains nothing.
/// **Error** about 1 % from the retained share.
/// **Source** conservation of water with [`RETAINED_SHARE`].
/// **Checked** unit tests of this file.
///
/// ```
/// let e = crop::irrigation::ceiling_kg_per_s(0.010, 0.0015);
/// assert!((e - 0.008075).abs() < 1e-12);
/// ```
pub fn ceiling_kg_per_s(applied_kg_per_s: f64, runoff_kg_per_s: f64) -> f64 {
    (1.0 - RETAINED_SHARE) * (applied_kg_per_s - runoff_kg_per_s)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_forms_agree_where_they_should() {
        let balance = IrrigationBalance {
            applied_kg: 100.0,
            runoff_kg: 20.0,
            medium_gain_kg: 0.0,
            retained_kg: RETAINED_SHARE * 80.0,
        };
        assert!((ceiling_kg(&balance) - ceiling_kg_per_s(100.0, 20.0)).abs() < 1e-12);
    }

    #[test]
    fn everything_applied_ran_off() {
        assert_eq!(ceiling_kg_per_s(1.0, 1.0), 0.0);
    }

    #[test]
    fn a_filling_medium_lowers_the_ceiling() {
        let dry = IrrigationBalance {
            applied_kg: 100.0,
            runoff_kg: 20.0,
            medium_gain_kg: 0.0,
            retained_kg: retained_kg(4.0, 0.95),
        };
        let filling = IrrigationBalance {
            medium_gain_kg: 5.0,
            ..dry
        };
        assert!((ceiling_kg(&dry) - ceiling_kg(&filling) - 5.0).abs() < 1e-12);
        assert!((ceiling_kg(&dry) - 76.2).abs() < 1e-12);
    }
}
