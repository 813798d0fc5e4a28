//! A cold supply blows at the humidity sensor.

use quantity::{Finding, Place, Severity, Source, Step, Text};

use super::speed;
use crate::finding::Said;
use crate::placement::scene::{JetKind, Scene};

/// Speed at the sensor that is let pass \[m/s\].
const LET_PASS_M_PER_S: f64 = 0.25;
const LIMIT: Source = Source::assumed("jets are told from room air down to about 0.25 m/s");

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let jets = scene.fixed.jets.iter();
    jets.filter(|j| j.kind == JetKind::Supply)
        .map(|j| (j, scene.speed_m_per_s(j, scene.fixed.sensor_m)))
        .filter(|(_, found)| LET_PASS_M_PER_S < *found)
        .map(|(jet, found)| {
            Said {
                check: "supply_on_sensor",
                severity: Severity::Fix,
                step: Step::Placement,
                place: Place::new("sensor"),
                what: Text::from(format!("{} blows at the sensor with ", jet.from))
                    .value(speed(found)),
                why: "cold air reads as more humid than the crop's",
                remedy: "move the sensor out of the supply".into(),
                source: LIMIT,
            }
            .compared(speed(found), speed(LET_PASS_M_PER_S))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::rig::passes_and_fails;
    use super::*;

    #[test]
    fn the_sensor_hangs_beside_the_supply() {
        let with = |z: f64| {
            format!(
                "[[cooling]]\nname = \"AC\"\ncapacity = \"5 ton\"\nsensible_share = \"75 %\"\n[[supply]]\nat = [\"0 m\", \"4 m\", \"3 m\"]\nblows = \"+x\"\nwidth = \"0.5 m\"\nheight = \"0.18 m\"\nair_flow = \"0.45 m3/s\"\n[control]\nsensor_at = [\"5 m\", \"4 m\", \"{z} m\"]\n"
            )
        };
        // CHK-6.1: 1.695 m/s at 5 m; 0.25 m/s lies 0.831 m beside the axis.
        let f = passes_and_fails(check, &with(2.16), &with(2.18));
        assert_eq!(f.severity, Severity::Fix);
    }
}
