//! Units make water and no drain was surveyed.

use quantity::{Finding, Place, Severity, Source, Step, Text, counted};

use super::Judged;
use crate::finding::Said;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    if !judged.room.drains.is_empty() || judged.drain.units.is_empty() {
        return Vec::new();
    }
    vec![
        Said {
            check: "no_drain_point",
            severity: Severity::Stop,
            step: Step::Drain,
            place: Place::new("room"),
            what: Text::from(format!(
                "no drain was surveyed for the water of {}",
                counted(judged.drain.units.len(), "unit")
            )),
            why: "water that goes nowhere fills the pan and falls on what is below",
            remedy: "survey a floor drain, standpipe or sink and write it as [[drain]] with its place and the height of its rim".into(),
            source: Source::published("International Plumbing Code 2021, as adopted by Chicago", "314.2.1, disposal of condensate"),
        }
        .finding(),
    ]
}

#[cfg(test)]
mod tests {
    use super::super::bench::{DRAIN, UNIT, bench};
    use super::*;
    use crate::common::one;

    #[test]
    fn one_drain_is_enough() {
        let (finding, _, _) = one(bench(&[UNIT]).found(check));
        assert_eq!(finding.severity, Severity::Stop);
        assert!(bench(&[UNIT, DRAIN]).found(check).is_empty());
        assert!(bench(&[]).found(check).is_empty());
    }
}
