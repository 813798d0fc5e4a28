//! Two traps in a row without a vent between them.

use quantity::{Finding, Severity, Source, Step, Text};
use room::DrainKind;

use super::Judged;
use crate::drain::{EndTrap, place_of};
use crate::finding::Said;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    for unit in &judged.drain.units {
        let run = unit.way.as_ref().and_then(|w| judged.drain.runs.get(w.run));
        let Some(run) = run else { continue };
        // A trapped floor drain reached over an air gap is no second trap.
        let second = match (run.end_trap, run.kind) {
            (EndTrap::Fitted, _) => "the trap at the line's end",
            (EndTrap::None, DrainKind::Closed) => "the trap of the closed drain",
            (EndTrap::None, _) => continue,
        };
        if unit.trap.is_none() || unit.vent.is_some() {
            continue;
        }
        found.push(
            Said {
                check: "double_trap",
                severity: Severity::Fix,
                step: Step::Drain,
                place: place_of(&unit.tag),
                what: Text::from(format!(
                    "no vent stands between the unit's trap and {second}"
                )),
                why: "air between two seals cannot leave: the line drains slowly or not at all",
                remedy: "leave one trap out, or vent the pipe between them".into(),
                source: Source::published(
                    "International Plumbing Code, as adopted by Chicago",
                    "1002.1: not double trapped",
                ),
            }
            .finding(),
        );
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::bench::{DRAIN, UNIT, bench};
    use super::*;
    use crate::common::one;

    #[test]
    fn a_vent_parts_two_traps() {
        let mut b = bench(&[UNIT, DRAIN]);
        assert!(b.found(check).is_empty());
        b.drain.runs[0].end_trap = EndTrap::Fitted;
        assert!(b.found(check).is_empty());
        b.drain.units[0].vent = None;
        one(b.found(check));
        b.drain.runs[0].end_trap = EndTrap::None;
        assert!(b.found(check).is_empty());
        let mut closed = bench(&[UNIT, &format!("{DRAIN}kind = \"closed\"\n")]);
        assert!(closed.found(check).is_empty());
        closed.drain.units[0].vent = None;
        one(closed.found(check));
    }
}
