//! Water per canopy area lies outside what is plausible for the crop.

use quantity::{Dim, Finding, Place, Severity, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::load::Load;

pub(super) fn check(room: &Room, load: &Load) -> Vec<Finding> {
    let Some(crop) = &room.crop else {
        return Vec::new();
    };
    let Some(plausible) = &crop.class().plausible_kg_per_m2_day else {
        return Vec::new();
    };
    let found = load.trust.per_canopy_kg_per_m2_day;
    let band = plausible.value;
    if found.likely <= 0.0 || (band.low <= found.likely && found.likely <= band.high) {
        return Vec::new();
    }
    let flux = |kg_per_m2_day: f64| Value::new(kg_per_m2_day / 86_400.0, Dim::WaterFlux);
    let limit = if found.likely < band.low {
        band.low
    } else {
        band.high
    };
    vec![
        Said {
            check: "crop_water_implausible",
            severity: Severity::Note,
            step: Step::Load,
            place: Place::new("canopy"),
            what: Text::from("the canopy gives off ")
                .value(flux(found.likely))
                .words("; for this crop ")
                .value(flux(band.low))
                .words(" to ")
                .value(flux(band.high))
                .words(" is plausible"),
            why: "a load outside the usual band is most often a wrong area or a wrong light",
            remedy: "check canopy area, light at the canopy, photoperiod and targets; if they are right, measure water fed and runoff".into(),
            source: plausible.source(),
        }
        .compared(flux(found.likely), flux(limit)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};
    use quantity::Band;

    /// Leafy greens: 1.5 to 3.0 kg/(m² day).
    #[test]
    fn ends_of_the_crops_band_are_plausible() {
        let with = |kg_per_m2_day: f64| {
            let mut load = steps().load.clone();
            load.trust.per_canopy_kg_per_m2_day = Band::exact(kg_per_m2_day);
            check(&steps().room, &load)
        };
        for (inside, outside) in [(1.5, 1.49), (3.0, 3.01)] {
            assert!(with(inside).is_empty(), "{inside}");
            let (finding, measured, limit) = one(with(outside));
            assert_eq!(finding.severity, Severity::Note);
            assert!((measured * 86_400.0 - outside).abs() < 1e-12);
            assert!((limit * 86_400.0 - inside).abs() < 1e-12);
        }
        // Nothing grows, nothing to judge.
        assert!(with(0.0).is_empty());
    }
}
