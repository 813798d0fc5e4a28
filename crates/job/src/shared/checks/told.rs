//! What several room files say of one thing, and where they differ.

use quantity::{Finding, Place, Severity, Source, Step, Text, Value};

use crate::finding::Said;

/// What a room's file says of a thing: the property's words and value.
pub(super) type Told<'a, const N: usize> = (&'a str, [(&'static str, Option<Value>); N]);

/// One property that two rooms tell differently.
pub(super) struct Differs<'a> {
    what: &'static str,
    first: (&'a str, Value),
    other: (&'a str, Value),
}

/// What rooms say that differs from what the first of them says.
pub(super) fn differences<'a, const N: usize>(told: &[Told<'a, N>]) -> Vec<Differs<'a>> {
    let Some((first_room, first)) = told.first() else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for (room, other) in &told[1..] {
        for ((what, a), (_, b)) in first.iter().zip(other) {
            let (Some(a), Some(b)) = (a, b) else { continue };
            if 1e-6 * a.si.abs() < (a.si - b.si).abs() {
                found.push(Differs {
                    what,
                    first: (first_room, *a),
                    other: (room, *b),
                });
            }
        }
    }
    found
}

impl Differs<'_> {
    /// It as a finding.
    pub(super) fn finding(
        self,
        check: &'static str,
        place: Place,
        why: &'static str,
        remedy: &'static str,
        source: Source,
    ) -> Finding {
        let ((first_room, a), (room, b)) = (self.first, self.other);
        Said {
            check,
            severity: Severity::Fix,
            step: Step::Power,
            place,
            what: Text::from(format!("its {} is ", self.what))
                .value(a)
                .words(format!(" by {first_room} and "))
                .value(b)
                .words(format!(" by {room}")),
            why,
            remedy: remedy.into(),
            source,
        }
        .compared(a, b)
    }
}
