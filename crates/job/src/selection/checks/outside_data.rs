//! The chosen model works outside its data at this room's air.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Period;

use super::Seen;
use crate::finding::{Said, when};

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let room = seen.room;
    let set = seen.selection.design_set();
    set.groups()
        .iter()
        .filter_map(|(code, _)| seen.selection.capacities.iter().find(|c| c.code == *code))
        .flat_map(|capacity| {
            [Period::LightsOn, Period::LightsOff]
                .into_iter()
                .filter(|&period| 0.0 < room.period_length_s(period))
                .filter_map(move |period| {
                    let moment = capacity.at(period);
                    Some((capacity, when(room, period), moment, moment.beyond?))
                })
        })
        .map(|(capacity, when, moment, how)| {
            Said {
                check: "outside_data",
                severity: Severity::Fix,
                step: Step::Selection,
                place: Place::new(format!("model {}", capacity.code)),
                what: Text::from(format!("{when} its inlet is at "))
                    .value(Value::new(moment.inlet_dry_bulb_c, Dim::Temperature))
                    .words(" and ")
                    .value(Value::new(moment.inlet_rel_humidity, Dim::RelHumidity).digits(2))
                    .words(format!(": {how}")),
                why: "outside its data a record is carried on by physics; the error there is not known",
                remedy: "ask the maker for the point, or choose a model whose data reach this air".into(),
                source: Source::assumed("data hold between their outermost points only"),
            }
            .finding()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};
    use crate::selection::checks::tests::seen;
    use quantity::UnitSystem;

    #[test]
    fn only_the_moment_outside_is_named() {
        let room = &steps().room;
        let mut selection = steps().selection.clone();
        assert!(check(&seen(room, &selection)).is_empty());
        selection.capacities[0].lights_off.beyond = Some("colder than its data");
        let (finding, ..) = one(check(&seen(room, &selection)));
        assert_eq!(finding.severity, Severity::Fix);
        // The room is at 22 °C; own discharge makes the inlet a little warmer.
        let inlet_c = selection.capacities[0].lights_off.inlet_dry_bulb_c;
        for system in [UnitSystem::Metric, UnitSystem::Us] {
            let what = finding.what.show(system);
            let inlet = Value::new(inlet_c, Dim::Temperature).show(system);
            assert!(
                what.contains("lights off") && what.contains(&inlet),
                "{what}"
            );
            assert!(what.ends_with("colder than its data"), "{what}");
        }
    }

    #[test]
    fn a_room_without_lights_has_one_moment() {
        let mut selection = steps().selection.clone();
        selection.capacities[0].lights_on.beyond = Some("colder than its data");
        selection.capacities[0].lights_off.beyond = Some("colder than its data");
        assert_eq!(check(&seen(&steps().room, &selection)).len(), 2);
        let dark = crate::common::Sheet::dark().room();
        let (finding, ..) = one(check(&seen(&dark, &selection)));
        assert!(
            finding
                .what
                .show(UnitSystem::Metric)
                .starts_with("at all hours")
        );
    }

    /// A model that was looked at and not taken may lie outside.
    #[test]
    fn models_not_in_the_set_do_not_matter() {
        let mut selection = steps().selection.clone();
        selection.capacities[0].lights_off.beyond = Some("colder than its data");
        selection.capacities[0].code = "another".into();
        assert!(check(&seen(&steps().room, &selection)).is_empty());
    }
}
