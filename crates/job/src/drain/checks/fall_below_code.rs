//! The file asks for less fall than the plumbing rules.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};

use super::Judged;
use crate::drain::LEAST_FALL as LEAST;
use crate::finding::Said;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    let fall = judged.room.piping.fall.value;
    if judged.drain.runs.is_empty() || LEAST - 1e-9 <= fall {
        return Vec::new();
    }
    let slope = |x: f64| Value::new(x, Dim::Slope);
    vec![
        Said {
            check: "fall_below_code",
            severity: Severity::Fix,
            step: Step::Drain,
            place: Place::new("drain line"),
            what: Text::from("the line falls ")
                .value(slope(fall))
                .words("; the least is ")
                .value(slope(LEAST)),
            why: "slime and sags hold water in a pipe that is nearly level",
            remedy: "set fall in [piping] to an eighth of an inch per foot or more".into(),
            source: Source::published(
                "International Plumbing Code 2021, as adopted by Chicago; Uniform Plumbing Code",
                "314.2.1; 814.1: one percent, an eighth of an inch per foot",
            ),
        }
        .compared(slope(fall), slope(LEAST)),
    ]
}

#[cfg(test)]
mod tests {
    use super::super::bench::{DRAIN, UNIT, bench};
    use super::*;
    use crate::common::one;

    #[test]
    fn one_percent_is_enough() {
        let fall = |mm: &str| {
            bench(&[UNIT, DRAIN, &format!("[piping]\nfall = \"{mm} mm/m\"\n")]).found(check)
        };
        assert!(fall("10").is_empty());
        let (_, measured, limit) = one(fall("9.9"));
        assert!((measured - 0.0099).abs() < 1e-12 && limit == 0.01);
        assert!(bench(&[UNIT, DRAIN]).found(check).is_empty());
    }
}
