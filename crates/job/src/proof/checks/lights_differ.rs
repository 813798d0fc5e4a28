//! The lights burn at other hours than the room file says.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use super::super::LightsFrom;
use super::{Proof, time};
use crate::finding::Said;

/// Clocks this far apart are no matter \[s\].
const NO_MATTER_S: f64 = 1200.0;

pub(super) fn check(room: &Room, proof: &Proof) -> Vec<Finding> {
    let Some(light) = &room.light else {
        return Vec::new();
    };
    if proof.lit.from != LightsFrom::Log {
        return Vec::new();
    }
    let off_s = f64::from(light.on_s.value) + light.photoperiod_s.value;
    [
        ("come on", &proof.lit.came_on, f64::from(light.on_s.value)),
        ("go out", &proof.lit.went_out, off_s.rem_euclid(86_400.0)),
    ]
    .into_iter()
    .filter_map(|(what, at, by_file_s)| {
        let mut apart: Vec<f64> = at
            .iter()
            .map(|&i| (f64::from(proof.series.second[i]) - by_file_s + 43_200.0).rem_euclid(86_400.0) - 43_200.0)
            .collect();
        apart.sort_by(f64::total_cmp);
        let usual = *apart.get(apart.len() / 2)?;
        (NO_MATTER_S < usual.abs()).then(|| {
            let side = if usual < 0.0 { "earlier" } else { "later" };
            Said {
                check: "lights_differ",
                severity: Severity::Note,
                step: Step::Proof,
                place: Place::new("lights"),
                what: Text::from(format!("they {what} "))
                    .value(time(usual.abs()))
                    .words(format!(" {side} than the room file says")),
                why: "By one hour it is a clock that was not put forward or back; the periods judged here follow the light seen.",
                remedy: "Set the clocks of lights, logger and room file alike; tell the zone of the log's clock when it is read.".into(),
                source: Source::common_practice("clocks within a quarter of an hour or so"),
            }
            .compared(time(usual.abs()), time(NO_MATTER_S))
        })
    })
    .collect()
}
