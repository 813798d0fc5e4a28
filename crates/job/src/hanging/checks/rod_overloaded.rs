//! A rod carries more than its thread may.
//!
//! The load is the largest with one rod slack, times the load factor. Remedy: a
//! thicker rod.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::hanging::Hanging;

pub(super) fn check(_room: &Room, hanging: &Hanging) -> Vec<Finding> {
    let force = |n: f64| Value::new(n, Dim::Force);
    hanging
        .units
        .iter()
        .flat_map(|u| &u.rods)
        .filter(|rod| 1.0 < rod.utilisation())
        .map(|rod| {
            Said {
                check: "rod_overloaded",
                severity: Severity::Stop,
                step: Step::Hanging,
                place: Place::new(rod.tag.clone()),
                what: Text::from(format!("the {} rod must carry ", rod.rod.word()))
                    .value(force(rod.design_n))
                    .words(" with one rod slack and the load factor, it may carry ")
                    .value(force(rod.allowed_n)),
                why: "a rod that breaks throws the unit onto the others",
                remedy: "write a thicker rod into [hanging]".into(),
                source: Source::published(
                    "table of hanger rod loads in a piping handbook, 2nd edition, 2009; the column of MSS SP-58 (1993 and before)",
                    "carbon steel, 650 °F",
                ),
            }
            .compared(force(rod.design_n), force(rod.allowed_n))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::bench::hung;
    use super::*;
    use crate::common::one;

    #[test]
    fn a_rod_carries_its_table_load_and_no_more() {
        let (room, mut hanging) = hung();
        assert!(check(&room, &hanging).is_empty());
        let limit = hanging.units[0].rods[2].allowed_n;
        let mut with = |n: f64| {
            hanging.units[0].rods[2].design_n = n;
            check(&room, &hanging)
        };
        assert!(with(limit).is_empty());
        let (finding, measured, found) = one(with(limit * 1.01));
        assert_eq!(finding.place.0, "D1-3");
        assert!(found < measured && found == limit);
    }
}
