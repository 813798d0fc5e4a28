//! A harvested crop hung to dry.
//!
//! One curve through what was surveyed: mass hung, moisture at the start and
//! at the end, days between. Its shape is the thin-layer form of drying
//! handbooks; its rate constant is solved from the survey.
//!
//! Published rate constants of leaves and flowers are for 40 to 70 °C; none
//! was found for a crop hung at 15 to 25 °C, so none is built in. That the form
//! fits is published: of three models it was the best on leaves dried from
//! 7 days in the shade to 3 hours at 60 °C (Elenga et al., Res. J. Appl. Sci.
//! Eng. Technol. 3(10) (2011) 1135-1141, abstract).

/// A crop hung to dry, as surveyed. Moistures are shares of wet mass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HungCrop {
    /// Mass when hung \[kg\].
    pub wet_mass_kg: f64,
    /// Moisture when hung, share of wet mass, 0 to 1.
    pub start_moisture: f64,
    /// Moisture when taken down, share of wet mass.
    pub end_moisture: f64,
    /// Moisture that it would reach in the end in this air, share of wet mass;
    /// below `end_moisture`.
    pub equilibrium_moisture: f64,
    /// Time from hanging to taking down \[s\].
    pub drying_time_s: f64,
    /// Shape of the curve: 1 falls by halves (Lewis); below 1 starts faster and
    /// tails off longer, above 1 starts slower (Page).
    pub page_exponent: f64,
}

/// Most that drier air than surveyed may quicken drying by.
///
/// **Assumed**: beyond some times the surveyed rate the way out of the stem
/// decides, not the air, and nothing was found to say where.
pub const MOST_QUICKENING: f64 = 3.0;

/// Rate in this air over the rate in the air that the curve was surveyed for.
///
/// ```text
/// f = VPD / VPD_ref,  from 0 to 3
/// ```
///
/// - `vpd_pa`: vapour pressure deficit of the air now \[Pa\]
/// - `reference_vpd_pa`: the same of the air of the survey \[Pa\], above zero
///
/// **Valid** air about as warm as in the survey; saturated air and fog give 0.
/// **Error** good while the crop is wet; late in drying the water left is bound
/// and the true answer to humid air is stronger than this one (below its
/// equilibrium the crop takes water up), to dry air weaker.
/// **Source** that a wet body dries in proportion to the difference of vapour
/// pressure between it and the air is the constant-rate law of the textbooks of
/// drying (Earle, Unit Operations in Food Processing, ch. 7, read). That
/// it goes on in the falling rate with a surface as warm as the air, and the
/// limit of 3, are **assumed**. **Checked** unit tests of this file.
///
/// ```
/// assert_eq!(crop::drying::humidity_factor(900.0, 600.0), 1.5);
/// ```
pub fn humidity_factor(vpd_pa: f64, reference_vpd_pa: f64) -> f64 {
    (vpd_pa / reference_vpd_pa).clamp(0.0, MOST_QUICKENING)
}

/// Exponent of the Lewis form, the default.
pub const LEWIS_EXPONENT: f64 = 1.0;

/// Water per dry matter from water per wet mass \[kg/kg\].
///
/// ```text
/// M = m / (1 − m)
/// ```
///
/// - `wet_basis_moisture`: share of wet mass that is water, 0 to below 1
///
/// **Valid** 0 to below 1. **Error** none. **Source** definition.
/// **Checked** unit tests of this file.
///
/// ```
/// assert!((crop::drying::dry_basis_moisture(0.75) - 3.0).abs() < 1e-12);
/// ```
pub fn dry_basis_moisture(wet_basis_moisture: f64) -> f64 {
    wet_basis_moisture / (1.0 - wet_basis_moisture)
}

impl HungCrop {
    /// Dry matter \[kg\].
    pub fn dry_matter_kg(&self) -> f64 {
        self.wet_mass_kg * (1.0 - self.start_moisture)
    }

    /// Water that leaves if it hangs for ever \[kg\].
    fn free_water_kg(&self) -> f64 {
        self.dry_matter_kg()
            * (dry_basis_moisture(self.start_moisture)
                - dry_basis_moisture(self.equilibrium_moisture))
    }

    /// Share of the free water left when the crop is taken down, 0 to 1.
    ///
    /// ```text
    /// MR_end = (M_end − M_eq) / (M_start − M_eq),  M dry basis
    /// ```
    ///
    /// **Valid** start above end above equilibrium moisture.
    /// **Error** of the moistures. **Source** definition of the moisture ratio.
    /// **Checked** unit tests of this file.
    pub fn end_ratio(&self) -> f64 {
        let equilibrium = dry_basis_moisture(self.equilibrium_moisture);
        (dry_basis_moisture(self.end_moisture) - equilibrium)
            / (dry_basis_moisture(self.start_moisture) - equilibrium)
    }

    /// Rate constant k that brings the curve through the survey \[1/s^n\].
    ///
    /// ```text
    /// k = −ln(MR_end) / t_end^n
    /// ```
    ///
    /// **Valid** as [`Self::end_ratio`]; drying time above zero.
    /// **Error** with end and equilibrium moisture, which are seldom measured
    /// well. **Source** the thin-layer form solved for k: derived from survey.
    /// **Checked** unit tests of this file.
    pub fn rate_constant(&self) -> f64 {
        -self.end_ratio().ln() / self.drying_time_s.powf(self.page_exponent)
    }

    /// Share of the free water left after hanging for a while, 1 to 0.
    ///
    /// ```text
    /// MR = exp( −k·t^n )
    /// ```
    ///
    /// - `hung_s`: time since hanging \[s\]
    ///
    /// **Valid** from hanging on; 1 before. Air as in the survey; for other air see
    /// [`humidity_factor`].
    /// **Error** of the form some percent of free water; start and end exact.
    /// **Source** Lewis, Ind. Eng. Chem. 13 (1921) 427 (n = 1); Page, thesis,
    /// Purdue (1949); as drying handbooks give them, recalled and not looked up.
    /// **Checked** unit tests of this file.
    pub fn moisture_ratio(&self, hung_s: f64) -> f64 {
        // MR_end to the power (t/t_end)^n: the same curve without tiny k.
        let share = (hung_s.max(0.0) / self.drying_time_s).powf(self.page_exponent);
        self.end_ratio().powf(share)
    }

    /// Water given off between two times \[kg\].
    ///
    /// ```text
    /// water = dry matter · (M_start − M_eq) · ( MR(from) − MR(to) )
    /// ```
    ///
    /// - `from_s`, `to_s`: times since hanging \[s\]
    ///
    /// **Valid**, **Error**, **Source** as [`Self::moisture_ratio`]. Use a step's
    /// two ends: the rate itself is infinite at the start where n is below 1.
    /// **Checked** unit tests of this file: sums to the mass lost.
    ///
    /// ```
    /// use crop::drying::{HungCrop, LEWIS_EXPONENT};
    /// let day_s = 86_400.0;
    /// let crop = HungCrop {
    ///     wet_mass_kg: 100.0, start_moisture: 0.78, end_moisture: 0.12,
    ///     equilibrium_moisture: 0.10, drying_time_s: 10.0 * day_s, page_exponent: LEWIS_EXPONENT,
    /// };
    /// let lost = crop.water_given_off_kg(0.0, 10.0 * day_s);
    /// assert!((lost - 75.0).abs() < 1e-9); // 100 kg at 78 % → 25 kg at 12 %
    /// ```
    pub fn water_given_off_kg(&self, from_s: f64, to_s: f64) -> f64 {
        self.free_water_kg() * (self.moisture_ratio(from_s) - self.moisture_ratio(to_s))
    }

    /// Largest mean rate over any stretch of this length \[kg/s\].
    ///
    /// ```text
    /// n ≤ 1: the first stretch;   n > 1: the stretch about the steepest point
    /// ```
    ///
    /// - `stretch_s`: length of the stretch \[s\], above zero
    ///
    /// **Valid** as [`Self::moisture_ratio`]. For n above 1 the stretch is sought
    /// on a grid of 1/400 of the drying time.
    /// **Error** of the form; early hours decide the size of a drying room.
    /// **Source** as [`Self::moisture_ratio`].
    /// **Checked** unit tests of this file.
    pub fn peak_rate_kg_per_s(&self, stretch_s: f64) -> f64 {
        let rate = |from_s: f64| self.water_given_off_kg(from_s, from_s + stretch_s) / stretch_s;
        if self.page_exponent <= 1.0 {
            return rate(0.0);
        }
        (0..400)
            .map(|i| rate(f64::from(i) / 400.0 * self.drying_time_s))
            .fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DAY_S: f64 = 86_400.0;

    fn hung(page_exponent: f64) -> HungCrop {
        HungCrop {
            wet_mass_kg: 100.0,
            start_moisture: 0.78,
            end_moisture: 0.12,
            equilibrium_moisture: 0.09,
            drying_time_s: 10.0 * DAY_S,
            page_exponent,
        }
    }

    #[test]
    fn the_curve_goes_through_the_survey() {
        for n in [0.7, 1.0, 1.3] {
            let crop = hung(n);
            assert_eq!(crop.moisture_ratio(0.0), 1.0);
            assert!((crop.moisture_ratio(10.0 * DAY_S) - crop.end_ratio()).abs() < 1e-12);
            // 22 kg dry matter at 12 % moisture weighs 25 kg.
            assert!((crop.water_given_off_kg(0.0, 10.0 * DAY_S) - 75.0).abs() < 1e-9);
        }
    }

    #[test]
    fn the_rate_constant_gives_the_same_curve() {
        for n in [0.7, 1.0, 1.3] {
            let crop = hung(n);
            let t_s = 3.0 * DAY_S;
            let from_k = (-crop.rate_constant() * t_s.powf(n)).exp();
            assert!((crop.moisture_ratio(t_s) - from_k).abs() < 1e-12);
        }
    }

    #[test]
    fn steps_sum_to_the_whole() {
        let crop = hung(0.8);
        let sum: f64 = (0..240)
            .map(|h| crop.water_given_off_kg(f64::from(h) * 3600.0, f64::from(h + 1) * 3600.0))
            .sum();
        assert!((sum - 75.0).abs() < 1e-9);
    }

    #[test]
    fn the_first_day_is_the_wettest_and_a_smaller_exponent_makes_it_wetter() {
        let (lewis, page) = (hung(1.0), hung(0.7));
        let day = |c: &HungCrop, d: f64| c.water_given_off_kg(d * DAY_S, (d + 1.0) * DAY_S);
        assert!(day(&lewis, 0.0) > day(&lewis, 1.0) && day(&lewis, 1.0) > day(&lewis, 5.0));
        assert!(day(&page, 0.0) > day(&lewis, 0.0));
        assert!((lewis.peak_rate_kg_per_s(DAY_S) * DAY_S - day(&lewis, 0.0)).abs() < 1e-9);
        assert!(hung(1.5).peak_rate_kg_per_s(DAY_S) > day(&hung(1.5), 0.0) / DAY_S);
    }

    #[test]
    fn drier_air_dries_faster_up_to_a_limit() {
        assert_eq!(humidity_factor(640.0, 640.0), 1.0);
        assert_eq!(humidity_factor(320.0, 640.0), 0.5);
        assert_eq!(humidity_factor(-10.0, 640.0), 0.0);
        assert_eq!(humidity_factor(5000.0, 640.0), MOST_QUICKENING);
    }

    #[test]
    fn dry_basis() {
        assert_eq!(dry_basis_moisture(0.0), 0.0);
        assert_eq!(dry_basis_moisture(0.5), 1.0);
    }
}
