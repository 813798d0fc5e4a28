//! No conductor that is offered carries the circuit.

use quantity::{Dim, Finding, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(room: &Room, power: &Power) -> Vec<Finding> {
    let shown = |a: f64| Value::new(a, Dim::Current);
    power
        .branches
        .iter()
        .filter(|b| b.ampacity.allowed_a < b.needed_a - 1e-9)
        .map(|b| {
            Said {
                check: "conductor_too_small",
                severity: Severity::Stop,
                step: Step::Power,
                place: super::unit(b),
                what: Text::from(format!("{} carries ", b.size.name))
                    .value(shown(b.ampacity.allowed_a))
                    .words(" here, ")
                    .value(shown(b.needed_a))
                    .words(" are needed"),
                why: "a conductor above its ampacity heats its insulation until it fails",
                remedy: "give it a raceway of its own or a cooler way, use terminals marked for 75 °C, or have a licensed electrician choose the conductor".into(),
                source: super::by_rules(room, Source::published("NEC, transcribed publicly", "Table 310.16, 310.15, 110.14(C)"), Source::published("IEC 60364-5-52, public extract", "Ib ≤ In ≤ Iz, method B2")),
            }
            .compared(shown(b.ampacity.allowed_a), shown(b.needed_a))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn the_need_itself_passes_and_more_fails() {
        let with = |needed_a: f64| {
            let (room, mut power) = scene(PANEL, &["generic-70"]);
            power.branches[0].ampacity.allowed_a = 20.0;
            power.branches[0].needed_a = needed_a;
            check(&room, &power)
        };
        assert!(with(20.0).is_empty());
        let (_, measured, limit) = one(with(20.5));
        assert_eq!((measured, limit), (20.0, 20.5));
    }

    #[test]
    fn hot_and_crowded_conductors_run_out_of_sizes() {
        let more = format!(
            "{PANEL}[wiring]\nambient = \"60 °C\"\nconductors_together = 20\ninsulation = \"75 °C\"\n"
        );
        let (room, power) = scene(&more, &["generic-200"]);
        let b = &power.branches[0];
        assert_eq!(
            check(&room, &power).is_empty(),
            b.needed_a <= b.ampacity.allowed_a
        );
        assert!(
            crate::power::conductor::sizes(room.wiring.rules.value)[1].area_mm2 < b.size.area_mm2
        );
    }
}
