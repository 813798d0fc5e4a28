//! A strut channel sags more than 1/240 of its span.
//!
//! The unit then hangs out of level. Remedy: a shorter span or a double
//! channel.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::hanging::Hanging;

pub(super) fn check(_room: &Room, hanging: &Hanging) -> Vec<Finding> {
    let length = |m: f64| Value::new(m, Dim::Length);
    hanging
        .units
        .iter()
        .flat_map(|u| &u.struts)
        .filter(|s| s.allowed_sag_m < s.sag_m)
        .map(|strut| {
            Said {
                check: "strut_sags",
                severity: Severity::Fix,
                step: Step::Hanging,
                place: Place::new(strut.tag.clone()),
                what: Text::from("it sags ")
                    .value(length(strut.sag_m))
                    .words(" over a span of ")
                    .value(length(strut.span_m))
                    .words(", allowed are ")
                    .value(length(strut.allowed_sag_m)),
                why: "the unit hangs out of level and its pan does not drain",
                remedy:
                    "shorten the span, take channel back to back, or fasten it at a member between"
                        .into(),
                source: Source::assumed("1/240 of the span"),
            }
            .compared(length(strut.sag_m), length(strut.allowed_sag_m))
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
    fn channel_sags_so_far_and_no_further() {
        let room = room(JOISTS);
        let mut hanging = of(&room, Mount::Hung);
        assert!(check(&room, &hanging).is_empty());
        let limit = hanging.units[0].struts[0].allowed_sag_m;
        let mut with = |m: f64| {
            hanging.units[0].struts[0].sag_m = m;
            check(&room, &hanging)
        };
        assert!(with(limit).is_empty());
        let (_, measured, found) = one(with(limit * 1.01));
        assert!(found < measured && found == limit);
    }
}
