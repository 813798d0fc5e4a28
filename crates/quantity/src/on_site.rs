//! The unit in which somebody on site writes a reading down.

use crate::face::face;
use crate::print::{IN_TEXT, rounded};
use crate::units::shown_as;
use crate::{Dim, UnitSystem, Value};

/// Lengths up to here are read off a steel rule \[m\].
const RULE_M: f64 = 3.0;
/// Times up to here are stopped in seconds, and up to there looked up in
/// minutes \[s\].
const STOPPED_S: f64 = 1_800.0;
const LOOKED_UP_S: f64 = 86_400.0;
/// Water up to here is measured in a cup, up to there in a jug, beyond it in a
/// bucket \[kg\].
const CUP_KG: f64 = 2.0;
const JUG_KG: f64 = 10.0;
/// Pressures from here on are read off a barometer \[Pa\].
const BAROMETER_PA: f64 = 1e4;

impl Dim {
    /// The unit of a bare number that is read on site: that of the instrument
    /// that reaches so far. It stands beside the field, and what is typed
    /// without a unit is in it.
    ///
    /// - `most`: the greatest number that is likely, in SI
    ///
    /// ```
    /// use quantity::{Dim, UnitSystem::*};
    /// assert_eq!(Dim::Length.unit_on_site(0.3, Us), "in");
    /// assert_eq!(Dim::Length.unit_on_site(0.3, Metric), "mm");
    /// assert_eq!(Dim::Duration.unit_on_site(600.0, Us), "s");
    /// assert_eq!(Dim::Current.unit_on_site(20.0, Us), "A");
    /// assert_eq!(Dim::Pressure.unit_on_site(500.0, Metric), "Pa");
    /// assert_eq!(Dim::Pressure.unit_on_site(105e3, Metric), "kPa");
    /// ```
    pub fn unit_on_site(self, most: f64, system: UnitSystem) -> &'static str {
        match (self, system) {
            (Self::Length, UnitSystem::Metric) if most <= RULE_M => "mm",
            (Self::Length, UnitSystem::Us) if most <= RULE_M => "in",
            (Self::Duration, _) if most <= STOPPED_S => "s",
            (Self::Duration, _) if most <= LOOKED_UP_S => "min",
            (Self::Water, UnitSystem::Metric) if most <= CUP_KG => "mL",
            (Self::Water, UnitSystem::Us) if most <= CUP_KG => "fl oz",
            (Self::Water, UnitSystem::Us) if most <= JUG_KG => "pt",
            (Self::Pressure, UnitSystem::Metric) if BAROMETER_PA <= most => "kPa",
            (Self::Pressure, UnitSystem::Us) if BAROMETER_PA <= most => "in Hg",
            _ => face(self).side(system).head,
        }
    }
}

impl Value {
    /// A reading in the unit that it is taken in on site, [`Dim::unit_on_site`];
    /// US lengths as in [`Value::show`].
    ///
    /// ```
    /// use quantity::{Dim, UnitSystem::*, Value};
    /// let drop = Value::new(0.1143, Dim::Length);
    /// assert_eq!(drop.show_on_site(0.3, Metric), "114 mm");
    /// assert_eq!(drop.show_on_site(0.3, Us), "4 1/2 in");
    /// ```
    pub fn show_on_site(self, most: f64, system: UnitSystem) -> String {
        let feet_and_inches = self.dim == Dim::Length && system == UnitSystem::Us;
        match shown_as(self.dim, self.dim.unit_on_site(most, system)) {
            Some(unit) if !feet_and_inches && self.si.is_finite() => {
                let number = rounded(unit.number(self.si), self, IN_TEXT);
                format!("{number} {}", unit.shown)
            }
            _ => self.show(system),
        }
    }
}

/// Whether a number that was typed has its unit beside it.
///
/// ```
/// assert!(quantity::names_unit("0.80 gal") && quantity::names_unit("55 %"));
/// assert!(!quantity::names_unit("1 7/8") && !quantity::names_unit("-2.5"));
/// ```
pub fn names_unit(typed: &str) -> bool {
    typed.chars().any(char::is_alphabetic) || typed.contains(['%', '°', '"', '\''])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read;

    #[test]
    fn what_stands_beside_a_field_can_be_typed() {
        for dim in Dim::ALL {
            for system in [UnitSystem::Metric, UnitSystem::Us] {
                for most in [0.01, 1.0, 100.0, 1e4, 1e6] {
                    let unit = dim.unit_on_site(most, system);
                    let typed = format!("2 {unit}");
                    assert!(read(typed.trim(), dim).is_ok(), "{dim:?} {typed}");
                }
            }
        }
    }
}
