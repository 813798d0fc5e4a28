//! The line is joined to a drain without a gap of air.

use quantity::{Finding, Place, Severity, Source, Step, Text};

use super::Judged;
use crate::finding::Said;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    judged
        .drain
        .runs
        .iter()
        .filter(|run| run.air_gap_m.is_none())
        .map(|run| {
            Said {
                check: "no_air_gap",
                severity: Severity::Fix,
                step: Step::Drain,
                place: Place::new(run.drain.clone()),
                what: Text::from("the line ends in a closed connection: coil condensate is indirect waste"),
                why: "a blocked drain would push sewage into the pans over the crop",
                remedy: "end the line over a floor drain, standpipe or sink with an air gap, or ask the authority for leave".into(),
                source: Source::published("International Plumbing Code, as adopted by Chicago; Uniform Plumbing Code", "802.3.1; 801"),
            }
            .finding()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::bench::{DRAIN, UNIT, bench};
    use super::*;
    use crate::common::one;

    #[test]
    fn open_receivers_have_a_gap() {
        let kind = |k: &str| bench(&[UNIT, &format!("{DRAIN}kind = \"{k}\"\n")]);
        for open in ["floor drain", "standpipe", "sink", "gully"] {
            let b = kind(open);
            assert!(b.found(check).is_empty());
            // 3/4 in schedule 40: twice 20.96 mm.
            assert!((b.drain.runs[0].air_gap_m.unwrap() - 0.04192).abs() < 1e-9);
        }
        one(kind("closed").found(check));
    }
}
