//! A unit blows at the humidity sensor.

use quantity::{Finding, Place, Severity, Source, Step, Text};

use super::speed;
use crate::finding::Said;
use crate::placement::scene::{JetKind, Scene};

/// Speed at the sensor that is let pass \[m/s\].
const LET_PASS_M_PER_S: f64 = 0.25;
const LIMIT: Source = Source::assumed("jets are told from room air down to about 0.25 m/s");

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let jets = scene.units.iter().map(|u| &u.jet);
    jets.filter(|j| j.kind == JetKind::Discharge)
        .map(|j| (j, scene.speed_m_per_s(j, scene.fixed.sensor_m)))
        .filter(|(_, found)| LET_PASS_M_PER_S < *found)
        .map(|(jet, found)| {
            Said {
                check: "discharge_on_sensor",
                severity: Severity::Fix,
                step: Step::Placement,
                place: Place::new("sensor"),
                what: Text::from(format!("{} blows at the sensor with ", jet.from)).value(speed(found)),
                why: "the sensor reads the unit's own dry air: units stop too early, and short-cycle",
                remedy: "move the sensor, or turn the unit".into(),
                source: LIMIT,
            }
            .compared(speed(found), speed(LET_PASS_M_PER_S))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::rig::{hung, passes_and_fails};
    use super::*;

    #[test]
    fn the_sensor_hangs_beside_the_jet() {
        let with = |z: f64| {
            hung("D1", [2.0, 4.0, 3.3])
                + &format!("[control]\nsensor_at = [\"6.5842 m\", \"4 m\", \"{z} m\"]\n")
        };
        // 4 m on: 1.4298 m/s, half-width 0.4 m; 0.25 m/s at 1.586 of it: 0.635 m.
        let f = passes_and_fails(check, &with(2.65), &with(2.68));
        assert_eq!(f.severity, Severity::Fix);
    }
}
