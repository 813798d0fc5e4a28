//! The humidity sensor does not hang at the height of the canopy.

use quantity::{Finding, Place, Severity, Source, Step, Text};

use super::metres;
use crate::finding::Said;
use crate::placement::scene::{Scene, ThingKind};

/// Distance from the top of the canopy that is let pass \[m\].
const LET_PASS_M: f64 = 0.3;
const CANOPY: Source = Source::published(
    "ANSI/ASABE EP411, as cited in controlled-environment reviews: sensors at canopy height, shielded and aspirated",
    "the height allowed about it is chosen here",
);

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    if scene.room.control.sensor_at_m.is_none() {
        return Vec::new();
    }
    let z = scene.fixed.sensor_m[2];
    let tops = scene.fixed.things.iter();
    let tops = tops.filter(|t| t.kind == ThingKind::Canopy);
    let nearest = tops
        .map(|t| t.cuboid.high_m[2])
        .min_by(|a, b| (a - z).abs().total_cmp(&(b - z).abs()));
    let Some(top) = nearest else {
        return Vec::new();
    };
    let off = (top - z).abs();
    if off <= LET_PASS_M + 1e-9 {
        return Vec::new();
    }
    vec![
        Said {
            check: "sensor_off_canopy",
            severity: Severity::Fix,
            step: Step::Placement,
            place: Place::new("sensor"),
            what: Text::from("the sensor hangs at ")
                .value(metres(z))
                .words(", the canopy ends at ")
                .value(metres(top)),
            why: "the crop feels other air than the sensor does",
            remedy: "hang it at the top of the canopy, aspirated, shielded from lamps".into(),
            source: CANOPY,
        }
        .compared(metres(off), metres(LET_PASS_M)),
    ]
}

#[cfg(test)]
mod tests {
    use super::super::rig::passes_and_fails;
    use super::*;

    #[test]
    fn a_foot_about_the_canopy_is_let_pass() {
        let with = |z: f64| {
            format!(
                "[[bench]]\nat = [\"5 m\", \"4 m\", \"0.8 m\"]\nlength = \"4 m\"\nwidth = \"2 m\"\ncanopy = \"1 m\"\n[control]\nsensor_at = [\"5 m\", \"6 m\", \"{z} m\"]\n"
            )
        };
        let f = passes_and_fails(check, &with(2.1), &with(2.11));
        assert_eq!(f.severity, Severity::Fix);
        passes_and_fails(check, &with(1.5), &with(1.49));
    }
}
