//! Less lamp power than any crop grows by: a figure of one lamp, or a unit,
//! was taken for that of the room.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::load::Load;

/// Least light that crops are grown by \[µmol/(m² s)\] over the best efficacy
/// that a lamp can have, 5.5 µmol/J \[W/m²\].
///
/// 50 µmol/(m² s): common practice, no published source.
const LEAST_W_PER_M2: f64 = 50.0 / 5.5;

pub(super) fn check(room: &Room, _load: &Load) -> Vec<Finding> {
    let (Some(light), Some(crop)) = (&room.light, &room.crop) else {
        return Vec::new();
    };
    let lit = 0.0 < light.power_w.value && 0.0 < light.photoperiod_s.value;
    let per_m2 = light.power_w.value / crop.canopy_m2.value;
    if !lit || LEAST_W_PER_M2 <= per_m2 {
        return Vec::new();
    }
    let value = |x: f64| Value::new(x, Dim::HeatFlux).digits(2);
    vec![
        Said {
            check: "light_too_weak",
            severity: Severity::Fix,
            step: Step::Survey,
            place: Place::new("lights"),
            what: Text::from("lamps of ")
                .value(Value::new(light.power_w.value, Dim::Power))
                .words(" over a canopy of ")
                .value(Value::new(crop.canopy_m2.value, Dim::Area))
                .words(" are ")
                .value(value(per_m2))
                .words("; no crop is grown by less than ")
                .value(value(LEAST_W_PER_M2)),
            why: "light drives the crop's water and the cooling: every figure after it is off by as much",
            remedy: "read the plates of all lamps together, and the canopy's area; enter light.power and crop.canopy again".into(),
            source: Source::common_practice("least light of a crop, over the best efficacy of a lamp"),
        }
        .compared(value(per_m2), value(LEAST_W_PER_M2)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};

    #[test]
    fn just_enough_passes_and_just_less_is_told() {
        let with = |w_per_m2: f64| {
            let mut room = steps().room.clone();
            let canopy_m2 = room.crop.as_ref().unwrap().canopy_m2.value;
            room.light.as_mut().unwrap().power_w.value = w_per_m2 * canopy_m2;
            check(&room, &steps().load)
        };
        assert!(with(1.001 * LEAST_W_PER_M2).is_empty());
        let (finding, _, limit) = one(with(0.999 * LEAST_W_PER_M2));
        assert_eq!(finding.severity, Severity::Fix);
        assert!((limit - LEAST_W_PER_M2).abs() < 1e-12);
        // A room whose lamps are off has none to be judged.
        assert!(with(0.0).is_empty());
    }
}
