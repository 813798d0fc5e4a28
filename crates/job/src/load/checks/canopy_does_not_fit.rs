//! More canopy than tiers over the whole floor could carry.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::load::Load;

/// Least height of a tier with its crop, lamps and air \[m\].
///
/// Common practice, no published source.
const TIER_M: f64 = 0.4;

pub(super) fn check(room: &Room, _load: &Load) -> Vec<Finding> {
    let Some(crop) = &room.crop else {
        return Vec::new();
    };
    let tiers = (room.volume_m3() / room.geometry.floor_m2() / TIER_M)
        .floor()
        .max(1.0);
    let (canopy_m2, most_m2) = (crop.canopy_m2.value, tiers * room.geometry.floor_m2());
    if canopy_m2 <= most_m2 {
        return Vec::new();
    }
    let value = |x: f64| Value::new(x, Dim::Area);
    vec![
        Said {
            check: "canopy_does_not_fit",
            severity: Severity::Fix,
            step: Step::Survey,
            place: Place::new("canopy"),
            what: Text::from("a canopy of ")
                .value(value(canopy_m2))
                .words(" over a floor of ")
                .value(value(room.geometry.floor_m2()))
                .words(format!(
                    ": even {tiers:.0} tiers, wall to wall, would carry only "
                ))
                .value(value(most_m2)),
            why: "the crop's water goes with its canopy: the load is too large by as much",
            remedy:
                "measure the beds, all tiers together without aisles, and enter crop.canopy again"
                    .into(),
            source: Source::common_practice("height of a tier"),
        }
        .compared(value(canopy_m2), value(most_m2)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};

    #[test]
    fn a_canopy_that_just_fits_passes() {
        let with = |share: f64| {
            let mut room = steps().room.clone();
            let height_m = room.volume_m3() / room.geometry.floor_m2();
            let most_m2 = (height_m / TIER_M).floor() * room.geometry.floor_m2();
            room.crop.as_mut().unwrap().canopy_m2.value = share * most_m2;
            check(&room, &steps().load)
        };
        assert!(with(0.999).is_empty());
        let (finding, measured, limit) = one(with(1.001));
        assert_eq!(finding.severity, Severity::Fix);
        assert!((measured / limit - 1.001).abs() < 1e-9);
    }
}
