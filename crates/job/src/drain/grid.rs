//! Shortest free ways on the lines along walls and beside things.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::geometry::{Cuboid, Point};

/// What a turn costs against length \[m\]: a fitting, and a place to clog.
const TURN_M: f64 = 0.3;
/// How much longer than along a wall a pipe counts off the walls.
///
/// **Assumed** rods from the ceiling against clamps on the wall.
const OFF_WALL: f64 = 1.5;
/// How much longer a pipe counts where people walk.
const IN_AISLE: f64 = 6.0;

/// Lines along which pipe may run, and what it must not meet.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    xs_m: Vec<f64>,
    ys_m: Vec<f64>,
    /// Lines beside the walls: least and greatest x, least and greatest y.
    walls_m: [[f64; 2]; 2],
    hard: Vec<Cuboid>,
    aisles: Vec<Cuboid>,
    radius_m: f64,
}

/// Height of the invert after a length of pipe.
#[derive(Clone, Copy, Debug)]
pub(super) struct Height {
    /// At the start \[m\].
    pub(super) start_m: f64,
    /// Per length, downhill negative.
    pub(super) slope: f64,
}

impl Height {
    pub(super) fn after_m(&self, length_m: f64) -> f64 {
        self.start_m + self.slope * length_m
    }
}

/// Best way from one place to each other.
#[derive(Clone, Debug)]
pub(super) struct Ways {
    cost_m: Vec<f64>,
    length_m: Vec<f64>,
    before: Vec<usize>,
}

const NONE: usize = usize::MAX;

impl Grid {
    /// Lines beside the walls, beside each thing, and through the places.
    pub(super) fn new(
        walls_m: [[f64; 2]; 2],
        hard: Vec<Cuboid>,
        aisles: Vec<Cuboid>,
        radius_m: f64,
        through: &[Point],
    ) -> Self {
        /// Beside a thing, so that nothing touches \[m\].
        const BESIDE_M: f64 = 0.01;
        let lines = |axis: usize| {
            let [low, high] = walls_m[axis];
            let beside = hard.iter().flat_map(|c| {
                [
                    c.low_m[axis] - radius_m - BESIDE_M,
                    c.high_m[axis] + radius_m + BESIDE_M,
                ]
            });
            let mut all: Vec<f64> = beside.filter(|v| (low..=high).contains(v)).collect();
            all.extend([low, high]);
            all.sort_by(f64::total_cmp);
            all.dedup_by(|a, b| (*a - *b).abs() < 1e-3);
            // Places are exact: no line beside one takes its part.
            for p in through {
                if !all.iter().any(|v| (v - p[axis]).abs() < 1e-9) {
                    all.push(p[axis]);
                }
            }
            all.sort_by(f64::total_cmp);
            all
        };
        Self {
            xs_m: lines(0),
            ys_m: lines(1),
            walls_m,
            hard,
            aisles,
            radius_m,
        }
    }

    pub(super) fn len(&self) -> usize {
        self.xs_m.len() * self.ys_m.len()
    }

    pub(super) fn at(&self, place: usize, z_m: f64) -> Point {
        let n = self.ys_m.len();
        [self.xs_m[place / n], self.ys_m[place % n], z_m]
    }

    /// The place of a point that the grid was made through.
    pub(super) fn place(&self, p: Point) -> Option<usize> {
        let nearest = |all: &[f64], v: f64| all.iter().position(|a| (a - v).abs() < 1e-9);
        Some(nearest(&self.xs_m, p[0])? * self.ys_m.len() + nearest(&self.ys_m, p[1])?)
    }

    /// Whether both are beside the same wall.
    pub(super) fn along_wall(&self, a: usize, b: usize) -> bool {
        let (p, q) = (self.at(a, 0.0), self.at(b, 0.0));
        (0..2).any(|i| {
            self.walls_m[i]
                .iter()
                .any(|w| (p[i] - w).abs() < 1e-6 && (q[i] - w).abs() < 1e-6)
        })
    }

    pub(super) fn at_wall(&self, a: usize) -> bool {
        self.along_wall(a, a)
    }

    /// Whether a straight pipe meets nothing.
    pub(super) fn free(&self, from: Point, to: Point) -> bool {
        let pipe = pipe(from, to, self.radius_m);
        !self.hard.iter().any(|c| c.overlaps(&pipe))
    }

    fn in_aisle(&self, from: Point, to: Point) -> bool {
        let pipe = pipe(from, to, self.radius_m);
        self.aisles.iter().any(|c| c.overlaps(&pipe))
    }

    /// Neighbours of a place, and the axis on the way there.
    fn beside(&self, place: usize) -> impl Iterator<Item = (usize, usize)> + use<> {
        let (n, m) = (self.xs_m.len(), self.ys_m.len());
        let (i, j) = (place / m, place % m);
        [
            (0 < i).then(|| (place - m, 0)),
            (i + 1 < n).then(|| (place + m, 0)),
            (0 < j).then(|| (place - 1, 1)),
            (j + 1 < m).then(|| (place + 1, 1)),
        ]
        .into_iter()
        .flatten()
    }

    /// Cheapest free ways from a place to all others, at heights that go with
    /// the length of pipe: as short as may be, few turns, along walls.
    pub(super) fn ways(&self, from: usize, height: Height) -> Ways {
        // A state is a place and the axis on which it was come to.
        let states = 2 * self.len();
        let mut ways = Ways {
            cost_m: vec![f64::INFINITY; states],
            length_m: vec![0.0; states],
            before: vec![NONE; states],
        };
        let mut open = BinaryHeap::new();
        // Costs are not negative: their bits sort as they do.
        for state in [2 * from, 2 * from + 1] {
            ways.cost_m[state] = 0.0;
            open.push(Reverse((0.0_f64.to_bits(), state)));
        }
        while let Some(Reverse((bits, state))) = open.pop() {
            let cost = f64::from_bits(bits);
            if ways.cost_m[state] < cost {
                continue;
            }
            let (place, axis) = (state / 2, state % 2);
            let length = ways.length_m[state];
            let a = self.at(place, height.after_m(length));
            for (next, way) in self.beside(place) {
                let q = self.at(next, 0.0);
                let step = (a[0] - q[0]).abs() + (a[1] - q[1]).abs();
                let b = self.at(next, height.after_m(length + step));
                let mut more = step;
                if !self.along_wall(place, next) {
                    more *= OFF_WALL;
                }
                if way != axis {
                    more += TURN_M;
                }
                let to = 2 * next + way;
                if ways.cost_m[to] <= cost + more {
                    continue;
                }
                if !self.free(a, b) {
                    continue;
                }
                if self.in_aisle(a, b) {
                    more += (IN_AISLE - 1.0) * step;
                }
                if cost + more < ways.cost_m[to] - 1e-9 {
                    ways.cost_m[to] = cost + more;
                    ways.length_m[to] = length + step;
                    ways.before[to] = state;
                    open.push(Reverse(((cost + more).to_bits(), to)));
                }
            }
        }
        ways
    }
}

impl Ways {
    /// The cheaper of the two states of a place; `None`: no way there.
    fn state(&self, place: usize) -> Option<usize> {
        let (a, b) = (2 * place, 2 * place + 1);
        let best = if self.cost_m[b] < self.cost_m[a] {
            b
        } else {
            a
        };
        self.cost_m[best].is_finite().then_some(best)
    }

    /// What the way to a place costs, and its length \[m\].
    pub(super) fn to(&self, place: usize) -> Option<(f64, f64)> {
        let state = self.state(place)?;
        Some((self.cost_m[state], self.length_m[state]))
    }

    /// Places on the way to one, from the start, each with the length to it
    /// \[m\].
    pub(super) fn path(&self, place: usize) -> Vec<(usize, f64)> {
        let mut path = Vec::new();
        let mut at = self.state(place).unwrap_or(NONE);
        while at != NONE && path.len() <= self.cost_m.len() {
            path.push((at / 2, self.length_m[at]));
            at = self.before[at];
        }
        path.reverse();
        path
    }
}

/// The space that a straight pipe takes about its invert.
pub(super) fn pipe(from: Point, to: Point, radius_m: f64) -> Cuboid {
    Cuboid {
        low_m: std::array::from_fn(|i| from[i].min(to[i]) - radius_m),
        high_m: std::array::from_fn(|i| from[i].max(to[i]) + radius_m),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LEVEL: Height = Height {
        start_m: 1.0,
        slope: 0.0,
    };

    fn grid(hard: Vec<Cuboid>) -> Grid {
        let ends = [[2.0, 3.0, 1.0], [8.0, 3.0, 1.0]];
        Grid::new([[0.0, 10.0], [0.0, 6.0]], hard, Vec::new(), 0.05, &ends)
    }

    fn length(g: &Grid) -> Option<f64> {
        let from = g.place([2.0, 3.0, 0.0])?;
        let to = g.place([8.0, 3.0, 0.0])?;
        g.ways(from, LEVEL).to(to).map(|(_, length)| length)
    }

    #[test]
    fn a_way_goes_straight_or_round_by_the_shorter_side() {
        assert!((length(&grid(Vec::new())).unwrap() - 6.0).abs() < 1e-9);
        // From y 2 to 4.5: round by the low side, 1 m and the pipe's 6 cm each way.
        let post = Cuboid {
            low_m: [4.0, 2.0, 0.0],
            high_m: [5.0, 4.5, 3.0],
        };
        assert!((length(&grid(vec![post])).unwrap() - (6.0 + 2.0 * 1.06)).abs() < 1e-9);
        // Under it there is room.
        let beam = Cuboid {
            low_m: [4.0, 0.0, 1.06],
            high_m: [5.0, 6.0, 3.0],
        };
        assert!((length(&grid(vec![beam])).unwrap() - 6.0).abs() < 1e-9);
        let wall = Cuboid {
            low_m: [4.0, -0.1, 0.0],
            high_m: [5.0, 6.1, 3.0],
        };
        assert_eq!(length(&grid(vec![wall])), None);
    }
}
