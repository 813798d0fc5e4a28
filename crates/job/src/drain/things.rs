//! What a pipe can meet in the room.

use equipment::Catalog;
use room::{Room, Wall};

use crate::error::JobError;
use crate::geometry::{Cuboid, Point};
use crate::placement::{Placement, inside};

/// Kind of thing that a pipe must not pass through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ThingKind {
    /// Opening of a door.
    Door,
    /// Space of an aisle.
    Aisle,
    /// Bench with its canopy.
    Bench,
    /// Luminaire.
    Luminaire,
    /// Surveyed obstacle, with the space that it keeps clear.
    Obstacle,
    /// Cabinet of a unit.
    Unit,
    /// Electrical panel with the space over and under it.
    Panel,
}

/// A thing in the room.
#[derive(Clone, Debug, PartialEq)]
pub struct Thing {
    /// What it is called.
    pub name: String,
    /// What it is.
    pub kind: ThingKind,
    /// Where.
    pub space: Cuboid,
}

/// How far a door's opening counts into the room \[m\].
const DOOR_DEPTH_M: f64 = 0.2;
/// Half the width that a panel of unknown size is taken with \[m\].
///
/// **Assumed** a panel 20 in wide; its space up and down by NEC 110.26(E),
/// recalled.
const PANEL_HALF_M: f64 = 0.254;

/// All that was surveyed or placed.
///
/// # Errors
/// A model that the catalogue does not have.
pub(super) fn things(
    room: &Room,
    catalog: &Catalog,
    placement: &Placement,
) -> Result<Vec<Thing>, JobError> {
    let mut all = Vec::new();
    let bounds = inside(room);
    let mut add = |name: String, kind, space| all.push(Thing { name, kind, space });
    let named = |given: &Option<quantity::Given<String>>, what: &str, i: usize| {
        given
            .as_ref()
            .map_or_else(|| format!("{what} {}", i + 1), |n| n.value.clone())
    };
    for (i, door) in room.doors.iter().enumerate() {
        add(
            format!("door {}", i + 1),
            ThingKind::Door,
            door_space(door, &bounds),
        );
    }
    for (i, aisle) in room.aisles.iter().enumerate() {
        let [x, y, z] = aisle.at_m.value;
        let size = [
            aisle.length_m.value,
            aisle.width_m.value,
            aisle.headroom_m.value,
        ];
        let middle = [x, y, z + 0.5 * size[2]];
        add(
            named(&aisle.name, "aisle", i),
            ThingKind::Aisle,
            Cuboid::centred(middle, size),
        );
    }
    for (i, bench) in room.benches.iter().enumerate() {
        let [x, y, top] = bench.at_m.value;
        let canopy = bench.canopy_m.as_ref().map_or(0.0, |c| c.value);
        let height = (top + canopy).max(0.01);
        add(
            named(&bench.name, "bench", i),
            ThingKind::Bench,
            Cuboid::centred(
                [x, y, 0.5 * height],
                [bench.length_m.value, bench.width_m.value, height],
            ),
        );
    }
    for (i, lamps) in room.luminaires.iter().enumerate() {
        let size = [
            lamps.length_m.value,
            lamps.width_m.value,
            lamps.height_m.value,
        ];
        for at in &lamps.at_m {
            add(
                named(&lamps.name, "luminaire", i),
                ThingKind::Luminaire,
                Cuboid::centred(at.value, size),
            );
        }
    }
    for (i, o) in room.obstacles.iter().enumerate() {
        let size = [o.length_m.value, o.width_m.value, o.height_m.value];
        let clear = o.keep_clear_m.as_ref().map_or(0.0, |c| c.value);
        add(
            named(&o.name, "obstacle", i),
            ThingKind::Obstacle,
            Cuboid::centred(o.at_m.value, size).grown(clear),
        );
    }
    for panel in &room.panels {
        let [x, y, _] = panel.at_m.value;
        add(
            format!("panel {}", panel.name.value),
            ThingKind::Panel,
            Cuboid {
                low_m: [x - PANEL_HALF_M, y - PANEL_HALF_M, 0.0],
                high_m: [x + PANEL_HALF_M, y + PANEL_HALF_M, bounds.high_m[2]],
            },
        );
    }
    for unit in &placement.units {
        let body = &unit.record(catalog)?.body;
        add(unit.tag.clone(), ThingKind::Unit, unit.frame.cabinet(body));
    }
    Ok(all)
}

fn door_space(door: &room::Door, bounds: &Cuboid) -> Cuboid {
    let [length, width, _] = bounds.high_m;
    let (from, to) = (door.along_m.value, door.along_m.value + door.width_m.value);
    let (x, y) = match door.wall.value {
        Wall::MinusX => ((0.0, DOOR_DEPTH_M), (from, to)),
        Wall::PlusX => ((length - DOOR_DEPTH_M, length), (from, to)),
        Wall::MinusY => ((from, to), (0.0, DOOR_DEPTH_M)),
        Wall::PlusY => ((from, to), (width - DOOR_DEPTH_M, width)),
    };
    Cuboid {
        low_m: [x.0, y.0, 0.0],
        high_m: [x.1, y.1, door.height_m.value],
    }
}

/// Whether a pipe of this radius between two points meets a thing.
pub(super) fn meets(thing: &Thing, from: Point, to: Point, radius_m: f64) -> bool {
    let pipe = Cuboid {
        low_m: std::array::from_fn(|i| from[i].min(to[i]) - radius_m),
        high_m: std::array::from_fn(|i| from[i].max(to[i]) + radius_m),
    };
    thing.space.overlaps(&pipe)
}
