//! Rules ask for a trap at the end of a long indirect waste pipe.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::PlumbingRules;

use super::{Judged, length};
use crate::drain::{EndTrap, LinePart};
use crate::finding::Said;

const IPC_LEVEL_M: f64 = 30.0 * 0.0254;
const IPC_WHOLE_M: f64 = 54.0 * 0.0254;
const UPC_M: f64 = 15.0 * 0.3048;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    for run in &judged.drain.runs {
        if run.air_gap_m.is_none() || run.end_trap == EndTrap::Fitted {
            continue;
        }
        let whole_m = run.pipe_m();
        let level_m: f64 = run
            .segments
            .iter()
            .filter(|s| s.part != LinePart::Drop)
            .map(|s| s.length_m)
            .sum();
        let (measured_m, limit_m, source) = match judged.room.piping.rules.value {
            PlumbingRules::Ipc if IPC_LEVEL_M < level_m => (level_m, IPC_LEVEL_M, IPC),
            PlumbingRules::Ipc => (whole_m, IPC_WHOLE_M, IPC),
            PlumbingRules::Upc => (whole_m, UPC_M, UPC),
        };
        if measured_m <= limit_m {
            continue;
        }
        found.push(
            Said {
                check: "long_indirect_waste",
                severity: Severity::Note,
                step: Step::Drain,
                place: Place::new(format!("line to {}", run.drain)),
                what: Text::from("the indirect waste pipe is ")
                    .value(length(measured_m))
                    .words(" long; over ")
                    .value(length(limit_m))
                    .words(" the rules ask for a trap on it"),
                why: "some authorities count the units' traps, some want one more at the end",
                remedy: "ask the authority; if a trap is fitted at the end, keep the vents after the units' traps: without them it is a double trap".into(),
                source,
            }
            .compared(length(measured_m), length(limit_m)),
        );
    }
    found
}

const IPC: Source = Source::published(
    "International Plumbing Code, as adopted by Chicago",
    "802.3: over 30 in level or 54 in in all; editions differ",
);
const UPC: Source = Source::published(
    "Uniform Plumbing Code, older edition",
    "ch. 8: indirect waste over 15 ft",
);

#[cfg(test)]
mod tests {
    use super::super::bench::{Bench, DRAIN, UNIT, bench};
    use super::*;
    use crate::common::one;

    fn with(b: &mut Bench, level_m: f64, upright_m: f64) -> Vec<Finding> {
        let run = &mut b.drain.runs[0];
        let mut left = Some(level_m);
        let mut up = Some(upright_m);
        for s in &mut run.segments {
            s.length_m = if s.part == LinePart::Drop {
                up.take()
            } else {
                left.take()
            }
            .unwrap_or(0.0);
        }
        b.found(check)
    }

    #[test]
    fn the_limits_are_those_of_the_rules() {
        let mut ipc = bench(&[UNIT, DRAIN]);
        assert!(with(&mut ipc, 0.761, 0.60).is_empty());
        let (_, _, limit) = one(with(&mut ipc, 0.763, 0.0));
        assert!((limit - 0.762).abs() < 1e-9);
        let (_, _, limit) = one(with(&mut ipc, 0.761, 0.62));
        assert!((limit - 1.3716).abs() < 1e-9);
        let mut upc = bench(&[UNIT, DRAIN, "[piping]\nrules = \"upc\"\n"]);
        assert!(with(&mut upc, 4.0, 0.57).is_empty());
        one(with(&mut upc, 4.0, 0.58));
        upc.drain.runs[0].end_trap = EndTrap::Fitted;
        assert!(upc.found(check).is_empty());
    }
}
