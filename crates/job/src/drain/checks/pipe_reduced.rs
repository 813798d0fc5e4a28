//! A line gets narrower on its way to the drain.

use quantity::{Finding, Place, Severity, Step, Text};

use super::{Judged, length};
use crate::drain::pipe;
use crate::finding::Said;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    // Two materials of one nominal size may differ by less than this.
    const SAME_M: f64 = 1e-5;
    let mut found = Vec::new();
    for run in &judged.drain.runs {
        for segment in &run.segments {
            let Some(next) = segment.next.and_then(|n| run.segments.get(n)) else {
                continue;
            };
            if segment.inside_m <= next.inside_m + SAME_M {
                continue;
            }
            let at = run.nodes.get(segment.to).map_or("?", |n| n.mark.as_str());
            found.push(
                Said {
                    check: "pipe_reduced",
                    severity: Severity::Fix,
                    step: Step::Drain,
                    place: Place::new(format!("line to {}", run.drain)),
                    what: Text::from(format!("at point {at} the pipe narrows to "))
                        .value(length(next.inside_m))
                        .words(" inside; before it is ")
                        .value(length(segment.inside_m)),
                    why: "what enters a pipe must leave it: a narrow place clogs first",
                    remedy: "keep the larger size down to the drain".into(),
                    source: pipe::TABLE_SOURCE,
                }
                .compared(length(next.inside_m), length(segment.inside_m)),
            );
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::bench::{DRAIN, UNIT, bench};
    use super::*;
    use crate::common::one;

    #[test]
    fn a_line_may_widen_and_must_not_narrow() {
        let mut b = bench(&[UNIT, DRAIN]);
        assert!(b.found(check).is_empty());
        let last = b.drain.runs[0]
            .segments
            .iter()
            .position(|s| s.next.is_none())
            .unwrap();
        b.drain.runs[0].segments[last].inside_m += 0.005;
        assert!(b.found(check).is_empty());
        b.drain.runs[0].segments[last].inside_m -= 0.006;
        let (_, measured, limit) = one(b.found(check));
        assert!((limit - measured - 0.001).abs() < 1e-9);
    }
}
