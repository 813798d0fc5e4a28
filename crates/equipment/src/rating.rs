//! Ratings and the standard air that they were taken at.

use quantity::Source;
use thiserror::Error;

use crate::curve::{CURVE_SOURCE, SET_A_ENERGY_FACTOR, SET_A_REMOVAL};

/// A standard rating condition of dehumidifiers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Standard {
    /// 80 °F and 60 %: the older condition, still the common one for large
    /// units.
    Warm,
    /// 65 °F and 60 %: portable units since 2019.
    Portable,
    /// 73 °F and 60 %: ducted, whole-home units.
    Ducted,
    /// Other air; the rated point itself says which.
    Other,
}

/// Each standard condition with the word for it in machine files.
pub const STANDARDS: [(Standard, &str); 4] = [
    (Standard::Warm, "80 °F, 60 %"),
    (Standard::Portable, "65 °F, 60 %"),
    (Standard::Ducted, "73 °F, 60 %"),
    (Standard::Other, "other"),
];

impl Standard {
    /// Dry bulb \[°C\] and relative humidity (0 to 1) of the condition.
    ///
    /// **Source** 80 °F: AHAM DH-1-2008 era, 10 CFR 430 Appendix X (second
    /// hand); 65 and 73 °F: 10 CFR 430 Appendix X1 (second hand).
    pub const fn air(self) -> Option<(f64, f64)> {
        match self {
            Self::Warm => Some((48.0 / 1.8, 0.60)),
            Self::Portable => Some((33.0 / 1.8, 0.60)),
            Self::Ducted => Some((41.0 / 1.8, 0.60)),
            Self::Other => None,
        }
    }

    /// The word for it in machine files and on paper.
    pub fn word(self) -> &'static str {
        STANDARDS
            .iter()
            .find(|(s, _)| *s == self)
            .map_or("other", |(_, w)| w)
    }

    /// What the condition rests on.
    pub const fn source(self) -> Source {
        match self {
            Self::Warm => Source::published(
                "AHAM DH-1-2008; 10 CFR 430 subpart B appendix X",
                "standard rating condition, read second hand",
            ),
            Self::Portable | Self::Ducted => Source::published(
                "10 CFR 430 subpart B appendix X1",
                "test conditions, read second hand",
            ),
            Self::Other => Source::assumed("the rated point states its own air"),
        }
    }
}

/// A rated point of a machine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rating {
    /// Condition that it was taken at.
    pub standard: Standard,
    /// Inlet dry bulb \[°C\].
    pub dry_bulb_c: f64,
    /// Inlet relative humidity, 0 to 1.
    pub rel_humidity: f64,
    /// Water removed \[kg/s\].
    pub removal_kg_per_s: f64,
    /// Power drawn \[W\].
    pub power_w: f64,
}

/// Why two ratings cannot be compared as they stand.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
#[error(
    "ratings at unlike air cannot be compared: {a_c:.1} °C and {a_rh:.0} % against {b_c:.1} °C and {b_rh:.0} %; convert one first"
)]
pub struct UnlikeConditions {
    /// Dry bulb of the first \[°C\].
    pub a_c: f64,
    /// Relative humidity of the first, percent.
    pub a_rh: f64,
    /// Dry bulb of the second \[°C\].
    pub b_c: f64,
    /// Relative humidity of the second, percent.
    pub b_rh: f64,
}

impl Rating {
    /// Water per energy \[kg/J\].
    pub const fn energy_factor_kg_per_j(&self) -> f64 {
        energy_factor_kg_per_j(self.removal_kg_per_s, self.power_w)
    }

    /// Removal of this rating over that of another, if both were taken at the
    /// same air (to 0.1 K and 0.5 %RH).
    ///
    /// # Errors
    /// [`UnlikeConditions`] otherwise: a pint at 65 °F is no pint at 80 °F.
    pub fn removal_over(&self, other: &Self) -> Result<f64, UnlikeConditions> {
        if (self.dry_bulb_c - other.dry_bulb_c).abs() > 0.1
            || (self.rel_humidity - other.rel_humidity).abs() > 0.005
        {
            return Err(UnlikeConditions {
                a_c: self.dry_bulb_c,
                a_rh: 100.0 * self.rel_humidity,
                b_c: other.dry_bulb_c,
                b_rh: 100.0 * other.rel_humidity,
            });
        }
        Ok(self.removal_kg_per_s / other.removal_kg_per_s)
    }

    /// The rating that public curve set A expects at a standard condition.
    ///
    /// ```text
    /// C_to = C f_W(to) / f_W(from);   EF_to = EF f_EF(to) / f_EF(from)
    /// ```
    ///
    /// `None` for [`Standard::Other`].
    ///
    /// **Valid** both airs inside [`crate::curve::SET_A_CLAMP`].
    /// **Error** ±10 % on removal, ±20 % on the energy factor: so far do the
    /// two public curve sets differ.
    /// **Source** method of public residential-energy workflow code, with the
    /// curves normalised (without that 1.4 % different).
    /// **Checked** `tests/cross/curves.rs`.
    pub fn converted(&self, to: Standard) -> Option<Self> {
        let (dry_bulb_c, rel_humidity) = to.air()?;
        let ratio = |curve: &crate::Biquadratic| {
            curve.at(dry_bulb_c, rel_humidity) / curve.at(self.dry_bulb_c, self.rel_humidity)
        };
        let removal_kg_per_s = self.removal_kg_per_s * ratio(&SET_A_REMOVAL);
        let energy_factor = self.energy_factor_kg_per_j() * ratio(&SET_A_ENERGY_FACTOR);
        Some(Self {
            standard: to,
            dry_bulb_c,
            rel_humidity,
            removal_kg_per_s,
            power_w: removal_kg_per_s / energy_factor,
        })
    }

    /// Where a conversion comes from.
    pub const fn conversion_source() -> Source {
        CURVE_SOURCE
    }
}

/// Water removed per electrical energy \[kg/J\].
///
/// ```text
/// EF = m_w / P
/// ```
///
/// - `removal_kg_per_s`: water removed \[kg/s\]
/// - `power_w`: power drawn while it is removed \[W\]
///
/// 0 when no power is drawn. **Source** definition; 1 L/kWh is 2.772e-7 kg/J.
pub const fn energy_factor_kg_per_j(removal_kg_per_s: f64, power_w: f64) -> f64 {
    if power_w > 0.0 {
        removal_kg_per_s / power_w
    } else {
        0.0
    }
}
