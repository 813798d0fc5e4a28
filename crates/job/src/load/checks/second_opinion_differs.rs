//! The greenhouse model of the canopy gives a very different answer.
//!
//! It was fitted to tomato under glass, so a difference is a hint, no fault.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::{Period, Room};

use super::super::LoadSource;
use crate::finding::Said;
use crate::load::Load;

/// Ratio beyond which the two are shown against each other.
///
/// **Assumed**: twice the spread of the drawn days.
const WIDE: f64 = 2.0;

pub(super) fn check(_room: &Room, load: &Load) -> Vec<Finding> {
    let Some(second) = load.second_opinion_kg_per_s else {
        return Vec::new();
    };
    let Some(on) = load.period(Period::LightsOn) else {
        return Vec::new();
    };
    let first = on
        .mean
        .sources
        .iter()
        .find(|s| s.source == LoadSource::Canopy)
        .map_or(0.0, |s| s.water_kg_per_s.likely);
    let ratio = first / second;
    if first <= 0.0 || second <= 0.0 || (1.0 / WIDE < ratio && ratio < WIDE) {
        return Vec::new();
    }
    let value = |w: f64| Value::new(w, Dim::WaterRate);
    vec![
        Said {
            check: "second_opinion_differs",
            severity: Severity::Note,
            step: Step::Load,
            place: Place::new("canopy"),
            what: Text::from("with lights on the canopy gives off ")
                .value(value(first))
                .words(" by the model used, ")
                .value(value(second))
                .words(" by the greenhouse tomato model"),
            why: "the two agree within a factor of two for ordinary canopies; beyond it measured water is worth most",
            remedy: "measure water fed and runoff for three days".into(),
            source: Source::published(
                "Stanghellini 1987, Transpiration of greenhouse crops (thesis, Wageningen), read in transcriptions",
                "equation 3.51",
            ),
        }
        .compared(value(first), value(second)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};

    #[test]
    fn a_factor_of_two_either_way_is_wide() {
        let with = |share: f64| {
            let mut load = steps().load.clone();
            let on = load.period(Period::LightsOn).unwrap();
            let mut sources = on.mean.sources.iter();
            let canopy = sources.find(|s| s.source == LoadSource::Canopy).unwrap();
            load.second_opinion_kg_per_s = Some(canopy.water_kg_per_s.likely * share);
            check(&steps().room, &load)
        };
        for (inside, outside) in [(0.501, 0.499), (1.99, 2.01)] {
            assert!(with(inside).is_empty(), "{inside}");
            let (finding, first, second) = one(with(outside));
            assert_eq!(finding.severity, Severity::Note);
            assert!((second / first - outside).abs() < 1e-12);
        }
    }
}
