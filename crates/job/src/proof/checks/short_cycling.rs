//! A unit starts too often, or the humidity turns as if one did.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::{Proof, time};
use crate::finding::Said;

/// Most starts of a compressor in an hour.
const MOST_STARTS: usize = 6;

const SOURCE: Source = Source::common_practice("at most six starts of a compressor an hour");
const WHY: &str = "Each start wears the compressor, and a coil that has just become wet dries into the room again.";

pub(super) fn check(room: &Room, proof: &Proof) -> Vec<Finding> {
    let count = |n: f64| Value::new(n, Dim::Count);
    let mut found: Vec<Finding> = proof
        .units
        .iter()
        .filter(|u| u.channel.is_some() && MOST_STARTS < u.most_starts_per_hour)
        .map(|unit| {
            let mut what = Text::from(format!("{} starts in one hour", unit.most_starts_per_hour));
            if let Some(s) = unit.usual_run_s {
                what = what.words("; a usual run lasts ").value(time(s));
            }
            Said {
                check: "short_cycling",
                severity: Severity::Fix,
                step: Step::Proof,
                place: Place::new(format!("unit {}", unit.tag)),
                what,
                why: WHY,
                remedy: Text::from("Widen the deadband (")
                    .value(Value::new(room.control.deadband.value, Dim::RelHumidityDifference))
                    .words(" now), move the sensor out of discharge air, stage the units, or take one out."),
                source: SOURCE,
            }
            .compared(count(unit.most_starts_per_hour as f64), count(MOST_STARTS as f64))
        })
        .collect();
    // Two turns make a cycle.
    let cycles_per_h = proof.turns_per_s * 3600.0 / 2.0;
    let none_logged = proof.units.iter().all(|u| u.channel.is_none());
    if none_logged && MOST_STARTS as f64 <= cycles_per_h {
        found.push(
            Said {
                check: "short_cycling",
                severity: Severity::Note,
                step: Step::Proof,
                place: Place::new("room"),
                what: Text::from("the humidity turns up and down ")
                    .value(count(cycles_per_h).digits(2))
                    .words(" times an hour, as where units cycle"),
                why: WHY,
                remedy: "Log the power of each unit for a day to see which one it is.".into(),
                source: SOURCE,
            }
            .compared(count(cycles_per_h).digits(2), count(MOST_STARTS as f64)),
        );
    }
    found
}
