//! Boxes and directions in the room: x from the door wall, y along it, z up,
//! in metres.

use equipment::{Body, Face};
use room::Facing;

/// A point or a vector, x, y, z \[m\].
pub type Point = [f64; 3];

/// A box with its sides along the axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cuboid {
    /// Least x, y, z \[m\].
    pub low_m: Point,
    /// Greatest x, y, z \[m\].
    pub high_m: Point,
}

impl Cuboid {
    /// From its middle and its size along x, y, z \[m\].
    pub fn centred(middle_m: Point, size_m: Point) -> Self {
        Self {
            low_m: std::array::from_fn(|i| middle_m[i] - 0.5 * size_m[i]),
            high_m: std::array::from_fn(|i| middle_m[i] + 0.5 * size_m[i]),
        }
    }

    /// Its middle \[m\].
    pub fn middle_m(&self) -> Point {
        std::array::from_fn(|i| 0.5 * (self.low_m[i] + self.high_m[i]))
    }

    /// Its size along x, y, z \[m\].
    pub fn size_m(&self) -> Point {
        std::array::from_fn(|i| self.high_m[i] - self.low_m[i])
    }

    /// Larger by a distance on all sides \[m\].
    #[must_use]
    pub fn grown(&self, by_m: f64) -> Self {
        Self {
            low_m: self.low_m.map(|x| x - by_m),
            high_m: self.high_m.map(|x| x + by_m),
        }
    }

    /// Whether they share more than a face.
    pub fn overlaps(&self, other: &Self) -> bool {
        const TOUCH_M: f64 = 1e-6;
        (0..3).all(|i| {
            self.low_m[i] + TOUCH_M < other.high_m[i] && other.low_m[i] + TOUCH_M < self.high_m[i]
        })
    }

    /// Whether `other` lies inside, faces included.
    pub fn holds(&self, other: &Self) -> bool {
        const TOUCH_M: f64 = 1e-6;
        (0..3).all(|i| {
            self.low_m[i] <= other.low_m[i] + TOUCH_M && other.high_m[i] <= self.high_m[i] + TOUCH_M
        })
    }

    /// Shortest distance between two boxes \[m\]; 0 where they meet.
    pub fn distance_m(&self, other: &Self) -> f64 {
        let gap = |i: usize| {
            (other.low_m[i] - self.high_m[i])
                .max(self.low_m[i] - other.high_m[i])
                .max(0.0)
        };
        (0..3).map(|i| gap(i).powi(2)).sum::<f64>().sqrt()
    }
}

/// The axes of a unit in the room: front where its discharge side points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Centre of the box \[m\].
    pub at_m: Point,
    /// Where the front points.
    pub facing: Facing,
}

impl Frame {
    /// A vector of the unit's own axes (x front, y left, z up) in the room's.
    pub const fn turned(&self, v: Point) -> Point {
        let [x, y, z] = v;
        match self.facing {
            Facing::PlusX => [x, y, z],
            Facing::MinusX => [-x, -y, z],
            Facing::PlusY => [-y, x, z],
            Facing::MinusY => [y, -x, z],
        }
    }

    /// A point of the unit's own axes in the room \[m\].
    pub fn to_room_m(&self, p: Point) -> Point {
        let v = self.turned(p);
        std::array::from_fn(|i| self.at_m[i] + v[i])
    }

    /// Direction that a face looks in the room, of length 1.
    pub const fn outward(&self, face: Face) -> Point {
        self.turned(face_axis(face))
    }

    /// The cabinet.
    pub fn cabinet(&self, body: &Body) -> Cuboid {
        Cuboid::centred(self.at_m, self.turned(body.size_m).map(f64::abs))
    }

    /// Middle of a face \[m\].
    pub fn face_m(&self, body: &Body, face: Face) -> Point {
        let axis = face_axis(face);
        self.to_room_m(std::array::from_fn(|i| 0.5 * axis[i] * body.size_m[i]))
    }

    /// Free space in front of a face, as deep as asked \[m\].
    pub fn before(&self, body: &Body, face: Face, depth_m: f64) -> Cuboid {
        let outward = self.outward(face);
        let cabinet = self.cabinet(body);
        let mut space = cabinet;
        for (i, way) in outward.into_iter().enumerate() {
            if way > 0.5 {
                space.low_m[i] = cabinet.high_m[i];
                space.high_m[i] = cabinet.high_m[i] + depth_m;
            } else if way < -0.5 {
                space.high_m[i] = cabinet.low_m[i];
                space.low_m[i] = cabinet.low_m[i] - depth_m;
            }
        }
        space
    }
}

/// Direction of a face in the unit's own axes.
pub const fn face_axis(face: Face) -> Point {
    match face {
        Face::Front => [1.0, 0.0, 0.0],
        Face::Back => [-1.0, 0.0, 0.0],
        Face::Left => [0.0, 1.0, 0.0],
        Face::Right => [0.0, -1.0, 0.0],
        Face::Top => [0.0, 0.0, 1.0],
        Face::Bottom => [0.0, 0.0, -1.0],
    }
}

/// Place of a face in [`Body::clearance_m`].
pub const fn clearance_index(face: Face) -> usize {
    match face {
        Face::Front => 0,
        Face::Back => 1,
        Face::Left => 2,
        Face::Right => 3,
        Face::Top => 4,
        Face::Bottom => 5,
    }
}

/// Distance of two points \[m\].
pub fn distance_m(a: Point, b: Point) -> f64 {
    (0..3).map(|i| (a[i] - b[i]).powi(2)).sum::<f64>().sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turned_unit_keeps_its_left_hand_on_the_left() {
        for (facing, front, left) in [
            (Facing::PlusX, [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]),
            (Facing::PlusY, [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]),
            (Facing::MinusX, [-1.0, 0.0, 0.0], [0.0, -1.0, 0.0]),
            (Facing::MinusY, [0.0, -1.0, 0.0], [1.0, 0.0, 0.0]),
        ] {
            let frame = Frame {
                at_m: [0.0; 3],
                facing,
            };
            let close = |a: Point, b: Point| assert!(distance_m(a, b) < 1e-12, "{a:?} {b:?}");
            close(frame.outward(Face::Front), front);
            close(frame.outward(Face::Left), left);
            // Right-handed: front × left = up.
            let up = [
                front[1] * left[2] - front[2] * left[1],
                front[2] * left[0] - front[0] * left[2],
                front[0] * left[1] - front[1] * left[0],
            ];
            close(up, frame.outward(Face::Top));
        }
    }

    #[test]
    fn boxes_touch_overlap_and_stand_apart() {
        let a = Cuboid::centred([1.0, 1.0, 1.0], [2.0, 2.0, 2.0]);
        let beside = Cuboid::centred([3.0, 1.0, 1.0], [2.0, 2.0, 2.0]);
        assert!(!a.overlaps(&beside) && a.distance_m(&beside) == 0.0);
        assert!(a.overlaps(&beside.grown(0.1)));
        let away = Cuboid::centred([5.0, 6.0, 1.0], [2.0, 2.0, 2.0]);
        assert!((a.distance_m(&away) - 13.0_f64.sqrt()).abs() < 1e-12);
        assert!(a.grown(5.0).holds(&away) && !a.holds(&away));
    }
}
