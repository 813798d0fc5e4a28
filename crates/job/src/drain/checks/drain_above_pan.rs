//! The drain's rim is above the pan outlet.

use quantity::{Finding, Severity, Source, Step, Text};

use super::{Judged, length};
use crate::drain::place_of;
use crate::finding::Said;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    for unit in &judged.drain.units {
        let Some(way) = &unit.way else { continue };
        let Some(run) = judged.drain.runs.get(way.run) else {
            continue;
        };
        if way.available_m > 0.0 {
            continue;
        }
        let pump = way.pump.as_ref();
        found.push(
            Said {
                check: "drain_above_pan",
                // With a pump drawn it can be built; without one it cannot.
                severity: if pump.is_some() { Severity::Fix } else { Severity::Stop },
                step: Step::Drain,
                place: place_of(&unit.tag),
                what: Text::from(format!("the rim of {} is at ", run.drain))
                    .value(length(run.rim_m[2]))
                    .words(", the pan outlet at ")
                    .value(length(unit.outlet_invert_m)),
                why: "water does not rise by itself: the pan would overflow",
                remedy: pump.map_or_else(
                    || Text::from("choose a lower drain, raise the unit, or lift the water with a pump"),
                    |p| {
                        Text::from("fit the pump of this sheet, head ")
                            .value(length(p.head_m()))
                            .words(", with check valve and a high-level switch that stops the unit; or choose a lower drain")
                    },
                ),
                source: Source::published("hydrostatics", ""),
            }
            .compared(length(run.rim_m[2]), length(unit.outlet_invert_m)),
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
    fn a_rim_just_above_the_outlet_is_found() {
        // Outlet 0.254 m under the centre, 3/8 in under that its invert.
        let invert = bench(&[UNIT, DRAIN]).drain.units[0].outlet_invert_m;
        let rim = |z: f64| bench(&[UNIT, &DRAIN.replace("\"0 m\"", &format!("\"{z} m\""))]);
        assert!(rim(invert - 0.002).found(check).is_empty());
        let above = rim(invert + 0.002);
        let (finding, measured, limit) = one(above.found(check));
        assert_eq!(finding.severity, Severity::Fix);
        assert!((measured - limit - 0.002).abs() < 1e-9);
        let mut bare = above;
        bare.drain.units[0].way.as_mut().unwrap().pump = None;
        assert_eq!(bare.found(check)[0].severity, Severity::Stop);
    }
}
