//! What starts do to a generator.

use room::{Generator, Room};

use super::restart::{self, Starter};
use super::{Branch, Power, starters_of};

/// What a start does to a generator.
#[derive(Clone, Debug, PartialEq)]
pub struct GeneratorStart {
    /// Its name.
    pub name: String,
    /// Apparent power of the generator \[VA\].
    pub rating_va: f64,
    /// Its subtransient reactance, per unit.
    pub reactance: f64,
    /// Greatest apparent power of units that start together \[VA\].
    pub start_va: f64,
    /// Dip then, the larger of linear and divider.
    pub dip: f64,
    /// Dip as a divider.
    pub dip_divider: f64,
    /// Greatest apparent power of one unit's start \[VA\].
    pub one_start_va: f64,
    /// Dip with units one after the other.
    pub staggered_dip: f64,
    /// Apparent power of all units once they run \[VA\].
    pub running_va: f64,
}

/// The generator of a room with its units; `None` where there is none.
pub(super) fn of_room(room: &Room, power: &Power) -> Option<GeneratorStart> {
    let set = room.generator.as_ref()?;
    let (starters, apart_s) = starters_of(room, power);
    let on_it: Vec<(Starter, &Branch)> = starters.into_iter().zip(&power.branches).collect();
    Some(generator_start(set, &on_it, apart_s))
}

/// The units that start on a generator, each with its circuit; starts less
/// than `apart_s` \[s\] apart count as one. Tags tell the units apart.
pub(crate) fn generator_start(
    set: &Generator,
    on_it: &[(Starter, &Branch)],
    apart_s: f64,
) -> GeneratorStart {
    let (rating_va, reactance) = (set.rating_va.value, set.reactance.value);
    let va = |tag: &String| {
        on_it
            .iter()
            .find(|(s, _)| s.tag == *tag)
            .map_or(0.0, |(_, b)| b.start_va())
    };
    let starters: Vec<Starter> = on_it.iter().map(|(s, _)| s.clone()).collect();
    let start_va = restart::events(&starters, apart_s, &[0.0; 3])
        .iter()
        .map(|e| e.tags.iter().map(va).sum())
        .fold(0.0, f64::max);
    let one_start_va = on_it.iter().map(|(_, b)| b.start_va()).fold(0.0, f64::max);
    GeneratorStart {
        name: set.name.value.clone(),
        rating_va,
        reactance,
        start_va,
        // The linear one is always the larger.
        dip: restart::generator_dip_linear(start_va, rating_va, reactance),
        dip_divider: restart::generator_dip_divider(start_va, rating_va, reactance),
        one_start_va,
        staggered_dip: restart::generator_dip_linear(one_start_va, rating_va, reactance),
        running_va: on_it.iter().map(|(_, b)| b.running_va()).sum(),
    }
}
