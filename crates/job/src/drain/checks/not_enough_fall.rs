//! Trap, fall and air gap take more height than there is.

use quantity::{Finding, Severity, Source, Step, Text};

use super::{Judged, length};
use crate::drain::place_of;
use crate::finding::Said;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    // A tenth of a millimetre is nothing on site.
    const SAME_M: f64 = 1e-4;
    let mut found = Vec::new();
    for unit in &judged.drain.units {
        let Some(way) = &unit.way else { continue };
        // A rim above the pan is another fault.
        if way.available_m <= 0.0 || way.needed_m <= way.available_m + SAME_M {
            continue;
        }
        let pump = way.pump.as_ref();
        found.push(
            Said {
                check: "not_enough_fall",
                severity: if pump.is_some() {
                    Severity::Fix
                } else {
                    Severity::Stop
                },
                step: Step::Drain,
                place: place_of(&unit.tag),
                what: Text::from("from the pan outlet to the drain there is ")
                    .value(length(way.available_m))
                    .words("; trap, fall over ")
                    .value(length(way.length_m))
                    .words(" and air gap take ")
                    .value(length(way.needed_m)),
                why: "without fall water stands in the pipe and in the pan",
                remedy: pump.map_or_else(
                    || {
                        Text::from(
                            "raise the unit, choose a nearer drain, or lift the water with a pump",
                        )
                    },
                    |p| {
                        Text::from("raise the unit by ")
                            .value(length(way.needed_m - way.available_m))
                            .words(", choose a nearer drain, or fit the pump of this sheet, head ")
                            .value(length(p.head_m()))
                    },
                ),
                source: Source::published(
                    "hydrostatics; fall by the plumbing rules named on the sheet",
                    "",
                ),
            }
            .compared(length(way.available_m), length(way.needed_m)),
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
    fn the_height_needed_just_serves() {
        let way = |z: f64| bench(&[UNIT, &DRAIN.replace("\"0 m\"", &format!("\"{z} m\""))]);
        let low = way(0.0);
        let w = low.drain.units[0].way.clone().unwrap();
        assert!(w.pump.is_none());
        let spare = w.available_m - w.needed_m;
        let just = way(spare - 0.001);
        assert!(just.found(check).is_empty());
        assert!(just.drain.units[0].way.as_ref().unwrap().pump.is_none());
        let short = way(spare + 0.001);
        let (finding, measured, limit) = one(short.found(check));
        assert_eq!(finding.severity, Severity::Fix);
        assert!(
            (limit - measured - 0.001).abs() < 1e-6,
            "{measured} {limit}"
        );
        assert!(short.drain.units[0].way.as_ref().unwrap().pump.is_some());
    }
}
