//! How the air answers to the switchings of a unit, against its record: what
//! the checks of too little and too much of it share.

use quantity::{Finding, Place, Severity, Source, Step, Text};

use super::super::PullDown;
use super::{Proof, share};
use crate::finding::Said;

/// One way in which an answer is off.
pub(super) struct Off {
    pub(super) check: &'static str,
    /// Share of its record that it is held against.
    pub(super) limit: f64,
    /// Whether it lies beyond that limit, two deviations away.
    pub(super) is_beyond: fn(&PullDown, f64) -> bool,
    /// What follows the numbers.
    pub(super) said: &'static str,
    pub(super) why: &'static str,
    pub(super) remedy: &'static str,
}

impl Off {
    /// A finding for each unit whose answer is so.
    pub(super) fn findings(&self, proof: &Proof) -> Vec<Finding> {
        proof
            .units
            .iter()
            .filter_map(|unit| {
                let down = unit.pull_down?;
                (self.is_beyond)(&down, self.limit).then(|| {
                    Said {
                        check: self.check,
                        severity: Severity::Fix,
                        step: Step::Proof,
                        place: Place::new(format!("unit {}", unit.tag)),
                        what: Text::from(format!(
                            "at {} switchings the air answers with ",
                            down.switchings
                        ))
                        .value(share(down.factor))
                        .words(" ± ")
                        .value(share(2.0 * down.deviation))
                        .words(format!(" of what its record says at that air{}", self.said)),
                        why: self.why,
                        remedy: self.remedy.into(),
                        source: Source::common_practice(
                            "a sound unit removes within a tenth or two of its record",
                        ),
                    }
                    .compared(share(down.factor), share(self.limit))
                })
            })
            .collect()
    }
}
