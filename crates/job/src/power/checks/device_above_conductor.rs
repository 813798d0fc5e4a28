//! The device is larger than the usual one of a small conductor.

use quantity::{Dim, Finding, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    let shown = |a: f64| Value::new(a, Dim::Current);
    power
        .branches
        .iter()
        .filter(|b| b.size.small_device_a.is_some_and(|most_a| most_a + 1e-9 < b.device_a))
        .map(|b| {
            Said {
                check: "device_above_conductor",
                severity: Severity::Note,
                step: Step::Power,
                place: super::unit(b),
                what: Text::from(format!("{} on a device of ", b.size.name))
                    .value(shown(b.device_a))
                    .words(", usually at most ")
                    .value(shown(b.size.small_device_a.unwrap_or(b.device_a))),
                why: "small conductors have a largest device; only a circuit by Article 440, with its own overload protection, may exceed it",
                remedy: "let the electrician confirm 240.4(G) with the plate, or take the next size of conductor".into(),
                source: Source::published("NEC, example of an inspectors' association", "240.4(D), 240.4(G), Article 440"),
            }
            .compared(shown(b.device_a), shown(b.size.small_device_a.unwrap_or(b.device_a)))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn twelve_gauge_on_twenty_amperes_passes_and_on_more_is_noted() {
        let with = |device_a: f64| {
            let (room, mut power) = scene(PANEL, &["generic-70"]);
            power.branches[0].size = crate::power::conductor::sizes(room.wiring.rules.value)[1];
            power.branches[0].device_a = device_a;
            check(&room, &power)
        };
        assert!(with(20.0).is_empty());
        let (finding, measured, limit) = one(with(25.0));
        assert_eq!(finding.severity, Severity::Note);
        assert_eq!((measured, limit), (25.0, 20.0));
    }
}
