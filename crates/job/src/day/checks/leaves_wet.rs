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
    let severity = if ALARM_S <= per_day_s {
        Severity::Stop
    } else if WARN_SPELL_S <= summary.longest_leaf_wetness_risk_s {
        Severity::Fix
    } else {
        return Vec::new();
    };
    let value = |s: f64| Value::new(s, Dim::Duration).digits(2);
    let limit_s = if severity == Severity::Stop {
        ALARM_S
    } else {
        WARN_SPELL_S
    };
    vec![
        Said {
            check: "leaves_wet",
            severity,
            step: Step::Day,
            place: Place::new("canopy"),
            what: Text::from("leaves are at risk of wetness for ")
                .value(value(per_day_s))
                .words(" of a typical day, ")
                .value(value(summary.longest_leaf_wetness_risk_s))
                .words(" at a stretch"),
            why: "grey mould germinates in about seven hours of free water",
            remedy: "more removal at night, warmer nights, or more air movement among the leaves".into(),
            source: Source::published(
                "Yunis et al. 1994, Crop Protection 13:99-104; relative humidity of 90 % as a stand-in for leaf wetness after Sentelhas et al. (abstracts)",
                "thresholds in hours are chosen on the safe side of these",
            ),
        }
        .compared(value(per_day_s), value(limit_s)),
    ]
}
