//! Only a rating is known, and the two ways to carry it to room air differ.

use quantity::Finding;

use super::Seen;
use crate::airs::{self, Edge};

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let p_pa = airs::pressure_pa(&seen.room.site);
    let set = seen.selection.design_set();
    let airs = [&seen.room.targets.lights_on, &seen.room.targets.lights_off]
        .map(|t| airs::air_of(t, Edge::Wet, p_pa));
    set.groups()
        .iter()
        .filter_map(|(code, _)| seen.catalog.dehumidifiers.get(code))
        .flat_map(|model| {
            airs.iter()
                .flatten()
                .filter_map(|air| equipment::rating_models_disagree(model, air))
                .take(1)
                .collect::<Vec<_>>()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{Sheet, one, steps};
    use crate::selection::checks::tests::seen;
    use quantity::Severity;

    /// At 18.3 °C (65 °F), one target for day and night.
    fn at(rh: f64) -> Vec<Finding> {
        let mut sheet = Sheet::leafy();
        for period in ["target.lights_on", "target.lights_off"] {
            sheet = sheet.set(period, "dry_bulb", "\"65 °F\"").set(
                period,
                "rh",
                &format!("\"{rh} %\""),
            );
        }
        check(&seen(&sheet.room(), &steps().selection))
    }

    /// generic-30 is known by its rating at 65 °F and 60 % alone: there the two
    /// ways meet, and in drier air they part; the finding comes with 10 %.
    #[test]
    fn ten_percent_apart_is_worth_a_finding() {
        assert!(at(60.0).is_empty());
        let first = (0..200)
            .map(|i| 60.0 - 0.1 * f64::from(i))
            .map(at)
            .find(|found| !found.is_empty())
            .unwrap();
        let (finding, measured, limit) = one(first);
        assert_eq!(finding.severity, Severity::Note);
        assert_eq!(finding.check, "rating_models_disagree");
        assert_eq!(limit, 0.10);
        assert!(0.10 < measured && measured < 0.11, "{measured}");
    }
}
