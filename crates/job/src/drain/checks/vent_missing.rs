//! A trap on a closed, shared or long line has no vent after it.

use quantity::{Finding, Severity, Source, Step, Text};

use super::{Judged, length};
use crate::drain::{LONG_LINE_M, place_of};
use crate::finding::Said;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    for unit in &judged.drain.units {
        let Some(way) = &unit.way else { continue };
        let Some(run) = judged.drain.runs.get(way.run) else {
            continue;
        };
        if unit.trap.is_none() {
            continue;
        }
        let why_line = if run.air_gap_m.is_none() {
            "ends in a closed connection"
        } else if 1 < run.units.len() {
            "is shared with other units"
        } else if LONG_LINE_M < way.length_m {
            "is long and drops"
        } else {
            continue;
        };
        let said = |what: Text| {
            Said {
            check: "vent_missing",
            severity: Severity::Fix,
            step: Step::Drain,
            place: place_of(&unit.tag),
            what,
            why: "a full pipe below a trap sucks its seal out, and a trap without air after it drains by gulps",
            remedy: "put an open vent of full bore after the trap, its end over the pan's overflow; never on the pan's side of the trap".into(),
            source: Source::common_practice("open vent after the trap, over the overflow of the pan"),
        }
        };
        match &unit.vent {
            None => found.push(
                said(Text::from(format!(
                    "the line {why_line}, and no vent follows the trap"
                )))
                .finding(),
            ),
            Some(vent) if vent.top_m <= unit.outlet_invert_m => found.push(
                said(
                    Text::from("the vent after the trap ends at ")
                        .value(length(vent.top_m))
                        .words(", under the pan outlet at ")
                        .value(length(unit.outlet_invert_m)),
                )
                .compared(length(vent.top_m), length(unit.outlet_invert_m)),
            ),
            Some(_) => {}
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::bench::{DRAIN, UNIT, bench};
    use super::*;
    use crate::common::one;
    use crate::drain::VentReason;

    #[test]
    fn closed_shared_and_long_lines_are_vented_and_a_short_open_one_is_not() {
        let second = UNIT
            .replace("D1", "D2")
            .replace("\"3 m\", \"4 m\"", "\"6 m\", \"2 m\"");
        for (more, why) in [
            (
                vec![UNIT.to_owned(), format!("{DRAIN}kind = \"closed\"\n")],
                VentReason::ClosedDrain,
            ),
            (
                vec![UNIT.to_owned(), second, DRAIN.to_owned()],
                VentReason::SharedLine,
            ),
            (
                vec![UNIT.to_owned(), DRAIN.to_owned()],
                VentReason::LongLine,
            ),
        ] {
            let texts: Vec<&str> = more.iter().map(String::as_str).collect();
            let mut b = bench(&texts);
            assert!(b.found(check).is_empty());
            assert_eq!(b.drain.units[0].vent.as_ref().unwrap().why, why);
            b.drain.units[0].vent = None;
            one(b.found(check));
        }
        let near = DRAIN.replace("\"9.5 m\", \"4 m\"", "\"3 m\", \"7.5 m\"");
        let b = bench(&[UNIT, &near]);
        let way = b.drain.units[0].way.as_ref().unwrap();
        assert!(way.length_m < LONG_LINE_M && b.drain.units[0].vent.is_none());
        assert!(b.found(check).is_empty());
    }

    #[test]
    fn a_vent_ends_above_the_pan_outlet() {
        let mut b = bench(&[UNIT, DRAIN]);
        let invert = b.drain.units[0].outlet_invert_m;
        let vent = |z: f64, b: &mut super::super::bench::Bench| {
            b.drain.units[0].vent.as_mut().unwrap().top_m = z;
            b.found(check)
        };
        assert!(vent(invert + 0.001, &mut b).is_empty());
        one(vent(invert - 0.001, &mut b));
    }
}
