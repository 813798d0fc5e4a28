//! A log without a room: what its air is like, and what cannot be said of it.

use equipment::Model;
use quantity::{Dim, Text, Value};

use super::{Line, Look};

/// The air of the log from its 5th to its 95th percentile.
pub(super) fn air(look: &Look<'_>) -> Option<Line> {
    if look.of_room.is_some() {
        return None;
    }
    let known: Vec<usize> = look.series.known().collect();
    if known.is_empty() {
        return Some(Line::Silent(
            "the log has no dry bulb together with a humidity: its air is not looked at".into(),
        ));
    }
    let ends = |values: &[f64], dim: Dim| {
        let mut all: Vec<f64> = known.iter().map(|&i| values[i]).collect();
        all.sort_by(f64::total_cmp);
        let at = |share: f64| {
            let nth = (share * (all.len() - 1) as f64).round() as usize;
            Value::new(all[nth], dim)
        };
        Text::new().value(at(0.05)).words(" to ").value(at(0.95))
    };
    let series = look.series;
    let said = Text::from("nine tenths of the time the air has ")
        .and(&ends(&series.dry_bulb_c, Dim::Temperature))
        .words(", ")
        .and(&ends(&series.rel_humidity, Dim::RelHumidity))
        .words(", dew point ")
        .and(&ends(&series.dew_point_c, Dim::Temperature));
    Some(Line::Silent(said))
}

/// What would be said with more than the log.
pub(super) fn missing(look: &Look<'_>, model: Option<&Model>) -> Vec<Line> {
    if look.of_room.is_some() {
        return Vec::new();
    }
    let has_air = look.series.known().next().is_some();
    let needs = [
        (
            has_air && look.set.is_none(),
            "whether the air ever reaches what is set needs the setpoint: give it as the reading \"setpoint\"",
        ),
        (
            has_air && look.lit.is_none(),
            "what happens at lights-off needs a column of light in the log, or the room file with its hours",
        ),
        (
            !look.units.is_empty() && model.is_none(),
            "power, water and air against what the unit can do need its model",
        ),
        (
            true,
            "how the air answers to the unit, the water given off and the air exchange need the room: its size, crop and targets in a room file",
        ),
    ];
    needs
        .into_iter()
        .filter(|(is_missing, _)| *is_missing)
        .map(|(_, what)| Line::Silent(what.into()))
        .collect()
}
