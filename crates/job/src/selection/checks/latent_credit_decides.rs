//! The set holds only because the cooling coils take water too.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::CoilCredit;

use super::Seen;
use crate::finding::Said;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let wanted = seen.room.selection.days_to_hold.value;
    let Some(candidate) = &seen.selection.chosen else {
        return Vec::new();
    };
    let (CoilCredit::Full, Some(without)) = (
        seen.room.selection.coil_credit.value,
        &candidate.without_coil_water,
    ) else {
        return Vec::new();
    };
    if wanted <= without.held_share() {
        return Vec::new();
    }
    let share = |x: f64| Value::new(x, Dim::Fraction).digits(2);
    vec![
        Said {
            check: "latent_credit_decides",
            severity: Severity::Note,
            step: Step::Selection,
            place: Place::new("cooling"),
            what: Text::from(format!(
                "without the water that the cooling coils take, {} would hold {} of {} drawn days",
                without.units.words(),
                without.held_days,
                without.days
            )),
            why: "a coil takes water only while it cools: in mild weather, or with dimmed lights, it takes less",
            remedy: "set coil_credit = \"none\" in [selection] to size without it, or keep the cooling's share proven by its condensate".into(),
            source: Source::published(
                "energy balance of the coil",
                "latent removal follows run time, run time follows sensible load",
            ),
        }
        .compared(share(without.held_share()), share(wanted)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};
    use crate::selection::checks::tests::seen;

    /// Nine of ten days are wanted, of 20 drawn.
    #[test]
    fn days_without_the_coils_water_decide() {
        let with = |held_days: usize, credit: CoilCredit| {
            let mut selection = steps().selection.clone();
            let chosen = selection.chosen.as_mut().unwrap();
            let mut without = chosen.judged.clone();
            without.held_days = held_days;
            chosen.without_coil_water = Some(without);
            let mut room = steps().room.clone();
            room.selection.coil_credit.value = credit;
            check(&seen(&room, &selection))
        };
        assert!(with(18, CoilCredit::Full).is_empty());
        let (finding, measured, limit) = one(with(17, CoilCredit::Full));
        assert_eq!(finding.severity, Severity::Note);
        assert_eq!((measured, limit), (0.85, 0.9));
        // Sized without credit it decides nothing.
        assert!(with(17, CoilCredit::None).is_empty());
    }
}
