//! Thermodynamic wet bulb over water and over ice.

use crate::enthalpy::{ice_enthalpy_j_per_kg, vapour_enthalpy_j_per_kg, water_enthalpy_j_per_kg};
use crate::humidity::WATER_TO_AIR_MOLAR_MASS;
use crate::saturation::{LOWEST_C, saturation_pressure_and_slope};
use crate::solve::rising_root;

/// Humidity ratio of air with this dry bulb and wet bulb \[kg water/kg dry air\].
///
/// ```text
/// W = [(h_g(t*) − h_l(t*)) · W_s(t*) − 1006 · (t − t*)] / (h_g(t) − h_l(t*))
/// h_g = 2 501 000 + 1860·t,  h_l = 4186·t* (t* ≥ 0 °C) or −329 000 + 2100·t* (t* < 0 °C)
/// ```
///
/// - `t_c`: dry bulb \[°C\]
/// - `wet_bulb_c`: wet bulb t* \[°C\]
/// - `p_pa`: barometric pressure \[Pa\]
///
/// **Valid** −100 °C ≤ t* ≤ t, below boiling. Negative where no air of this
/// dry bulb has so low a wet bulb.
/// **Error** 0.02 K in wet bulb against real-gas values, 10 to 40 °C.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 33 (water) and 35 (ice).
/// **Checked** `tests/cross/psychrometric_states.csv`.
#[inline]
pub fn humidity_ratio_from_wet_bulb(t_c: f64, wet_bulb_c: f64, p_pa: f64) -> f64 {
    humidity_ratio_and_slope(t_c, wet_bulb_c, p_pa, Bulb::at(wet_bulb_c)).0
}

/// Wet bulb of air \[°C\].
///
/// Newton's method inside a bracket on eq. 33, or on eq. 35 where the bulb is
/// frozen, to 1e-10 K. Between the two lies a band of air states (about 0.5 K
/// of wet bulb, dry bulb 0 to 10 °C) for which both equations hold: the bulb
/// may be wet above 0 °C or frozen below. The liquid bulb is reported there.
///
/// - `t_c`: dry bulb \[°C\]
/// - `humidity_ratio`: \[kg water/kg dry air\]
/// - `p_pa`: barometric pressure \[Pa\]
///
/// **Valid** −60 to 95 °C, unsaturated air. Supersaturated air gives its dry bulb.
/// **Error** 0.02 K against real-gas values, 10 to 40 °C.
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 33 and 35, solved here.
/// **Checked** `tests/cross/psychrometric_states.csv`, round trips in `tests/properties.rs`.
///
/// ```
/// let wet_c = air::wet_bulb_c(24.0, 0.011192, 101_325.0);
/// assert!((wet_c - 18.60).abs() < 0.01);
/// ```
#[inline]
pub fn wet_bulb_c(t_c: f64, humidity_ratio: f64, p_pa: f64) -> f64 {
    let liquid = 0.0 <= t_c && humidity_ratio_from_wet_bulb(t_c, 0.0, p_pa) <= humidity_ratio;
    let (bulb, bracket) = if liquid {
        (Bulb::Liquid, (0.0, t_c))
    } else {
        (Bulb::Frozen, (LOWEST_C, t_c.min(0.0)))
    };
    // W(t*) bends upwards, so that Newton from the warm end never overshoots.
    rising_root(bracket, bracket.1, |wet_bulb_c| {
        let (w, slope) = humidity_ratio_and_slope(t_c, wet_bulb_c, p_pa, bulb);
        (w - humidity_ratio, slope)
    })
}

/// What wets the bulb.
#[derive(Clone, Copy)]
pub(crate) enum Bulb {
    Liquid,
    Frozen,
}

impl Bulb {
    /// Liquid from 0 °C up.
    #[inline]
    pub(crate) fn at(wet_bulb_c: f64) -> Self {
        if 0.0 <= wet_bulb_c {
            Self::Liquid
        } else {
            Self::Frozen
        }
    }

    /// Enthalpy of what wets the bulb, and its slope \[J/kg, J/(kg K)\].
    #[inline]
    fn enthalpy(self, t_c: f64) -> (f64, f64) {
        match self {
            Self::Liquid => (water_enthalpy_j_per_kg(t_c), 4186.0),
            Self::Frozen => (ice_enthalpy_j_per_kg(t_c), 2100.0),
        }
    }
}

/// Eq. 33 or 35 and its slope with the wet bulb.
#[inline]
fn humidity_ratio_and_slope(t_c: f64, wet_bulb_c: f64, p_pa: f64, bulb: Bulb) -> (f64, f64) {
    let (p_ws_pa, p_slope) = saturation_pressure_and_slope(wet_bulb_c);
    if p_pa <= p_ws_pa {
        // Above boiling no finite amount of water saturates the air.
        return (f64::INFINITY, f64::NAN);
    }
    let w_s = WATER_TO_AIR_MOLAR_MASS * p_ws_pa / (p_pa - p_ws_pa);
    let w_s_slope = w_s * p_slope * p_pa / (p_ws_pa * (p_pa - p_ws_pa));
    let (h_l, h_l_slope) = bulb.enthalpy(wet_bulb_c);
    let latent = vapour_enthalpy_j_per_kg(wet_bulb_c) - h_l;
    let latent_slope = 1860.0 - h_l_slope;
    let below = vapour_enthalpy_j_per_kg(t_c) - h_l;
    let w = (latent * w_s - 1006.0 * (t_c - wet_bulb_c)) / below;
    let slope = (latent * w_s_slope + latent_slope * w_s + 1006.0 + w * h_l_slope) / below;
    (w, slope)
}
