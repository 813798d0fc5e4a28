//! The units draw more than the generator is rated for.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    let over = |g: &&super::super::GeneratorStart| g.rating_va + 1e-6 < g.running_va;
    let Some(g) = power.generator.as_ref().filter(over) else {
        return Vec::new();
    };
    let shown = |va: f64| Value::new(va, Dim::ApparentPower);
    vec![
        Said {
            check: "generator_overloaded",
            severity: Severity::Stop,
            step: Step::Power,
            place: Place::new(g.name.clone()),
            what: Text::from("all units running draw ")
                .value(shown(g.running_va))
                .words(", before any other load on the generator"),
            why: "it trips, or its voltage and frequency sink",
            remedy: "use a larger generator, or put fewer units on it".into(),
            source: Source::assumed("full-load currents of the plates against the rating"),
        }
        .compared(shown(g.running_va), shown(g.rating_va)),
    ]
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn the_rating_itself_may_be_reached() {
        let set = format!("{PANEL}[generator]\nrating = \"30 kVA\"\n");
        let (room, power) = scene(&set, &["generic-70"]);
        let with = |rating_va: f64| {
            let mut power = power.clone();
            power.generator.as_mut().unwrap().rating_va = rating_va;
            check(&room, &power)
        };
        let running_va = power.generator.as_ref().unwrap().running_va;
        assert!(with(running_va).is_empty());
        assert!((one(with(running_va - 1.0)).1 - running_va).abs() < 1e-9);
    }
}
