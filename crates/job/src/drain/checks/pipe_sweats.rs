//! The first pipe is colder than the room's dew point.

use quantity::{Dim, Finding, Severity, Source, Step, Text, Value};

use super::Judged;
use crate::drain::place_of;
use crate::finding::Said;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    let temperature = |t: f64| Value::new(t, Dim::Temperature);
    judged
        .drain
        .units
        .iter()
        .filter(|u| u.water.condensate_c < judged.dew_point_c)
        .map(|unit| {
            Said {
                check: "pipe_sweats",
                severity: Severity::Note,
                step: Step::Drain,
                place: place_of(&unit.tag),
                what: Text::from("its water leaves at ")
                    .value(temperature(unit.water.condensate_c))
                    .words("; the room's dew point reaches ")
                    .value(temperature(judged.dew_point_c)),
                why: "a bare pipe sweats and drips on what is below",
                remedy: "insulate the line of the parts list, joints sealed against vapour".into(),
                source: Source::published("a surface below the dew point takes up water", ""),
            }
            .compared(
                temperature(unit.water.condensate_c),
                temperature(judged.dew_point_c),
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::bench::{DRAIN, UNIT, bench};
    use super::*;
    use crate::common::one;
    use crate::drain::water;

    #[test]
    fn water_as_warm_as_the_dew_point_is_let_pass() {
        let mut b = bench(&[UNIT, DRAIN]);
        let dew = water::wettest_dew_point_c(&b.room).unwrap();
        b.drain.units[0].water.condensate_c = dew;
        assert!(b.found(check).is_empty());
        b.drain.units[0].water.condensate_c = dew - 0.1;
        let (_, measured, limit) = one(b.found(check));
        assert!((limit - measured - 0.1).abs() < 1e-9);
    }
}
