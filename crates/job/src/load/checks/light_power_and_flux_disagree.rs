//! More light at the canopy than the lamps' power can give.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::load::Load;

/// Best photon efficacy that a luminaire can have \[µmol/J\]: deep red light
/// carries 0.18 J/µmol, so that 5.5 µmol/J would be all of its power.
const NO_LAMP_REACHES: f64 = 5.5;

pub(super) fn check(room: &Room, _load: &Load) -> Vec<Finding> {
    let (Some(light), Some(crop)) = (&room.light, &room.crop) else {
        return Vec::new();
    };
    if light.power_w.value <= 0.0 {
        return Vec::new();
    }
    let needed = light.ppfd_umol_per_m2_s.value * crop.canopy_m2.value / light.power_w.value;
    let efficacy = light.efficacy_umol_per_j.value;
    if needed <= efficacy {
        return Vec::new();
    }
    let value = |x: f64| Value::new(x, Dim::PhotonEfficacy);
    let severity = if NO_LAMP_REACHES < needed {
        Severity::Fix
    } else {
        Severity::Note
    };
    vec![
        Said {
            check: "light_power_and_flux_disagree",
            severity,
            step: Step::Survey,
            place: Place::new("lights"),
            what: Text::from("light at the canopy over light power is ")
                .value(value(needed))
                .words("; lamps of ")
                .value(value(efficacy))
                .words(" were taken, and some of their light misses the canopy"),
            why: "light at the canopy drives the crop's water, light power drives the heat: both must be of this room",
            remedy: "measure light at canopy height at nine places, and read the lamps' plates".into(),
            source: Source::published("conservation of energy: photons at the canopy cannot outnumber photons made", ""),
        }
        .compared(value(needed), value(efficacy)),
    ]
}
