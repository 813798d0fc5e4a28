//! The parts that every check fills in.

use quantity::{Finding, Place, Severity, Source, Step, Text, Value};

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
