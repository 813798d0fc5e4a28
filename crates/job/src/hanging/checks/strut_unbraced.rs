//! A strut channel spans more than 48 in without a brace.
//!
//! Its open side may twist away. Remedy: a brace at mid-span, or half the load.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::hanging::Hanging;
use crate::hanging::strut::UNBRACED_M;

pub(super) fn check(_room: &Room, hanging: &Hanging) -> Vec<Finding> {
    let length = |m: f64| Value::new(m, Dim::Length);
    hanging
        .units
        .iter()
        .flat_map(|u| &u.struts)
        .filter(|s| UNBRACED_M + 1e-9 < s.span_m)
        .map(|strut| {
            Said {
                check: "strut_unbraced",
                severity: Severity::Fix,
                step: Step::Hanging,
                place: Place::new(strut.tag.clone()),
                what: Text::from("it spans ")
                    .value(length(strut.span_m))
                    .words(" without a brace against twisting, beyond ")
                    .value(length(UNBRACED_M)),
                why: "the open side of a long channel twists away before its steel yields",
                remedy: "brace it at mid-span, or bear no more than half of its load".into(),
                source: Source::memory("strut tables of the MFMA-4 era", "not read"),
            }
            .compared(length(strut.span_m), length(UNBRACED_M))
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
    fn forty_eight_inches_need_no_brace() {
        let room = room(JOISTS);
        let mut hanging = of(&room, Mount::Hung);
        assert!(check(&room, &hanging).is_empty());
        let mut with = |m: f64| {
            hanging.units[0].struts[0].span_m = m;
            check(&room, &hanging)
        };
        assert!(with(48.0 * 0.0254).is_empty());
        one(with(49.0 * 0.0254));
    }
}
