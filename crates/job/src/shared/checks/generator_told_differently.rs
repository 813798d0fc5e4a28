//! Room files say different things of one generator.

use quantity::{Dim, Finding, Place, Source, Value};

use super::super::{InRoom, SharedGenerator};
use super::told::differences;

pub(super) fn check(rooms: &[InRoom<'_>], sets: &[SharedGenerator]) -> Vec<Finding> {
    sets.iter()
        .flat_map(|set| {
            let name = set.start.name.as_str();
            let told: Vec<_> = rooms
                .iter()
                .filter(|r| set.rooms.contains(&r.room.name.value))
                .filter_map(|r| Some((r.room.name.value.as_str(), r.room.generator.as_ref()?)))
                .map(|(room, g)| {
                    let said = |given: &quantity::Given<f64>, dim| Some(Value::new(given.value, dim));
                    let all = [
                        ("rating", said(&g.rating_va, Dim::ApparentPower)),
                        ("reactance", said(&g.reactance, Dim::Number)),
                    ];
                    (room, all)
                })
                .collect();
            differences(&told).into_iter().map(|differs| {
                differs.finding(
                    "generator_told_differently",
                    Place::new(name.to_owned()),
                    "one generator has one plate; what was added up may be wrong",
                    "read the plate and say the same in all room files, or give two generators two names",
                    Source::assumed("generators of one name in one job are one generator"),
                )
            }).collect::<Vec<_>>()
        })
        .collect()
}
