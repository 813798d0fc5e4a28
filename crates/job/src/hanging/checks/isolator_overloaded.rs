//! No usual isolator carries the load of a rod.
//!
//! Remedy: isolators from a maker's list, chosen for that load.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::hanging::Hanging;
use crate::hanging::isolator::LARGEST_N;

pub(super) fn check(_room: &Room, hanging: &Hanging) -> Vec<Finding> {
    let force = |n: f64| Value::new(n, Dim::Force);
    hanging
        .units
        .iter()
        .flat_map(|u| &u.rods)
        .filter(|r| r.hanger.is_some_and(|h| h.rated_n.is_none()))
        .map(|rod| {
            Said {
                check: "isolator_overloaded",
                severity: Severity::Fix,
                step: Step::Hanging,
                place: Place::new(rod.tag.clone()),
                what: Text::from("the rod carries ")
                    .value(force(rod.worst_n))
                    .words(" with one rod slack, more than the usual isolators, up to ")
                    .value(force(LARGEST_N)),
                why: "an isolator that is pressed flat isolates nothing, and may tear",
                remedy: "choose an isolator from a maker's list for this load".into(),
                source: Source::common_practice("usual steps of rubber and spring hangers"),
            }
            .compared(force(rod.worst_n), force(LARGEST_N))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::bench::hung;
    use super::*;
    use crate::common::one;
    use crate::hanging::isolator::choose;
    use room::Isolator;

    #[test]
    fn the_largest_usual_isolator_is_the_limit() {
        let (room, mut hanging) = hung();
        assert!(check(&room, &hanging).is_empty());
        let mut with = |n: f64| {
            hanging.units[0].rods[0].worst_n = n;
            hanging.units[0].rods[0].hanger = choose(Isolator::Rubber, 500.0, n, 60.0);
            check(&room, &hanging)
        };
        assert!(with(LARGEST_N).is_empty());
        one(with(LARGEST_N + 10.0));
    }
}
