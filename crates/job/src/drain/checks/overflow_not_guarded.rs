//! A unit over crop or luminaires has no place to wire an overflow switch.

use quantity::{Finding, Severity, Source, Step, Text};

use super::Judged;
use crate::drain::{Overflow, place_of};
use crate::finding::Said;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    for unit in &judged.drain.units {
        let (Some(over), Overflow::NoTerminal) = (&unit.over, &unit.overflow) else {
            continue;
        };
        found.push(
            Said {
                check: "overflow_not_guarded",
                severity: Severity::Fix,
                step: Step::Drain,
                place: place_of(&unit.tag),
                what: Text::from(format!(
                    "the unit is over {over}, and its record names no terminal for a float switch"
                )),
                why: "a blocked drain overflows onto what is below until someone looks up",
                remedy: "break the control circuit with a float switch in the pan or its secondary outlet, or hang an auxiliary pan with a switch; ask the maker where it is wired".into(),
                source: Source::published(
                    "International Mechanical and Plumbing Codes, Uniform Plumbing Code, as adopted",
                    "307.2.3; 314.2.3; 814.2: overflow protection where damage could result",
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
    fn a_terminal_or_nothing_below_is_enough() {
        let mut b = bench(&[UNIT, DRAIN]);
        b.drain.units[0].overflow = Overflow::NoTerminal;
        assert!(
            b.drain.units[0].over.is_some(),
            "a crop without benches is anywhere"
        );
        one(b.found(check));
        b.drain.units[0].overflow = Overflow::Terminal("FS".into());
        assert!(b.found(check).is_empty());
        const BENCH: &str = "[[bench]]\nname = \"B\"\nat = [\"8 m\", \"4 m\", \"0.8 m\"]\nlength = \"2 m\"\nwidth = \"2 m\"\n";
        let mut beside = bench(&[UNIT, DRAIN, BENCH]);
        beside.drain.units[0].overflow = Overflow::NoTerminal;
        assert!(beside.found(check).is_empty());
        let mut over = bench(&[UNIT, DRAIN, &BENCH.replace("\"8 m\"", "\"3 m\"")]);
        over.drain.units[0].overflow = Overflow::NoTerminal;
        one(over.found(check));
    }
}
