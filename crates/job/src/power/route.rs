//! Where the conductors run: up from the panel, along walls and under the
//! ceiling at right angles, down to the disconnect and to the unit.

use room::{Obstacle, ObstacleKind, Room, Wall};

use crate::geometry::{Cuboid, Point, distance_m};

/// Under the ceiling or the structure \[m\].
///
/// **Assumed** room for supports.
const UNDER_CEILING_M: f64 = 0.10;
/// Height of a disconnect's handle \[m\].
///
/// **Assumed** within reach of a person on the floor.
const DISCONNECT_M: f64 = 1.5;
/// Length over the route, for bends.
///
/// **Assumed**, as common practice has it.
pub const BENDS: f64 = 0.10;
/// Tail at each end \[m\].
///
/// **Assumed**, as common practice has it.
pub const TAIL_M: f64 = 1.0;

/// Whether one can see the unit from its disconnect.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sight {
    /// Nothing stands between.
    Clear,
    /// Something stands between.
    Blocked,
}

/// A disconnect on a wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Disconnect {
    /// Where its handle is \[m\].
    pub at_m: Point,
    /// From there to the unit \[m\].
    pub distance_m: f64,
    /// Whether the unit is seen from there.
    pub sight: Sight,
}

/// Height at which conductors run under the ceiling \[m\].
pub fn run_height_m(room: &Room, ends: &[Point]) -> f64 {
    let ceiling_m = room.geometry.height_m.value;
    let under_m = room
        .structure
        .as_ref()
        .and_then(|s| s.underside_m.as_ref())
        .map_or(ceiling_m, |g| g.value.min(ceiling_m));
    ends.iter()
        .map(|p| p[2])
        .fold(under_m - UNDER_CEILING_M, f64::max)
}

/// Which wall is nearest, and how far \[m\].
pub fn nearest_wall(room: &Room, p: Point) -> (Wall, f64) {
    let g = &room.geometry;
    let mut best = (Wall::MinusX, p[0].abs());
    for (wall, away_m) in [
        (Wall::PlusX, (g.length_m.value - p[0]).abs()),
        (Wall::MinusY, p[1].abs()),
        (Wall::PlusY, (g.width_m.value - p[1]).abs()),
    ] {
        if away_m < best.1 {
            best = (wall, away_m);
        }
    }
    best
}

/// Corners of a route through `stops`: up to the run height, along the wall of
/// the first stop, across, down, and so on.
pub fn through(room: &Room, stops: &[Point]) -> Vec<Point> {
    let high_m = run_height_m(room, stops);
    let mut route: Vec<Point> = stops.first().copied().into_iter().collect();
    for leg in stops.windows(2) {
        let [from, to] = [leg[0], leg[1]];
        let along_y = matches!(nearest_wall(room, from).0, Wall::MinusX | Wall::PlusX);
        let corner = if along_y {
            [from[0], to[1], high_m]
        } else {
            [to[0], from[1], high_m]
        };
        for p in [
            [from[0], from[1], high_m],
            corner,
            [to[0], to[1], high_m],
            to,
        ] {
            if route.last().is_none_or(|last| 1e-9 < distance_m(*last, p)) {
                route.push(p);
            }
        }
    }
    route
}

/// Length along the corners \[m\].
pub fn length_m(route: &[Point]) -> f64 {
    route.windows(2).map(|p| distance_m(p[0], p[1])).sum()
}

/// Conductor to lay along a route \[m\].
///
/// ```text
/// L = (1 + b) · l + 2 · l_t
/// ```
///
/// - `route_m`: length of the route l \[m\]
///
/// **Assumed** b 10 % for bends, tails l_t of 1 m at each end.
pub fn conductor_m(route_m: f64) -> f64 {
    (1.0 + BENDS) * route_m + 2.0 * TAIL_M
}

/// Whether the straight line between two points passes through a box.
fn passes(from: Point, to: Point, body: &Cuboid) -> bool {
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for i in 0..3 {
        let d = to[i] - from[i];
        if d.abs() < 1e-12 {
            if from[i] <= body.low_m[i] || body.high_m[i] <= from[i] {
                return false;
            }
            continue;
        }
        let (a, b) = (
            (body.low_m[i] - from[i]) / d,
            (body.high_m[i] - from[i]) / d,
        );
        enter = enter.max(a.min(b));
        leave = leave.min(a.max(b));
    }
    enter + 1e-9 < leave
}

fn hides(obstacle: &Obstacle) -> Option<Cuboid> {
    matches!(
        obstacle.kind.value,
        ObstacleKind::Beam | ObstacleKind::Column | ObstacleKind::Duct | ObstacleKind::Other
    )
    .then(|| {
        Cuboid::centred(
            obstacle.at_m.value,
            [
                obstacle.length_m.value,
                obstacle.width_m.value,
                obstacle.height_m.value,
            ],
        )
    })
}

/// Whether a point of a wall lies in a door.
fn in_door(room: &Room, wall: Wall, p: Point) -> bool {
    room.doors.iter().any(|door| {
        let along_m = match wall {
            Wall::MinusX | Wall::PlusX => p[1],
            Wall::MinusY | Wall::PlusY => p[0],
        };
        door.wall.value == wall
            && p[2] < door.height_m.value
            && door.along_m.value <= along_m
            && along_m <= door.along_m.value + door.width_m.value
    })
}

/// The disconnect of a unit: on the nearest wall from which the unit is seen,
/// beside doors; on the nearest wall of all where none sees it.
///
/// - `face_m`: electrical face of the unit \[m\]
/// - `others`: cabinets of the other units
pub fn disconnect(room: &Room, face_m: Point, others: &[Cuboid]) -> Disconnect {
    let g = &room.geometry;
    let hidden_by: Vec<Cuboid> = room
        .obstacles
        .iter()
        .filter_map(hides)
        .chain(others.iter().copied())
        .collect();
    let mut places: Vec<(Wall, Disconnect)> = [
        (Wall::MinusX, [0.0, face_m[1]]),
        (Wall::PlusX, [g.length_m.value, face_m[1]]),
        (Wall::MinusY, [face_m[0], 0.0]),
        (Wall::PlusY, [face_m[0], g.width_m.value]),
    ]
    .into_iter()
    .map(|(wall, [x, y])| {
        let at_m = [x, y, DISCONNECT_M.min(g.height_m.value)];
        let sight = if hidden_by.iter().any(|body| passes(at_m, face_m, body)) {
            Sight::Blocked
        } else {
            Sight::Clear
        };
        let place = Disconnect {
            at_m,
            distance_m: distance_m(at_m, face_m),
            sight,
        };
        (wall, place)
    })
    .collect();
    places.sort_by(|a, b| a.1.distance_m.total_cmp(&b.1.distance_m));
    let nearest = places.first().map(|(_, place)| *place);
    places
        .iter()
        .find(|(wall, place)| place.sight == Sight::Clear && !in_door(room, *wall, place.at_m))
        .map(|(_, place)| *place)
        .or(nearest)
        .unwrap_or(Disconnect {
            at_m: face_m,
            distance_m: 0.0,
            sight: Sight::Blocked,
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::Sheet;

    #[test]
    fn a_route_keeps_to_walls_and_ceiling() {
        let room = Sheet::leafy().room();
        let route = through(&room, &[[0.0, 2.0, 1.5], [5.0, 6.0, 3.0]]);
        assert_eq!(
            route,
            [
                [0.0, 2.0, 1.5],
                [0.0, 2.0, 3.9],
                [0.0, 6.0, 3.9],
                [5.0, 6.0, 3.9],
                [5.0, 6.0, 3.0],
            ]
        );
        assert!((length_m(&route) - (2.4 + 4.0 + 5.0 + 0.9)).abs() < 1e-9);
        for pair in route.windows(2) {
            let moved = (0..3).filter(|i| 1e-9 < (pair[0][*i] - pair[1][*i]).abs());
            assert_eq!(moved.count(), 1);
        }
    }

    #[test]
    fn a_column_before_the_nearest_wall_sends_the_disconnect_elsewhere() {
        let face = [2.0, 4.0, 3.0];
        let open = Sheet::leafy().room();
        assert_eq!(disconnect(&open, face, &[]).at_m, [0.0, 4.0, 1.5]);
        let column = "[[obstacle]]\nkind = \"column\"\nat = [\"1 m\", \"4 m\", \"2 m\"]\n\
                      length = \"0.3 m\"\nwidth = \"0.3 m\"\nheight = \"4 m\"\n";
        let hidden = Sheet::leafy().and(column).room();
        let moved = disconnect(&hidden, face, &[]);
        assert_eq!(moved.sight, Sight::Clear);
        assert_ne!(moved.at_m, [0.0, 4.0, 1.5]);
    }
}
