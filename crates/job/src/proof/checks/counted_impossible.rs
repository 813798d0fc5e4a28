//! More water was counted than units and cooling could ever take.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use readings::Measure;
use room::Room;

use super::Proof;
use crate::finding::Said;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    let Some(counted) = proof.counted.as_ref().filter(|c| c.is_impossible()) else {
        return Vec::new();
    };
    let columns: Vec<&str> = proof
        .sensors
        .iter()
        .filter(|s| matches!(s.measure, Measure::Water | Measure::WaterCounter))
        .map(|s| s.name.as_str())
        .collect();
    let water = |kg: f64| Value::new(kg, Dim::Water).digits(3);
    vec![
        Said {
            check: "counted_impossible",
            severity: Severity::Fix,
            step: Step::Proof,
            place: Place::new(columns.join(", ")),
            what: Text::from("the water counted is more than all units and all cooling could take in ")
                .value(Value::new(counted.over_s, Dim::Duration).digits(2))
                .words(", running without a rest in the moistest air of the log"),
            why: "A counter that is taken for amounts is added up at every row, and a wrong unit makes litres of millilitres. Nothing was concluded from this water.",
            remedy: "Say what the column is and its unit (\"NAME=water counter gal\", \"NAME=water mL\"), and judge the log again.".into(),
            source: Source::assumed("no record of a unit is wrong by a factor of three"),
        }
        .compared(water(counted.all_kg), water(counted.most_kg.unwrap_or(0.0))),
    ]
}
