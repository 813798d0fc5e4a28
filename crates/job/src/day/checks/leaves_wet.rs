//! Leaves are at risk of wetness for hours.
//!
//! Counts the time in which the air at leaf temperature is at 90 % relative
//! humidity or more, or the leaf is less than 1 K above the dew point.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::day::Day;
use crate::finding::Said;

/// Spell that is worth a warning, and hours a day that are an alarm \[s\].
const WARN_SPELL_S: f64 = 2.0 * 3600.0;
const ALARM_S: f64 = 6.0 * 3600.0;

pub(super) fn check(_room: &Room, day: &Day) -> Vec<Finding> {
    let summary = &day.summary;
    let per_day_s = summary.leaf_wetness_risk_s / f64::from(summary.days);
    let longest_s = summary.longest_leaf_wetness_risk_s;
    let (severity, measured_s, limit_s) = if ALARM_S <= per_day_s {
        (Severity::Stop, per_day_s, ALARM_S)
    } else if WARN_SPELL_S <= longest_s {
        (Severity::Fix, longest_s, WARN_SPELL_S)
    } else {
        return Vec::new();
    };
    let value = |s: f64| Value::new(s, Dim::Duration).digits(2);
    vec![
        Said {
            check: "leaves_wet",
            severity,
            step: Step::Day,
            place: Place::new("canopy"),
            what: Text::from("leaves are at risk of wetness for ")
                .value(value(per_day_s))
                .words(" of a typical day, ")
                .value(value(longest_s))
                .words(" at a stretch"),
            why: "grey mould germinates in about seven hours of free water",
            remedy: "remove more at night, keep the nights warmer, or move more air among the leaves".into(),
            source: Source::published(
                "Yunis et al. 1994, Crop Protection 13:99-104; relative humidity of 90 % as a stand-in for leaf wetness after Sentelhas et al. (abstracts)",
                "thresholds in hours are chosen on the safe side of these",
            ),
        }
        .compared(value(measured_s), value(limit_s)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};

    fn at_risk(in_all_s: f64, longest_s: f64) -> Vec<Finding> {
        let mut day = steps().day.clone();
        day.summary.leaf_wetness_risk_s = in_all_s * f64::from(day.summary.days);
        day.summary.longest_leaf_wetness_risk_s = longest_s;
        check(&steps().room, &day)
    }

    #[test]
    fn two_hours_at_a_stretch_warn() {
        assert!(at_risk(7199.0, 7199.0).is_empty());
        let (finding, measured, limit) = one(at_risk(7200.0, 7200.0));
        assert_eq!(finding.severity, Severity::Fix);
        assert_eq!((measured, limit), (7200.0, 7200.0));
    }

    /// Short spells that add up count from six hours a day on.
    #[test]
    fn six_hours_a_day_stop() {
        assert!(at_risk(21_599.0, 3600.0).is_empty());
        let (finding, measured, limit) = one(at_risk(21_600.0, 3600.0));
        assert_eq!(finding.severity, Severity::Stop);
        assert_eq!((measured, limit), (21_600.0, 21_600.0));
    }

    /// What is compared must lie on the wrong side of its limit.
    #[test]
    fn a_long_spell_is_compared_with_the_limit_of_spells() {
        let (finding, measured, limit) = one(at_risk(3.5 * 3600.0, 2.5 * 3600.0));
        assert_eq!(finding.severity, Severity::Fix);
        assert_eq!((measured, limit), (2.5 * 3600.0, 7200.0));
    }
}
