//! A unit has ducts, and nothing was added to its pan pressure for them.

use quantity::{Finding, Severity, Source, Step, Text};

use super::Judged;
use crate::drain::place_of;
use crate::finding::Said;

pub(super) fn check(judged: &Judged<'_>) -> Vec<Finding> {
    judged
        .drain
        .units
        .iter()
        .filter(|u| u.pan.ducts_pa.abs() < 1e-9)
        .filter(|u| judged.room.ducts.iter().any(|d| d.unit.value == u.tag))
        .map(|unit| {
            Said {
                check: "ducts_not_counted",
                severity: Severity::Fix,
                step: Step::Drain,
                place: place_of(&unit.tag),
                what: Text::from("the unit has ducts, and its trap is drawn without their pressure"),
                why: "ducts deepen the suction at the pan: a trap drawn without them may not drain",
                remedy: "measure the pressure at the pan with ducts, dirty filter and the fan at its fastest, and compare with the trap's table".into(),
                source: Source::published("hydrostatics", ""),
            }
            .finding()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::bench::{DRAIN, UNIT, bench, with_ducts};
    use super::*;
    use crate::common::{catalog, one};

    #[test]
    fn ducts_must_count() {
        const DUCT: &str =
            "[[duct]]\nunit = \"D1\"\nside = \"inlet\"\nlength = \"5 m\"\ndiameter = \"400 mm\"\n";
        one(bench(&[UNIT, DRAIN, DUCT]).found(check));
        assert!(bench(&[UNIT, DRAIN]).found(check).is_empty());
        let counted = with_ducts(&[UNIT, DRAIN, DUCT], catalog(), 25.4 * 9.80665);
        assert!(counted.found(check).is_empty());
        // An inch of water more: H an inch more.
        let drop = |b: &super::super::bench::Bench| b.drain.units[0].trap.unwrap().built.drop_m;
        let more = drop(&counted) - drop(&bench(&[UNIT, DRAIN]));
        assert!((more - 0.0254).abs() < 1e-9);
    }
}
