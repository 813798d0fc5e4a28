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
