//! The parts that every check fills in.

use quantity::{Finding, Place, Severity, Source, Step, Text, Value};
use room::{Period, Room};

/// A period in words. In a room without lights all hours are alike.
pub(crate) fn when(room: &Room, period: Period) -> &'static str {
    let ever_lit = 0.0 < room.period_length_s(Period::LightsOn);
    match period {
        Period::LightsOn => "with lights on",
        Period::Transition => "just after lights-off",
        Period::LightsOff if ever_lit => "with lights off",
        Period::LightsOff => "at all hours",
    }
}

/// A period of the simulated day in words: its transitions follow each
/// switching of the lamps.
pub(crate) fn when_simulated(room: &Room, period: roomsim::Period) -> &'static str {
    match period {
        roomsim::Period::LightsOn => when(room, Period::LightsOn),
        roomsim::Period::Transition => "just after the lights switch",
        roomsim::Period::LightsOff => when(room, Period::LightsOff),
    }
}

/// A finding without numbers to compare; [`Compared`] adds them.
pub(crate) struct Said {
    pub(crate) check: &'static str,
    pub(crate) severity: Severity,
    pub(crate) step: Step,
    pub(crate) place: Place,
    pub(crate) what: Text,
    pub(crate) why: &'static str,
    pub(crate) remedy: Text,
    pub(crate) source: Source,
}

impl Said {
    pub(crate) fn finding(self) -> Finding {
        Finding {
            check: self.check.into(),
            severity: self.severity,
            step: self.step,
            place: self.place,
            what: self.what,
            measured: None,
            limit: None,
            why: self.why.into(),
            remedy: self.remedy,
            source: self.source,
        }
    }

    pub(crate) fn compared(self, measured: Value, limit: Value) -> Finding {
        Finding {
            measured: Some(measured),
            limit: Some(limit),
            ..self.finding()
        }
    }
}
