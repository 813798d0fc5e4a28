//! Space to keep free before a panel.

use room::{Panel, Room, Wall};

use super::route::nearest_wall;
use super::schedule::WorkingSpace;
use crate::geometry::Cuboid;

/// A panel farther from the room than this hangs outside it \[m\].
const OUTSIDE_M: f64 = 0.3;
/// Width of the space, NEC 110.26(A)(2): 30 in \[m\].
const WIDTH_M: f64 = 0.762;
/// Height of the space, NEC 110.26(A)(3): 6.5 ft \[m\].
const HEIGHT_M: f64 = 1.981;

/// Depth of the space \[m\]: 3 ft to 150 V to ground; above, 3.5 ft, since
/// walls and benches opposite count as grounded.
///
/// **Source** NEC Table 110.26(A)(1), condition 2; 3.5 ft recalled.
pub(super) fn depth_m(to_ground_v: f64) -> f64 {
    if to_ground_v <= 150.0 { 0.914 } else { 1.067 }
}

/// The space before a panel and what stands in it; `None` where the panel
/// hangs outside the room.
pub(super) fn before(
    room: &Room,
    panel: &Panel,
    to_ground_v: f64,
    cabinets: &[(String, Cuboid)],
) -> Option<WorkingSpace> {
    let at_m = panel.at_m.value;
    let g = &room.geometry;
    let inside = Cuboid {
        low_m: [0.0; 3],
        high_m: [g.length_m.value, g.width_m.value, g.height_m.value],
    };
    if !inside
        .grown(OUTSIDE_M)
        .holds(&Cuboid::centred(at_m, [0.0; 3]))
    {
        return None;
    }
    let depth_m = depth_m(to_ground_v);
    let (axis, sign) = match nearest_wall(room, at_m).0 {
        Wall::MinusX => (0, 1.0),
        Wall::PlusX => (0, -1.0),
        Wall::MinusY => (1, 1.0),
        Wall::PlusY => (1, -1.0),
    };
    let across = 1 - axis;
    let mut space = Cuboid {
        low_m: [0.0; 3],
        high_m: [0.0, 0.0, HEIGHT_M],
    };
    space.low_m[across] = at_m[across] - 0.5 * WIDTH_M;
    space.high_m[across] = at_m[across] + 0.5 * WIDTH_M;
    space.low_m[axis] = at_m[axis].min(at_m[axis] + sign * depth_m);
    space.high_m[axis] = at_m[axis].max(at_m[axis] + sign * depth_m);
    let left_m = |body: &Cuboid| {
        let near = if sign > 0.0 {
            body.low_m[axis] - at_m[axis]
        } else {
            at_m[axis] - body.high_m[axis]
        };
        near.max(0.0)
    };
    let benches = room.benches.iter().enumerate().map(|(i, b)| {
        let [x, y, z] = b.at_m.value;
        let name = b
            .name
            .as_ref()
            .map_or_else(|| format!("bench {}", i + 1), |n| n.value.clone());
        let body = Cuboid {
            low_m: [x - 0.5 * b.length_m.value, y - 0.5 * b.width_m.value, 0.0],
            high_m: [x + 0.5 * b.length_m.value, y + 0.5 * b.width_m.value, z],
        };
        (name, body)
    });
    let obstacles = room.obstacles.iter().enumerate().map(|(i, o)| {
        let name = o.name.as_ref().map_or_else(
            || format!("{} {}", o.kind.value.word(), i + 1),
            |n| n.value.clone(),
        );
        let size = [o.length_m.value, o.width_m.value, o.height_m.value];
        (name, Cuboid::centred(o.at_m.value, size))
    });
    let units = cabinets
        .iter()
        .map(|(tag, cabinet)| (tag.clone(), *cabinet));
    let in_it = benches
        .chain(obstacles)
        .chain(units)
        .filter(|(_, body)| space.overlaps(body))
        .map(|(name, body)| (name, left_m(&body)))
        .collect();
    Some(WorkingSpace {
        space,
        depth_m,
        in_it,
    })
}
