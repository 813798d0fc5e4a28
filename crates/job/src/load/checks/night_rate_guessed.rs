//! The night rate rests on the published spread alone.
//!
//! It is the least known number of the job and lights-off is the moment that
//! decides most rooms, so the report says when nobody measured.

use quantity::{Dim, Finding, Place, Severity, Step, Text, Value};
use room::{Period, Room};

use super::super::LoadSource;
use crate::finding::{Said, when};
use crate::load::Load;

/// High over low rate beyond which the spread is worth an errand.
///
/// **Assumed**: a factor of two changes the number of units in most rooms.
const WIDE: f64 = 2.0;

pub(super) fn check(room: &Room, load: &Load) -> Vec<Finding> {
    let (Some(crop), Some(off)) = (&room.crop, load.period(Period::LightsOff)) else {
        return Vec::new();
    };
    let Some(canopy) = off
        .mean
        .sources
        .iter()
        .find(|s| s.source == LoadSource::Canopy)
        .map(|s| s.water_kg_per_s)
    else {
        return Vec::new();
    };
    if canopy.low <= 0.0 || canopy.high < WIDE * canopy.low {
        return Vec::new();
    }
    let value = |w: f64| Value::new(w, Dim::WaterRate).digits(2);
    vec![
        Said {
            check: "night_rate_guessed",
            severity: Severity::Note,
            step: Step::Load,
            place: Place::new("canopy"),
            what: Text::from(when(room, Period::LightsOff))
                .words(" the canopy gives off ")
                .value(value(canopy.low))
                .words(" to ")
                .value(value(canopy.high))
                .words(", by published leaf resistances alone"),
            why: "few crops were ever measured in the dark, and lights-off decides the number of units",
            remedy: "catch one night's condensate, or weigh a few plants at lights-off and at lights-on; enter night_resistance or a narrower water_fed".into(),
            source: crop.night_resistance_s_per_m.source(),
        }
        .compared(value(canopy.high), value(canopy.low)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};
    use quantity::Band;

    #[test]
    fn a_factor_of_two_is_wide() {
        let with = |factor: f64| {
            let mut load = steps().load.clone();
            let off = load
                .periods
                .iter_mut()
                .find(|p| p.period == Period::LightsOff);
            let mut sources = off.unwrap().mean.sources.iter_mut();
            let canopy = sources.find(|s| s.source == LoadSource::Canopy).unwrap();
            canopy.water_kg_per_s = Band::new(1e-4, 1.5e-4, 1e-4 * factor);
            check(&steps().room, &load)
        };
        assert!(with(1.99).is_empty());
        let (finding, measured, limit) = one(with(2.0));
        assert_eq!(finding.severity, Severity::Note);
        assert_eq!((measured, limit), (2e-4, 1e-4));
    }
}
