//! The set holds only because the cooling coils take water too.
//!
//! How much a coil takes hangs on its sensible share, its dew point or its
//! bypass factor. Where nobody surveyed any of them, days are promised by a
//! guess, and that is to be put right; where they are known it is worth knowing.

use equipment::{Catalog, Existence};
use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::{CoilCredit, Cooling};

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
    let guessed: Vec<&str> = seen
        .room
        .cooling
        .iter()
        .filter(|c| !coil_is_known(c, seen.catalog))
        .map(|c| c.name.as_str())
        .collect();
    let mut what = Text::from(format!(
        "without the water that the cooling coils take, {} would hold {} of {} drawn days",
        without.units.words(),
        without.held_days,
        without.days
    ));
    let (severity, remedy) = if guessed.is_empty() {
        (
            Severity::Note,
            "set coil_credit = \"none\" in [selection] to size without it, or keep the cooling's share proven by its condensate",
        )
    } else {
        what = what.words(format!(
            "; how much the coil of {} takes was assumed, not surveyed",
            guessed.join(" and ")
        ));
        (
            Severity::Fix,
            "read the sensible share at the maker's rating, or measure the coil's leaving air, and enter sensible_share, coil_dew_point or bypass_factor; until then size without it: coil_credit = \"none\" in [selection]",
        )
    };
    vec![
        Said {
            check: "latent_credit_decides",
            severity,
            step: Step::Selection,
            place: Place::new("cooling"),
            what,
            why: "a coil takes water only while it cools: in mild weather, or with dimmed lights, it takes less",
            remedy: remedy.into(),
            source: Source::published(
                "energy balance of the coil",
                "latent removal follows run time, run time follows sensible load",
            ),
        }
        .compared(share(without.held_share()), share(wanted)),
    ]
}

/// Whether what the coil takes was surveyed, or is in a document of its maker.
/// An invented record of the catalogue is no document.
fn coil_is_known(cooling: &Cooling, catalog: &Catalog) -> bool {
    let surveyed = cooling.sensible_share.is_some()
        || cooling.coil_dew_point_c.is_some()
        || cooling.bypass_factor.is_some();
    let documented = || {
        let model = cooling.model.as_ref()?;
        let record = catalog.coolers.get(&model.value)?;
        Some(record.provenance.existence != Existence::Invented)
    };
    surveyed || documented().unwrap_or(false)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{Sheet, one, steps};
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

    /// Sensible share, dew point or bypass factor: any of them makes the coil
    /// known. So does a record that is no invention.
    #[test]
    fn a_guessed_coil_is_to_be_put_right() {
        let mut selection = steps().selection.clone();
        let chosen = selection.chosen.as_mut().unwrap();
        let mut without = chosen.judged.clone();
        without.held_days = 17;
        chosen.without_coil_water = Some(without);
        let severity = |keys: &str, catalog: &Catalog| {
            let cooling = format!("[[cooling]]\nname = \"AC\"\n{keys}");
            let room = Sheet::leafy().and(&cooling).room();
            let seen = Seen {
                catalog,
                ..seen(&room, &selection)
            };
            let (finding, ..) = one(check(&seen));
            finding.severity
        };
        let shipped = crate::common::catalog();
        let plain = "capacity = \"5 kW\"";
        assert_eq!(severity(plain, shipped), Severity::Fix);
        for known in [
            "sensible_share = \"75 %\"",
            "coil_dew_point = \"9 °C\"",
            "bypass_factor = \"15 %\"",
        ] {
            let keys = format!("{plain}\n{known}");
            assert_eq!(severity(&keys, shipped), Severity::Note, "{known}");
        }
        let model = "model = \"generic-split-14\"";
        assert_eq!(severity(model, shipped), Severity::Fix);
        let mut documented = shipped.clone();
        let record = documented.coolers.get_mut("generic-split-14").unwrap();
        record.provenance.existence = Existence::Documented {
            document: "a maker's table".into(),
            page: "3".into(),
            read_on: "2026-01-01".into(),
        };
        assert_eq!(severity(model, &documented), Severity::Note);
    }
}
