//! The units in the room do not hold it.

use quantity::{Dim, Finding, Place, Severity, Step, Text, Value};

use super::Seen;
use crate::finding::{Said, when_simulated};
use crate::simulate::HoldRule;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let Some(present) = &seen.selection.present else {
        return Vec::new();
    };
    if present.meets {
        return Vec::new();
    }
    let judged = present.counted(seen.room.selection.coil_credit.value);
    let wanted = seen.room.selection.days_to_hold.value;
    let share = |x: f64| Value::new(x, Dim::Fraction).digits(2);
    let when = judged
        .weakest_period()
        .map_or("at all hours", |p| when_simulated(seen.room, p));
    let helps = seen
        .selection
        .measures
        .iter()
        .filter(|m| m.before < m.after.held_days)
        .max_by_key(|m| m.after.held_days);
    let remedy = match (&seen.selection.chosen, helps) {
        (Some(chosen), Some(m)) => Text::from("first ").and(&m.what).words(format!(
            " ({} of {} days then hold); else install {}",
            m.after.held_days,
            m.after.days,
            chosen.judged.units.words()
        )),
        (Some(chosen), None) => Text::from(format!("install {}", chosen.judged.units.words())),
        (None, Some(m)) => Text::new()
            .and(&m.what)
            .words(format!(" ({} of {} days)", m.after.held_days, m.after.days)),
        (None, None) => Text::from(
            "allow more or larger models in [selection]: none of the sets or measures that were tried is enough",
        ),
    };
    vec![
        Said {
            check: "present_units_fail",
            severity: Severity::Stop,
            step: Step::Selection,
            place: Place::new("units"),
            what: Text::from(format!(
                "{} hold {} of {} drawn days; most fail {when}",
                judged.units.words(),
                judged.held_days,
                judged.days
            )),
            why: "the room is wetter than its target on too many days",
            remedy,
            source: HoldRule::SOURCE,
        }
        .compared(share(judged.held_share()), share(wanted)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};
    use crate::selection::checks::tests::seen;
    use crate::selection::{Candidate, Measure};
    use crate::units::UnitSet;
    use quantity::UnitSystem;

    /// What is present: two units that hold 17 of 20 days.
    fn present(meets: bool) -> Candidate {
        let mut present = steps().selection.chosen.clone().unwrap();
        present.meets = meets;
        present.judged.held_days = 17;
        present.judged.units = UnitSet::of("generic-30", 2);
        present
    }

    fn measure(before: usize, held_days: usize) -> Measure {
        let mut after = present(true).judged;
        after.held_days = held_days;
        Measure {
            what: Text::from("keep the night ")
                .value(Value::new(2.0, Dim::TemperatureDifference).digits(2))
                .words(" warmer"),
            units: after.units.clone(),
            before,
            after,
        }
    }

    #[test]
    fn units_that_do_not_meet_the_wish_stop() {
        let with = |meets: bool| {
            let mut selection = steps().selection.clone();
            selection.present = Some(present(meets));
            check(&seen(&steps().room, &selection))
        };
        assert!(with(true).is_empty());
        let (finding, measured, limit) = one(with(false));
        assert_eq!(finding.severity, Severity::Stop);
        assert_eq!((measured, limit), (0.85, 0.9));
        assert!(check(&seen(&steps().room, &steps().selection)).is_empty());
    }

    /// The remedy is the measure that helps most, then the set to install, else
    /// that nothing tried is enough; never empty.
    #[test]
    fn remedy_follows_from_what_was_tried() {
        let remedy = |measures: Vec<Measure>, chosen: bool| {
            let mut selection = steps().selection.clone();
            selection.present = Some(present(false));
            selection.measures = measures;
            if !chosen {
                selection.chosen = None;
            }
            let (finding, ..) = one(check(&seen(&steps().room, &selection)));
            finding.remedy.show(UnitSystem::Metric)
        };
        let installed = format!("install {}", steps().selection.design_set().words());
        assert_eq!(remedy(Vec::new(), true), installed);
        // A measure that changes nothing is none.
        assert_eq!(remedy(vec![measure(17, 17)], true), installed);
        let both = remedy(vec![measure(17, 18), measure(17, 19)], true);
        assert!(
            both.contains("19 of 20") && both.ends_with(&installed),
            "{both}"
        );
        let alone = remedy(vec![measure(17, 19)], false);
        assert!(
            alone.contains("warmer") && !alone.contains("install"),
            "{alone}"
        );
        assert!(remedy(Vec::new(), false).contains("none of the sets"));
    }

    /// A difference of 2 K is one of 3.6 °F.
    #[test]
    fn measures_speak_the_users_units() {
        let mut selection = steps().selection.clone();
        selection.present = Some(present(false));
        selection.measures = vec![measure(17, 19)];
        let (finding, ..) = one(check(&seen(&steps().room, &selection)));
        assert!(
            finding
                .remedy
                .show(UnitSystem::Metric)
                .contains("2.0 K warmer")
        );
        assert!(
            finding
                .remedy
                .show(UnitSystem::Us)
                .contains("3.6 °F warmer")
        );
    }

    #[test]
    fn a_room_without_lights_fails_at_all_hours() {
        let mut selection = steps().selection.clone();
        let mut failing = present(false);
        failing.judged.held_days_by_period = [None, None, Some(17)];
        selection.present = Some(failing);
        let said = |room| {
            let (finding, ..) = one(check(&seen(room, &selection)));
            finding.what.show(UnitSystem::Metric)
        };
        assert!(said(&steps().room).ends_with("with lights off"));
        assert!(said(&crate::common::Sheet::dark().room()).ends_with("at all hours"));
    }
}
