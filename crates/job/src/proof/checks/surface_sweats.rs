//! The coldest surface came to the dew point.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Temperature;
use super::{Proof, time};
use crate::finding::Said;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    let surfaces = &proof.surfaces;
    let Some((least_k, _)) = surfaces.least_margin_k.filter(|(k, _)| *k <= 0.0) else {
        return Vec::new();
    };
    let margin = |k: f64| Value::new(k, Dim::TemperatureDifference).digits(2);
    // What the weather of the log did not do is a warning, not a fact.
    let severity = match surfaces.margin_from {
        Temperature::ReckonedForWinter => Severity::Note,
        Temperature::Logged | Temperature::Reckoned => Severity::Fix,
    };
    vec![
        Said {
            check: "surface_sweats",
            severity,
            step: Step::Proof,
            place: Place::new(
                surfaces
                    .surface
                    .clone()
                    .unwrap_or_else(|| "coldest surface".into()),
            ),
            what: Text::from("at or below the dew point for ")
                .value(time(surfaces.wet_s))
                .words(format!(
                    " of the log; its temperature is {}",
                    surfaces.margin_from.words()
                )),
            why: "Water that drips from there falls on the crop, and the surface grows mould.",
            remedy: "Insulate it, warm it, or hold a lower dew point in cold weather.".into(),
            source: Source::common_practice("no surface at the dew point"),
        }
        .compared(margin(least_k), margin(0.0)),
    ]
}
