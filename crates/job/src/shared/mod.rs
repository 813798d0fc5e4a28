//! What the rooms of a job share, added up: panels and generators of one
//! name, and drains that say that they join one main.
//!
//! Each room is planned on its own; here their loads meet. The schedule, the
//! checks of a panel and the sizing of a pipe are those of the steps.

mod checks;
mod generators;
mod mains;
mod panels;

use quantity::{Finding, Working};
use room::Room;

use crate::drain::Drain;
use crate::power::Power;

pub use generators::SharedGenerator;
pub use mains::SharedMain;
pub use panels::SharedPanel;

/// A room with what its steps found.
#[derive(Clone, Copy, Debug)]
pub struct InRoom<'a> {
    /// The room.
    pub room: &'a Room,
    /// Its circuits.
    pub power: &'a Power,
    /// Its drains.
    pub drain: &'a Drain,
}

/// What rooms share.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shared {
    /// Panels that feed units of several rooms, by name.
    pub panels: Vec<SharedPanel>,
    /// Generators that feed units of several rooms, by name.
    pub generators: Vec<SharedGenerator>,
    /// Drain mains that take the water of several rooms, by name.
    pub mains: Vec<SharedMain>,
    /// Judgements.
    pub findings: Vec<Finding>,
    /// How its numbers came about.
    pub workings: Vec<Working>,
}

/// Adds up what rooms share. Panels and generators are told apart by their
/// names, drain mains
/// by the word `main` of the drains that join them.
pub fn shared(rooms: &[InRoom<'_>]) -> Shared {
    let panels = panels::panels(rooms);
    let generators = generators::generators(rooms);
    let mains = mains::mains(rooms);
    let workings = panels
        .iter()
        .map(panels::working)
        .chain(generators.iter().map(generators::working))
        .chain(mains.iter().filter_map(mains::working))
        .collect();
    Shared {
        findings: checks::findings(rooms, &panels, &generators, &mains),
        workings,
        panels,
        generators,
        mains,
    }
}

/// Names that at least two rooms say, in order, each with the rooms that do.
fn named_by_several<'a>(
    rooms: &[InRoom<'a>],
    names: impl Fn(&InRoom<'a>) -> Vec<&'a str>,
) -> Vec<(&'a str, Vec<InRoom<'a>>)> {
    let mut all: Vec<&str> = rooms.iter().flat_map(&names).collect();
    all.sort_unstable();
    all.dedup();
    all.into_iter()
        .map(|name| {
            let of_name = rooms.iter().filter(|r| names(r).contains(&name));
            (name, of_name.copied().collect::<Vec<_>>())
        })
        .filter(|(_, of_name)| 1 < of_name.len())
        .collect()
}

/// A circuit's or unit's name with the room that it is in.
fn in_room(room: &Room, name: &str) -> String {
    format!("{}, {name}", room.name.value)
}
