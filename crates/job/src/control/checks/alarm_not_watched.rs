//! Nobody watches the alarm contact of a unit.

use equipment::Catalog;
use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use crate::control::Control;
use crate::finding::Said;

pub(super) fn check(_room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    control
        .alarms_unwatched
        .iter()
        .map(|unit| {
            Said {
                check: "alarm_not_watched",
                severity: Severity::Note,
                step: Step::Control,
                place: Place::new(unit.clone()),
                what: Text::from(format!(
                    "the alarm contact of {unit} goes to no input: its controller has none free"
                )),
                why: "high water or a fault is seen only by who walks past",
                remedy:
                    "wire it to the alarm of the building, or leave it and look at the unit daily"
                        .into(),
                source: Source::assumed("alarm inputs as the controller's record lists them"),
            }
            .finding()
        })
        .collect()
}
