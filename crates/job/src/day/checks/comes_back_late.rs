//! The room does not come back soon after a power cut.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;
use roomsim::Disturbance;

use crate::day::Day;
use crate::finding::Said;

/// Time in which the room should be back in its band \[s\].
///
/// **Assumed**.
const SOON_S: f64 = 3.0 * 3600.0;

/// Share of an undisturbed day in band from which a power cut can be judged.
const MOSTLY: f64 = 0.9;

pub(super) fn check(_room: &Room, day: &Day) -> Vec<Finding> {
    let recovery = day
        .scenarios
        .iter()
        .find(|s| s.kind.is_power_cut())
        .and_then(|s| {
            let mut all = s.summary.recoveries.iter();
            // A wash-down of the same day is watched too.
            all.find(|r| r.after == Disturbance::PowerCut)
        });
    let Some(recovery) = recovery else {
        return Vec::new();
    };
    // A room that leaves its band on an undisturbed day says nothing here.
    if day.summary.share_in_band() < MOSTLY {
        return Vec::new();
    }
    let value = |s: f64| Value::new(s, Dim::Duration).digits(2);
    let said = |what: Text| Said {
        check: "comes_back_late",
        severity: Severity::Note,
        step: Step::Day,
        place: Place::new("room"),
        what,
        why: "lamps, cooling and units come back one after the other, and the crop does not wait",
        remedy:
            "stagger the restart so that cooling and units come first; a spare unit shortens it"
                .into(),
        source: Source::assumed("back in band within three hours is soon enough"),
    };
    let reached = Value::new(recovery.highest_rel_humidity, Dim::RelHumidity).digits(2);
    match recovery.in_band_after_s {
        Some(s) if s <= SOON_S => Vec::new(),
        Some(s) => vec![
            said(
                Text::from("after a power cut of half an hour the room is back in band after ")
                    .value(value(s))
                    .words(" and reaches ")
                    .value(reached),
            )
            .compared(value(s), value(SOON_S)),
        ],
        None => vec![
            said(
                Text::from("after a power cut of half an hour the room does not come back into its band by the end of the next day or before the floor is washed; it reaches ")
                    .value(reached),
            )
            .finding(),
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};
    use roomsim::Recovery;

    fn after(in_band_after_s: Option<f64>, share_in_band: f64) -> Vec<Finding> {
        let mut day = steps().day.clone();
        for period in &mut day.summary.periods {
            period.both_in_band_s = share_in_band * period.time_s;
        }
        let cut = |s: &&mut crate::day::Scenario| s.kind.is_power_cut();
        let cut = day.scenarios.iter_mut().find(cut).unwrap();
        let recovery = |after, in_band_after_s| Recovery {
            from_s: 0.0,
            after,
            in_band_after_s,
            highest_rel_humidity: 0.8,
            highest_dry_bulb_c: 22.0,
        };
        cut.summary.recoveries = vec![
            recovery(Disturbance::WashDown, None),
            recovery(Disturbance::PowerCut, in_band_after_s),
        ];
        check(&steps().room, &day)
    }

    #[test]
    fn three_hours_are_soon_enough() {
        assert!(after(Some(10_800.0), 1.0).is_empty());
        let (finding, measured, limit) = one(after(Some(10_801.0), 1.0));
        assert_eq!(finding.severity, Severity::Note);
        assert_eq!((measured, limit), (10_801.0, 10_800.0));
        // Never is later than any time, and has none to compare.
        let (never, ..) = one(after(None, 1.0));
        assert!(never.measured.is_none());
    }

    #[test]
    fn a_room_that_is_out_of_band_anyway_says_nothing() {
        assert!(after(None, 0.89).is_empty());
        assert_eq!(after(None, 0.91).len(), 1);
    }
}
