//! Workings of the stomatal resistance.

use quantity::{Dim, Input, Value, Working};

use super::{Known, algebra};
use crate::{sources, stomata};

/// Stomatal resistance of lit leaves.
///
/// As [`stomata::lit_resistance_s_per_m`], times [`stomata::co2_factor`] where
/// CO2 is given.
///
/// - `ppfd`: photon flux density \[µmol/(m² s)\], 0 or more; `co2_ppm`: CO2, if known
///
/// **Valid**, **Source** as there.
pub fn stomatal_resistance(ppfd: Known, co2_ppm: Option<Known>) -> Working {
    let lit = stomata::lit_resistance_s_per_m(ppfd.si());
    let mut inputs = vec![ppfd.input("light at the canopy", "PPFD", Dim::PhotonFlux)];
    let (equation, r_s) = match co2_ppm {
        None => ("60 * (1500 + PPFD) / (200 + PPFD)", lit),
        Some(co2) => {
            let factor = co2_factor(co2);
            let r_s = lit * factor.result.si;
            inputs.push(Input::computed(factor));
            ("60 * (1500 + PPFD) / (200 + PPFD) * f_CO2", r_s)
        }
    };
    algebra(
        "stomatal resistance, lights on",
        "r_s",
        equation,
        inputs,
        Value::new(r_s, Dim::Resistance),
        sources::GRAAMANS_2017,
    )
}

/// Factor of carbon dioxide; below 200 ppm and at the cap it is a plain number.
fn co2_factor(co2: Known) -> Working {
    let ppm = co2.si();
    let factor = stomata::co2_factor(ppm);
    let equation = if factor >= 1.5 {
        "1.5"
    } else if ppm <= 200.0 {
        "1"
    } else {
        "1 + 0.00000061 * (CO2 - 200) ^ 2"
    };
    algebra(
        "closing of the pores by carbon dioxide (1 to 1.5)",
        "f_CO2",
        equation,
        vec![co2.input("carbon dioxide", "CO2", Dim::Co2)],
        Value::new(factor, Dim::Number),
        sources::STANGHELLINI_1987,
    )
}
