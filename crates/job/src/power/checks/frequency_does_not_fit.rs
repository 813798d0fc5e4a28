//! A unit for another frequency.

use quantity::{Finding, Severity, Source, Step, Text};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(room: &Room, power: &Power) -> Vec<Finding> {
    power
        .branches
        .iter()
        .filter(|b| b.panel.is_some() && 1.0 <= (b.supply.hertz - b.plate.hertz).abs())
        .map(|b| {
            let surveyed = room
                .panels
                .iter()
                .any(|p| Some(&p.name.value) == b.panel.as_ref() && p.hertz.is_some());
            let how = if surveyed {
                ""
            } else {
                " (by the rules, not surveyed)"
            };
            Said {
                check: "frequency_does_not_fit",
                severity: Severity::Stop,
                step: Step::Power,
                place: super::unit(b),
                what: Text::from(format!(
                    "{} is for {:.0} Hz, the supply is {:.0} Hz{how}",
                    b.tag, b.plate.hertz, b.supply.hertz
                )),
                why: "speed, current and capacity of a compressor go with the frequency",
                remedy: "take a model for this frequency; else write the panel's frequency".into(),
                source: Source::published(
                    "NEMA MG 1, as quoted publicly",
                    "12.44: the tolerance of voltage holds at rated frequency",
                ),
            }
            .finding()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn the_same_frequency_passes_and_another_fails() {
        let (room, power) = scene(PANEL, &["generic-70"]);
        assert!(check(&room, &power).is_empty());
        let other = format!("{PANEL}frequency = \"50 Hz\"\n");
        let (room, power) = scene(&other, &["generic-70"]);
        assert_eq!(one(check(&room, &power)).0.severity, Severity::Stop);
    }
}
