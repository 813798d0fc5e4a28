//! Generators that feed units of several rooms.

use quantity::{Dim, Equation, Finding, Input, Source, Value, Working};

use super::{InRoom, in_room, named_by_several};
use crate::power::restart::Starter;
use crate::power::{
    Branch, GeneratorStart, Power, generator_findings, generator_start, starters_of,
};

/// A generator with the units of all rooms on it.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedGenerator {
    /// Names of the rooms whose units it feeds.
    pub rooms: Vec<String>,
    /// What the starts of all of them do to it.
    pub start: GeneratorStart,
    /// Greatest apparent power that starts together in each room alone \[VA\].
    pub alone_va: Vec<f64>,
}

/// Generators that several rooms name. What the generator itself is, the first
/// of the rooms says.
pub(super) fn generators(rooms: &[InRoom<'_>]) -> Vec<SharedGenerator> {
    named_by_several(rooms, |r| {
        r.room
            .generator
            .iter()
            .map(|g| g.name.value.as_str())
            .collect()
    })
    .into_iter()
    .filter_map(|(_, on_it)| shared_generator(&on_it))
    .collect()
}

fn shared_generator(on_it: &[InRoom<'_>]) -> Option<SharedGenerator> {
    let set = on_it.first()?.room.generator.as_ref()?;
    let mut apart_s = 0.0_f64;
    let mut all: Vec<(Starter, &Branch)> = Vec::new();
    for in_it in on_it {
        let (starters, room_apart_s) = starters_of(in_it.room, in_it.power);
        apart_s = apart_s.max(room_apart_s);
        let named = starters.into_iter().map(|s| Starter {
            tag: in_room(in_it.room, &s.tag),
            ..s
        });
        all.extend(named.zip(&in_it.power.branches));
    }
    Some(SharedGenerator {
        rooms: on_it.iter().map(|r| r.room.name.value.clone()).collect(),
        start: generator_start(set, &all, apart_s),
        alone_va: on_it
            .iter()
            .filter_map(|r| Some(r.power.generator.as_ref()?.start_va))
            .collect(),
    })
}

/// The checks of a generator, on the generator with all its rooms.
pub(super) fn findings(rooms: &[InRoom<'_>], generators: &[SharedGenerator]) -> Vec<Finding> {
    let Some(first) = rooms.first() else {
        return Vec::new();
    };
    generators
        .iter()
        .flat_map(|g| {
            let whole = Power {
                generator: Some(g.start.clone()),
                ..Power::default()
            };
            generator_findings(first.room, &whole)
        })
        .collect()
}

/// The start of all rooms' units, from those of each room alone.
pub(super) fn working(generator: &SharedGenerator) -> Working {
    let va = |x: f64| Value::new(x, Dim::ApparentPower);
    let rooms = generator.rooms.iter().zip(&generator.alone_va);
    Working {
        name: format!("{}, greatest start with all rooms", generator.start.name).into(),
        symbol: "S".into(),
        equation: Equation::Procedure(
            "units of all rooms in the order of their delays; those that start together added up, the greatest sum taken"
                .into(),
        ),
        inputs: rooms
            .enumerate()
            .map(|(i, (room, alone_va))| {
                Input::given(
                    format!("greatest start of {room} alone"),
                    format!("S_{}", i + 1),
                    va(*alone_va),
                    Source::measured("room's own sheet of power", room.clone()),
                )
            })
            .collect(),
        result: va(generator.start.start_va),
        source: Source::assumed("motors at locked rotor, as each room's own start"),
    }
}
