//! The chosen model works outside its data at this room's air.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};

use super::Seen;
use crate::finding::Said;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let set = seen.selection.design_set();
    set.groups()
        .iter()
        .filter_map(|(code, _)| seen.selection.capacities.iter().find(|c| c.code == *code))
        .flat_map(|capacity| {
            [
                ("lights on", &capacity.lights_on),
                ("lights off", &capacity.lights_off),
            ]
            .into_iter()
            .filter_map(move |(when, moment)| Some((capacity, when, moment, moment.beyond?)))
        })
        .map(|(capacity, when, moment, how)| {
            Said {
                check: "outside_data",
                severity: Severity::Fix,
                step: Step::Selection,
                place: Place::new(format!("model {}", capacity.code)),
                what: Text::from(format!("with {when} its inlet is at "))
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
