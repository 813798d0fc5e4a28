//! Sensible and latent parts of a coil's total, by one bypass factor.

use air::{MoistAir, enthalpy_j_per_kg};
use thiserror::Error;

use crate::cooling::output::saturated_at_enthalpy;

/// A total split in two.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Split {
    /// Sensible part of the total, gross \[W\].
    pub sensible_w: f64,
    /// Apparatus dew point \[°C\].
    pub adp_c: f64,
}

/// Sensible part of a coil's total capacity.
///
/// ```text
/// h_2 = h_1 − Q/m;   h_adp = h_1 − (h_1 − h_2)/(1 − BF)
/// ADP saturated at h_adp;   SHR = [h(T_1, W_adp) − h_adp] / (h_1 − h_adp), 1 if W_adp ≥ W_1
/// ```
///
/// - `entering`: air that enters the coil
/// - `total_w`: gross total capacity \[W\]
/// - `dry_air_kg_per_s`: dry air through the coil
/// - `bypass_factor`: 0 to 1
///
/// `None` where no saturated air has the enthalpy asked for (far too little air).
///
/// **Valid** coil −40 °C to the entering dry bulb.
/// **Error** with the bypass factor of the rating point, 0.8 % rms and 1.7 % at
/// most against a published map of 96 wet points.
/// **Source** bypass-factor method, ASHRAE Handbook (recalled), in enthalpy.
/// **Checked** `tests/published/coil_split.rs`.
pub fn split_by_bypass(
    entering: &MoistAir,
    total_w: f64,
    dry_air_kg_per_s: f64,
    bypass_factor: f64,
) -> Option<Split> {
    let h_1 = entering.enthalpy_j_per_kg();
    let t_1 = entering.dry_bulb_c();
    if total_w <= 0.0 {
        return Some(Split {
            sensible_w: 0.0,
            adp_c: t_1,
        });
    }
    let h_adp = h_1 - total_w / (dry_air_kg_per_s * (1.0 - bypass_factor));
    let adp = saturated_at_enthalpy(h_adp, entering.pressure_pa(), t_1)?;
    let share = if adp.humidity_ratio() >= entering.humidity_ratio() {
        1.0
    } else {
        (enthalpy_j_per_kg(t_1, adp.humidity_ratio()) - h_adp) / (h_1 - h_adp)
    };
    Some(Split {
        sensible_w: share * total_w,
        adp_c: if share < 1.0 {
            adp.dry_bulb_c()
        } else {
            air::dry_bulb_from_enthalpy_c(h_adp, entering.humidity_ratio())
        },
    })
}

/// Why a rating has no bypass factor.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum BypassError {
    /// Sensible share not between 0 and 1.
    #[error("a rated sensible share of {share:.3} is not between 0 and 1")]
    Share {
        /// Sensible over total.
        share: f64,
    },
    /// The coil would have to be warmer than any that brings the total down.
    #[error(
        "no bypass factor between 0 and 0.9 gives a sensible share of {share:.3} at the rated air: to take that much heat from so little air the coil must be colder, and then it takes more water; give more air flow, or a lower apparatus dew point (a lower sensible share)"
    )]
    TooDry {
        /// Sensible over total.
        share: f64,
    },
    /// The coil would have to be colder than any that does no more.
    #[error(
        "no bypass factor between 0 and 0.9 gives a sensible share of {share:.3} at the rated air: with so much air the coil is too warm to take that much water; give less air flow, or a higher apparatus dew point (a higher sensible share)"
    )]
    TooWet {
        /// Sensible over total.
        share: f64,
    },
}

/// A cooling rating.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoilRating {
    /// Air that enters the coil.
    pub entering: MoistAir,
    /// Gross total capacity \[W\].
    pub total_w: f64,
    /// Gross sensible capacity \[W\].
    pub sensible_w: f64,
    /// Dry air through the coil \[kg/s\].
    pub dry_air_kg_per_s: f64,
}

/// Bypass factor that splits a rating as rated.
///
/// **Valid** wet ratings. **Source** inverse of [`split_by_bypass`].
/// **Checked** `tests/published/coil_split.rs`: 0.0881 for the published
/// machine.
///
/// # Errors
/// [`BypassError`] when the rated sensible share fits no coil.
pub fn bypass_factor_from_rating(r: &CoilRating) -> Result<f64, BypassError> {
    let share = r.sensible_w / r.total_w;
    if !(share > 0.0 && share < 1.0) {
        return Err(BypassError::Share { share });
    }
    let excess = |bf: f64| {
        split_by_bypass(&r.entering, r.total_w, r.dry_air_kg_per_s, bf)
            .map(|s| s.sensible_w - r.sensible_w)
    };
    // A higher bypass factor needs a colder coil, so the sensible part falls.
    let (mut low, mut high) = (0.0, 0.9);
    if excess(low).is_none_or(|e| e < 0.0) {
        return Err(BypassError::TooDry { share });
    }
    if excess(high).is_some_and(|e| e > 0.0) {
        return Err(BypassError::TooWet { share });
    }
    for _ in 0..60 {
        let mid = 0.5 * (low + high);
        if excess(mid).is_some_and(|e| e > 0.0) {
            low = mid;
        } else {
            high = mid;
        }
    }
    Ok(0.5 * (low + high))
}
