//! With one unit out the room does not hold.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Spare;

use super::Seen;
use crate::finding::Said;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let Some(candidate) = &seen.selection.chosen else {
        return Vec::new();
    };
    // At a first look nobody knows.
    let Some(out) = &candidate.one_unit_out else {
        return Vec::new();
    };
    let wanted = seen.room.selection.days_to_hold.value;
    if seen.room.selection.spare.value == Spare::OneUnitOut || wanted <= out.held_share() {
        return Vec::new();
    }
    let share = |x: f64| Value::new(x, Dim::Fraction).digits(2);
    vec![
        Said {
            check: "no_spare",
            severity: Severity::Note,
            step: Step::Selection,
            place: Place::new("units"),
            what: Text::from(format!(
                "with one unit out, {} hold {} of {} drawn days",
                out.units.words(),
                out.held_days,
                out.days
            )),
            why: "every unit stops some day: for its filter, its drain, its float switch",
            remedy: "agree with the grower whether a spare is wanted: spare = \"one unit out\" in [selection]".into(),
            source: Source::common_practice("one unit more than the load asks for, where a wet day costs a crop"),
        }
        .compared(share(out.held_share()), share(wanted)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};
    use crate::selection::checks::tests::seen;

    #[test]
    fn days_with_one_unit_out_decide() {
        let with = |held_days: usize, spare: Spare| {
            let mut selection = steps().selection.clone();
            let chosen = selection.chosen.as_mut().unwrap();
            chosen.one_unit_out.as_mut().unwrap().held_days = held_days;
            let mut room = steps().room.clone();
            room.selection.spare.value = spare;
            check(&seen(&room, &selection))
        };
        assert!(with(18, Spare::None).is_empty());
        let (finding, measured, limit) = one(with(17, Spare::None));
        assert_eq!(finding.severity, Severity::Note);
        assert_eq!((measured, limit), (0.85, 0.9));
        // With a spare asked for, sets without one are not chosen at all.
        assert!(with(17, Spare::OneUnitOut).is_empty());
    }
}
