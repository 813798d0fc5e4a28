//! A strut channel is bent beyond what its steel may bear.
//!
//! Remedy: a shorter span, a double channel, or members closer together.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::hanging::Hanging;

pub(super) fn check(_room: &Room, hanging: &Hanging) -> Vec<Finding> {
    let stress = |pa: f64| Value::new(pa, Dim::Stress);
    hanging
        .units
        .iter()
        .flat_map(|u| &u.struts)
        .filter(|s| s.allowed_pa < s.stress_pa)
        .map(|strut| {
            Said {
                check: "strut_overstressed",
                severity: Severity::Stop,
                step: Step::Hanging,
                place: Place::new(strut.tag.clone()),
                what: Text::from("bending stress of ")
                    .value(stress(strut.stress_pa))
                    .words(" over a span of ")
                    .value(Value::new(strut.span_m, Dim::Length))
                    .words(", allowed are ")
                    .value(stress(strut.allowed_pa)),
                why: "channel that yields sags for good, then folds",
                remedy:
                    "shorten the span, take channel back to back, or fasten it at a member between"
                        .into(),
                source: Source::common_practice(
                    "0.6 of the yield of the steel, no credit for cold work",
                ),
            }
            .compared(stress(strut.stress_pa), stress(strut.allowed_pa))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::bench::{JOISTS, of, room};
    use super::*;
    use crate::common::one;
    use room::Mount;

    #[test]
    fn channel_bears_its_stress_and_no_more() {
        let room = room(JOISTS);
        let mut hanging = of(&room, Mount::Hung);
        assert!(check(&room, &hanging).is_empty());
        let limit = hanging.units[0].struts[1].allowed_pa;
        let mut with = |pa: f64| {
            hanging.units[0].struts[1].stress_pa = pa;
            check(&room, &hanging)
        };
        assert!(with(limit).is_empty());
        let (_, measured, found) = one(with(limit * 1.01));
        assert!(found < measured && found == limit);
    }
}
