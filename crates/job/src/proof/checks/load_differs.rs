//! The room gives off another amount of water than the survey says.

use quantity::{Band, Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::Proof;
use crate::finding::Said;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    let Some(water) = &proof.water else {
        return Vec::new();
    };
    let Some(found) = water.kg_per_day else {
        return Vec::new();
    };
    let surveyed = water.surveyed_kg_per_day;
    let apart = found.high < surveyed.low || surveyed.high < found.low;
    if !apart {
        return Vec::new();
    }
    let per_day = |kg: f64| Value::new(kg / 86_400.0, Dim::WaterRate).digits(2);
    let band = |text: Text, b: Band| {
        text.value(per_day(b.low))
            .words(" to ")
            .value(per_day(b.high))
    };
    let what = band(Text::from("the room gives off "), found);
    let what = band(what.words("; as surveyed it was "), surveyed);
    vec![
        Said {
            check: "load_differs",
            severity: if surveyed.high < found.low && water.open.is_none() {
                Severity::Fix
            } else {
                Severity::Note
            },
            step: Step::Proof,
            place: Place::new("room"),
            what,
            why: "The units were chosen for the water of the survey.",
            remedy: match water.open {
                None => {
                    "Take over the proposed change of the room file and look at the selection again."
                }
                Some(_) => "Close the balance first: see the finding about it.",
            }
            .into(),
            source: Source::assumed(
                "moisture balance of the log; low and high are the 10th and 90th percentile",
            ),
        }
        .finding(),
    ]
}
