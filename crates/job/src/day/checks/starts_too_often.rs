//! A unit starts too often.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::day::Day;
use crate::finding::Said;

/// Most starts of a compressor in an hour.
const MOST_STARTS: u32 = 6;

pub(super) fn check(_room: &Room, day: &Day) -> Vec<Finding> {
    let starts = day.judged.most_starts_per_hour;
    if starts <= MOST_STARTS {
        return Vec::new();
    }
    let value = |n: u32| Value::new(f64::from(n), Dim::Count);
    vec![
        Said {
            check: "starts_too_often",
            severity: Severity::Fix,
            step: Step::Day,
            place: Place::new("units"),
            what: Text::from(format!("a unit starts {starts} times in an hour")),
            why: "short runs wear the compressor, and the water on the coil goes back to the air",
            remedy: "widen the deadband, lengthen the shortest rest, or stage the units one after the other".into(),
            source: Source::common_practice("at most six starts of a compressor an hour"),
        }
        .compared(value(starts), value(MOST_STARTS)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};

    #[test]
    fn six_starts_an_hour_are_let_pass() {
        let with = |starts: u32| {
            let mut day = steps().day.clone();
            day.judged.most_starts_per_hour = starts;
            check(&steps().room, &day)
        };
        assert!(with(6).is_empty());
        let (finding, measured, limit) = one(with(7));
        assert_eq!(finding.severity, Severity::Fix);
        assert_eq!((measured, limit), (7.0, 6.0));
    }
}
