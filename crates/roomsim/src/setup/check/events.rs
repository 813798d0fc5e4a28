//! What happens once.

use super::SetupError;
use super::range::{Allowed, NOT_NEGATIVE, SHARE, number};
use crate::setup::{Event, Setup};

impl Setup {
    pub(super) fn check_event(&self, event: &Event) -> Result<(), SetupError> {
        let at_s = event.at_s();
        number("time of an event, s", at_s, NOT_NEGATIVE)?;
        let exists = |kind: &str, index: usize, count: usize| {
            if index < count {
                Ok(())
            } else {
                Err(SetupError::NoSuchMachine {
                    at_s,
                    machine: format!("{kind} {index}"),
                    count,
                })
            }
        };
        match *event {
            Event::PowerCut { lasts_s, .. } => {
                number("length of a power cut, s", lasts_s, NOT_NEGATIVE)
            }
            Event::WashDown { film_kg, .. } => {
                if self.floor.is_none() {
                    return Err(SetupError::NoFloor {
                        at_s,
                        what: "an event",
                    });
                }
                number("film of a wash-down, kg", film_kg, NOT_NEGATIVE)
            }
            Event::Irrigation { .. } => Ok(()),
            Event::FilterLoaded {
                dehumidifier,
                removal_factor,
                power_factor,
                ..
            } => {
                exists("dehumidifier", dehumidifier, self.dehumidifiers.len())?;
                number("removal factor of a loaded filter", removal_factor, SHARE)?;
                number(
                    "power factor of a loaded filter",
                    power_factor,
                    Allowed {
                        words: "0 to 3",
                        low: 0.0,
                        high: 3.0,
                    },
                )
            }
            Event::DehumidifierFails { dehumidifier, .. } => {
                exists("dehumidifier", dehumidifier, self.dehumidifiers.len())
            }
            Event::CoolingFails { cooling, .. } => {
                exists("cooling machine", cooling, self.cooling.len())
            }
        }
    }
}
