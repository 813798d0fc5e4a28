//! The way along the walls.

use room::Wall;

use crate::geometry::Point;

/// A closed way round the room at a distance from its walls, measured from the
/// corner at x = y = 0 along the near side wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Ring {
    off_m: f64,
    /// Along x and along y.
    sides_m: [f64; 2],
}

/// Which way round.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Turn {
    /// Counter-clockwise in plan.
    Forward,
    /// Clockwise.
    Back,
}

pub(super) const WALLS: [Wall; 4] = [Wall::MinusX, Wall::PlusX, Wall::MinusY, Wall::PlusY];

impl Ring {
    pub(super) fn new(room_m: [f64; 2], off_m: f64) -> Self {
        Self {
            off_m,
            sides_m: room_m.map(|m| (m - 2.0 * off_m).max(0.0)),
        }
    }

    /// Its least and greatest x, least and greatest y \[m\].
    pub(super) fn bounds_m(&self) -> [[f64; 2]; 2] {
        self.sides_m.map(|side| [self.off_m, self.off_m + side])
    }

    pub(super) fn around_m(&self) -> f64 {
        2.0 * (self.sides_m[0] + self.sides_m[1])
    }

    /// A point pushed inside the ring, its height kept.
    pub(super) fn inside(&self, [x, y, z]: Point) -> Point {
        let within = |v: f64, side: f64| v.clamp(self.off_m, self.off_m + side);
        [within(x, self.sides_m[0]), within(y, self.sides_m[1]), z]
    }

    /// Distance from a point to the ring along the normal of a wall.
    pub(super) fn off_wall_m(&self, p: Point, wall: Wall) -> f64 {
        let [x, y, _] = self.inside(p);
        match wall {
            Wall::MinusX => x - self.off_m,
            Wall::PlusX => self.off_m + self.sides_m[0] - x,
            Wall::MinusY => y - self.off_m,
            Wall::PlusY => self.off_m + self.sides_m[1] - y,
        }
    }

    /// The wall nearest to a point.
    pub(super) fn nearest(&self, p: Point) -> Wall {
        let mut best = WALLS[0];
        for wall in WALLS {
            if self.off_wall_m(p, wall) < self.off_wall_m(p, best) - 1e-9 {
                best = wall;
            }
        }
        best
    }

    /// Place on the ring straight before a wall.
    pub(super) fn before(&self, p: Point, wall: Wall) -> f64 {
        let [x, y, _] = self.inside(p);
        let (x, y) = (x - self.off_m, y - self.off_m);
        let [a, b] = self.sides_m;
        match wall {
            Wall::MinusY => x,
            Wall::PlusX => a + y,
            Wall::PlusY => a + b + (a - x),
            Wall::MinusX => 2.0 * a + b + (b - y),
        }
    }

    /// The point at a place.
    pub(super) fn at(&self, place_m: f64, z_m: f64) -> Point {
        let [a, b] = self.sides_m;
        let around = self.around_m();
        let s = if around > 0.0 {
            place_m.rem_euclid(around)
        } else {
            0.0
        };
        let (x, y) = if s <= a {
            (s, 0.0)
        } else if s <= a + b {
            (a, s - a)
        } else if s <= 2.0 * a + b {
            (2.0 * a + b - s, b)
        } else {
            (0.0, (around - s).max(0.0))
        };
        [x + self.off_m, y + self.off_m, z_m]
    }

    /// Way from one place to another.
    pub(super) fn way_m(&self, from_m: f64, to_m: f64, turn: Turn) -> f64 {
        let around = self.around_m();
        if around <= 0.0 {
            return 0.0;
        }
        let way = match turn {
            Turn::Forward => (to_m - from_m).rem_euclid(around),
            Turn::Back => (from_m - to_m).rem_euclid(around),
        };
        // A whole turn is none.
        if around - way < 1e-9 { 0.0 } else { way }
    }

    /// Ways from the corners on the way to its end, farthest first.
    pub(super) fn corners_m(&self, from_m: f64, to_m: f64, turn: Turn) -> Vec<f64> {
        let [a, b] = self.sides_m;
        let whole = self.way_m(from_m, to_m, turn);
        let mut ways: Vec<f64> = [0.0, a, a + b, 2.0 * a + b]
            .into_iter()
            .map(|corner| self.way_m(corner, to_m, turn))
            .filter(|way| 1e-6 < *way && *way < whole - 1e-6)
            .collect();
        ways.sort_by(|a, b| b.total_cmp(a));
        ways
    }

    /// The place that lies a way before another.
    pub(super) fn back_from(&self, to_m: f64, way_m: f64, turn: Turn) -> f64 {
        match turn {
            Turn::Forward => to_m - way_m,
            Turn::Back => to_m + way_m,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ways_round_both_hands_are_the_whole_ring() {
        let ring = Ring::new([10.0, 6.0], 0.5);
        assert!((ring.around_m() - 28.0).abs() < 1e-12);
        for wall in WALLS {
            for p in [[2.0, 1.0, 3.0], [9.0, 5.0, 0.0], [5.0, 3.0, 1.0]] {
                let s = ring.before(p, wall);
                let q = ring.at(s, 3.0);
                let flat = ((p[0] - q[0]).powi(2) + (p[1] - q[1]).powi(2)).sqrt();
                assert!(
                    (flat - ring.off_wall_m(p, wall)).abs() < 1e-9,
                    "{wall:?} {p:?} {q:?}"
                );
                let there = ring.way_m(s, 3.0, Turn::Forward);
                let back = ring.way_m(s, 3.0, Turn::Back);
                assert!((there + back - 28.0).abs() < 1e-9);
                let corners = ring.corners_m(s, 3.0, Turn::Forward).len()
                    + ring.corners_m(s, 3.0, Turn::Back).len();
                assert!((3..=4).contains(&corners), "{corners}");
                for turn in [Turn::Forward, Turn::Back] {
                    let from = ring.back_from(3.0, ring.way_m(s, 3.0, turn), turn);
                    assert!(
                        crate::geometry::distance_m(ring.at(from, 0.0), ring.at(s, 0.0)) < 1e-9
                    );
                }
            }
        }
        assert_eq!(ring.nearest([9.0, 3.0, 0.0]), Wall::PlusX);
    }
}
