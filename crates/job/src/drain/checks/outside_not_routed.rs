//! A unit outside the room: its drain was not routed.

use quantity::{Finding, Severity, Source, Step, Text};
use room::Mount;

use super::Judged;
use crate::drain::place_of;
use crate::finding::Said;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    let outside = |u: &&crate::drain::UnitDrain| u.mount == Mount::Outside;
    judged
        .drain
        .units
        .iter()
        .filter(outside)
        .map(|unit| {
            Said {
                check: "outside_not_routed",
                severity: Severity::Fix,
                step: Step::Drain,
                place: place_of(&unit.tag),
                what: Text::from("the unit stands outside the room: its trap is drawn, its line is not"),
                why: "what lies outside was not surveyed; a trap in the cold freezes and breaks",
                remedy: "survey the way to a drain there; keep trap and line where it never freezes, or heat and insulate them".into(),
                source: Source::assumed("only the inside of the room is surveyed"),
            }
            .finding()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::bench::{DRAIN, UNIT, bench};
    use super::*;

    #[test]
    fn only_a_unit_outside_is_named() {
        let mut b = bench(&[UNIT, DRAIN]);
        assert!(b.found(check).is_empty());
        b.drain.units[0].mount = Mount::Outside;
        assert_eq!(b.found(check).len(), 1);
        let outside = bench(&[
            &UNIT.replace("facing", "mount = \"outside\"\nfacing"),
            DRAIN,
        ]);
        assert!(outside.drain.units[0].way.is_none() && outside.drain.runs.is_empty());
        assert_eq!(outside.found(check).len(), 1);
    }
}
