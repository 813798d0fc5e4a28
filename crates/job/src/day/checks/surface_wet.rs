//! Dew on the coldest surface, on the summer or the winter design day.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;
use roomsim::Summary;

use crate::day::{Day, ScenarioKind};
use crate::finding::Said;

pub(super) fn check(_room: &Room, day: &Day) -> Vec<Finding> {
    let winter = day
        .scenarios
        .iter()
        .find(|s| s.kind == ScenarioKind::Winter)
        .map(|s| ("winter design day", &s.summary));
    [Some(("summer design day", &day.summary)), winter]
        .into_iter()
        .flatten()
        .filter_map(|(when, summary)| wet(when, summary))
        .collect()
}

fn wet(when: &str, summary: &Summary) -> Option<Finding> {
    let least = summary.least_surface_margin_k?;
    if 0.0 < least.value {
        return None;
    }
    let margin = |k: f64| Value::new(k, Dim::TemperatureDifference).digits(2);
    Some(
        Said {
            check: "surface_wet",
            severity: Severity::Fix,
            step: Step::Day,
            place: Place::new("coldest surface"),
            what: Text::from(format!("on the {when} the coldest surface is below the dew point for "))
                .value(Value::new(summary.surface_wet_s / f64::from(summary.days), Dim::Duration).digits(2))
                .words(" a day, at worst by ")
                .value(margin(-least.value)),
            why: "water runs down the surface, and mould follows it",
            remedy: "insulate the surface or its cold bridge, blow dry air over it, or hold a lower dew point in cold weather".into(),
            source: Source::published(
                "ISO 13788:2012 (read second hand)",
                "surface condensation: surface temperature against dew point",
            ),
        }
        .compared(margin(least.value), margin(0.0)),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};
    use roomsim::Moment;

    /// Margins above the dew point on the summer and on the winter day.
    fn margins(summer_k: Option<f64>, winter_k: Option<f64>) -> Vec<Finding> {
        let moment = |k: Option<f64>| k.map(|value| Moment { at_s: 0.0, value });
        let mut day = steps().day.clone();
        day.summary.least_surface_margin_k = moment(summer_k);
        for scenario in &mut day.scenarios {
            if scenario.kind == ScenarioKind::Winter {
                scenario.summary.least_surface_margin_k = moment(winter_k);
            }
        }
        check(&steps().room, &day)
    }

    #[test]
    fn dew_begins_where_nothing_is_left() {
        assert!(margins(Some(0.01), Some(0.01)).is_empty());
        assert!(margins(None, None).is_empty());
        let (finding, measured, limit) = one(margins(Some(0.0), None));
        assert_eq!(finding.severity, Severity::Fix);
        assert_eq!((measured, limit), (0.0, 0.0));
    }

    #[test]
    fn winter_is_told_from_summer() {
        let said = |found| {
            let (finding, measured, _) = one(found);
            assert_eq!(measured, -1.5);
            finding.what.show(quantity::UnitSystem::Metric)
        };
        assert!(said(margins(Some(2.0), Some(-1.5))).contains("winter"));
        assert!(said(margins(Some(-1.5), Some(2.0))).contains("summer"));
        assert_eq!(margins(Some(-1.0), Some(-1.5)).len(), 2);
    }
}
