//! The units held the room when they were chosen, and do not where they stand.
//!
//! Selection assumes one share of dried air at every inlet and no ducts; places
//! say what each unit breathes and moves.

use quantity::{Dim, Finding, Place, Severity, Step, Text, Value};
use room::Room;

use crate::day::{BeforePlaces, Day, InPlace};
use crate::finding::Said;
use crate::placement::shares;

pub(super) fn check(room: &Room, day: &Day) -> Vec<Finding> {
    let wanted = room.selection.days_to_hold.value;
    let Some(before) = day.before_places.filter(|_| !day.in_place.is_empty()) else {
        return Vec::new();
    };
    let held = day.judged.held_share();
    if before.held_share() < wanted || wanted <= held {
        return Vec::new();
    }
    let share = |x: f64| Value::new(x, Dim::Fraction).digits(2);
    vec![
        Said {
            check: "fails_in_place",
            severity: Severity::Stop,
            step: Step::Day,
            place: worst(day).map_or_else(|| Place::new("room"), |u| Place::new(u.tag.clone())),
            what: what(day, &before),
            why: "a unit that breathes dried air, or moves less air, takes less water than the one that was chosen",
            remedy: "give the discharges a longer way back to an inlet, turn units away from each other, use shorter or wider ducts; else add one unit".into(),
            source: shares::OWN,
        }
        .compared(share(held), share(wanted)),
    ]
}

/// The unit that breathes most of what was dried before.
fn worst(day: &Day) -> Option<&InPlace> {
    day.in_place
        .iter()
        .max_by(|a, b| a.air.short_circuit.total_cmp(&b.air.short_circuit))
}

fn what(day: &Day, before: &BeforePlaces) -> Text {
    let share = |x: f64| Value::new(x, Dim::Fraction).digits(2);
    let mut text = Text::from("selection took the inlet air of every unit as ")
        .value(share(before.short_circuit))
        .words(format!(
            " dried before, and {} of {} drawn days held with {}; in their places",
            before.held_days,
            before.days,
            day.units.words()
        ));
    for (n, unit) in day.in_place.iter().enumerate() {
        let before = if n == 0 { " " } else { ", " };
        text = text.words(before).and(&unit.words());
    }
    text.words(format!(
        ", and {} of {} days hold",
        day.judged.held_days, day.judged.days
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};
    use crate::units::UnitAir;
    use quantity::UnitSystem;

    /// A day of three placed units that so many of 20 drawn days hold, and held
    /// when they were chosen.
    fn held(before: usize, now: usize) -> Day {
        let mut day = steps().day.clone();
        assert_eq!(day.judged.days, 20);
        day.judged.held_days = now;
        day.before_places = Some(BeforePlaces {
            held_days: before,
            days: 20,
            short_circuit: 0.1,
        });
        let unit = |tag: &str, short_circuit: f64, ducted_m3_per_s: Option<f64>| InPlace {
            tag: tag.into(),
            model: "generic-30".into(),
            air: UnitAir {
                short_circuit,
                ducted_m3_per_s,
            },
        };
        day.in_place = vec![
            unit("D1", 0.05, None),
            unit("D2", 0.42, None),
            unit("D3", 0.1, Some(0.05)),
        ];
        day
    }

    #[test]
    fn it_fires_only_where_selection_held_and_the_places_do_not() {
        let room = &steps().room;
        let (finding, measured, limit) = one(check(room, &held(18, 17)));
        assert_eq!(finding.severity, Severity::Stop);
        assert_eq!((measured, limit), (0.85, 0.9));
        // Nine of ten are enough in place, and before there is nothing to lose.
        assert!(check(room, &held(18, 18)).is_empty());
        assert!(check(room, &held(20, 18)).is_empty());
        assert!(check(room, &held(17, 17)).is_empty());
        // Before there are places, nothing is said of them.
        let mut nowhere = held(18, 17);
        nowhere.in_place.clear();
        assert!(check(room, &nowhere).is_empty());
        let mut unasked = held(18, 17);
        unasked.before_places = None;
        assert!(check(room, &unasked).is_empty());
    }

    #[test]
    fn it_names_the_worst_unit_and_says_both_counts() {
        let (finding, ..) = one(check(&steps().room, &held(19, 12)));
        assert_eq!(finding.place, Place::new("D2"));
        let said = finding.what.show(UnitSystem::Metric);
        for part in [
            "10 % dried",
            "19 of 20",
            "D2 breathes 42 %",
            "180 m³/h",
            "12 of 20",
        ] {
            assert!(said.contains(part), "{said}");
        }
    }
}
