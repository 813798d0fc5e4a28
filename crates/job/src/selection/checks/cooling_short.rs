//! The cooling cannot carry lights and units together.
//!
//! Each unit gives back the heat of the water that it takes, and its own
//! power; a room that is too warm reads dry while the crop drinks more.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};

use super::Seen;
use crate::finding::Said;

/// Time a day above the setpoint by more than 1 K that counts as short.
///
/// **Assumed**: an hour in all is a hot afternoon, more is a shortage.
const LONGEST_S: f64 = 3600.0;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let selection = seen.selection;
    let Some(candidate) = selection.present.as_ref().or(selection.chosen.as_ref()) else {
        return Vec::new();
    };
    let short_s = candidate.judged.cooling_shortfall_s;
    if short_s.likely <= LONGEST_S {
        return Vec::new();
    }
    let value = |s: f64| Value::new(s, Dim::Duration).digits(2);
    let remedy = if seen.room.cooling.is_empty() {
        "survey the cooling and enter it; without any the room's heat stays in it"
    } else {
        "check the cooling's capacity at the design outdoor air, or add cooling; units with a higher energy factor add less heat"
    };
    vec![
        Said {
            check: "cooling_short",
            severity: Severity::Fix,
            step: Step::Selection,
            place: Place::new("cooling"),
            what: Text::from(format!("with {} the room is more than 1 K above its cooling setpoint for ", candidate.judged.units.words()))
                .value(value(short_s.likely))
                .words(" a day"),
            why: "what the units take as water they give back as heat; a room above its temperature is neither at its humidity nor at its VPD",
            remedy: remedy.into(),
            source: Source::assumed("an hour a day above setpoint is let pass"),
        }
        .compared(value(short_s.likely), value(LONGEST_S)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};
    use crate::selection::Selection;
    use crate::selection::checks::tests::seen;
    use quantity::{Band, UnitSystem};

    fn short_for(s: f64) -> Selection {
        let mut selection = steps().selection.clone();
        let chosen = selection.chosen.as_mut().unwrap();
        chosen.judged.cooling_shortfall_s = Band::exact(s);
        selection
    }

    #[test]
    fn an_hour_a_day_is_let_pass() {
        let room = &steps().room;
        assert!(check(&seen(room, &short_for(3600.0))).is_empty());
        let (finding, measured, limit) = one(check(&seen(room, &short_for(3601.0))));
        assert_eq!(finding.severity, Severity::Fix);
        assert_eq!((measured, limit), (3601.0, 3600.0));
    }

    #[test]
    fn remedy_asks_for_the_survey_first() {
        let said = |room| {
            let (finding, ..) = one(check(&seen(room, &short_for(7200.0))));
            finding.remedy.show(UnitSystem::Metric)
        };
        assert!(said(&steps().room).contains("survey the cooling"));
        let cooled =
            crate::common::Sheet::leafy().and("[[cooling]]\nname = \"AC\"\ncapacity = \"5 kW\"");
        assert!(said(&cooled.room()).contains("capacity"));
    }

    /// What stands in the room is judged before what should.
    #[test]
    fn units_present_come_first() {
        let mut selection = short_for(7200.0);
        selection.present = steps().selection.chosen.clone();
        assert!(check(&seen(&steps().room, &selection)).is_empty());
    }
}
