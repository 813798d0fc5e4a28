//! A pipe is smaller than outlet, table or flow ask for.

use quantity::{Finding, Place, Severity, Step, Text};

use super::{Judged, length};
use crate::drain::pipe;
use crate::finding::Said;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    let material = judged.room.piping.material.value;
    let mut found = Vec::new();
    for run in &judged.drain.runs {
        // The worst piece of a line speaks for it.
        let wrong = run.segments.iter().rev().find(|s| {
            !s.size
                .is_some_and(|size| pipe::serves(material, size, &s.demand))
        });
        let Some(segment) = wrong else { continue };
        let wanted = pipe::least_size(material, &segment.demand);
        let limit_m = wanted.map_or(f64::NAN, |size| pipe::diameters_m(material, size).0);
        let place = Place::new(format!("line to {}", run.drain));
        let units = segment.carries.join(", ");
        let said = |what: Text, remedy: Text| Said {
            check: "pipe_too_small",
            severity: Severity::Fix,
            step: Step::Drain,
            place: place.clone(),
            what,
            why: "a pipe smaller than its outlet or the code's table clogs, and is not passed",
            remedy,
            source: pipe::TABLE_SOURCE,
        };
        found.push(match wanted {
            Some(size) => said(
                Text::from(format!("the pipe that carries {units} is "))
                    .value(length(segment.inside_m))
                    .words(" inside; outlet, table and flow ask for ")
                    .value(length(limit_m)),
                Text::from(format!(
                    "take {} in this material, or a pipe that is wider inside",
                    size.word()
                )),
            )
            .compared(length(segment.inside_m), length(limit_m)),
            None => said(
                Text::from(format!("no size of the table carries {units} together")),
                "split the units over several lines, or have the line designed".into(),
            )
            .finding(),
        });
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::bench::{DRAIN, UNIT, bench};
    use super::*;
    use crate::common::one;
    use crate::drain::pipe::TON_W;

    #[test]
    fn pex_of_three_quarters_is_too_small_and_an_inch_is_not() {
        let piping = |size: &str| {
            bench(&[
                UNIT,
                DRAIN,
                &format!("[piping]\nmaterial = \"pex\"\nsize = \"{size}\"\n"),
            ])
            .found(check)
        };
        assert!(piping("1 in").is_empty());
        let (_, measured, limit) = one(piping("3/4 in"));
        assert!(measured < pipe::LEAST_INSIDE_M && pipe::LEAST_INSIDE_M < limit);
        // Chosen by the program: always enough.
        assert!(
            bench(&[UNIT, DRAIN, "[piping]\nmaterial = \"pex\"\n"])
                .found(check)
                .is_empty()
        );
    }

    #[test]
    fn twenty_tons_are_the_limit_of_three_quarters() {
        let mut b = bench(&[UNIT, DRAIN, "[piping]\nsize = \"3/4 in\"\n"]);
        assert!(b.found(check).is_empty());
        let last = b.drain.runs[0].segments.len() - 1;
        b.drain.runs[0].segments[last].demand.cooling_w = 20.0 * TON_W;
        assert!(b.found(check).is_empty());
        b.drain.runs[0].segments[last].demand.cooling_w = 20.1 * TON_W;
        one(b.found(check));
        b.drain.runs[0].segments[last].demand.cooling_w = 300.0 * TON_W;
        let (finding, measured, _) = one(b.found(check));
        assert!(measured.is_nan() && finding.limit.is_none());
    }
}
