//! Isometric projection of the room, for the sheets that show it so.

use job::geometry::Cuboid;
use quantity::UnitSystem;

use crate::drawing::{Label, Letters, Point, Role, Shape, Size, View, at};
use crate::sheets::kit::{PAGE, paper, scale_that_fits, view};

/// x runs to the right and up, y to the left and up, z up: true lengths on all
/// three.
pub(super) fn seen(p: [f64; 3]) -> Point {
    let (sin, cos) = (30.0_f64).to_radians().sin_cos();
    at((p[0] - p[1]) * cos, (p[0] + p[1]) * sin + p[2])
}

/// The three faces of a box that are seen: from low x, from low y, from above.
pub(super) fn solid(v: &mut View, role: Role, c: &Cuboid) {
    let (a, b) = (c.low_m, c.high_m);
    for face in [
        [
            [a[0], a[1], a[2]],
            [a[0], b[1], a[2]],
            [a[0], b[1], b[2]],
            [a[0], a[1], b[2]],
        ],
        [
            [a[0], a[1], a[2]],
            [b[0], a[1], a[2]],
            [b[0], a[1], b[2]],
            [a[0], a[1], b[2]],
        ],
        [
            [a[0], a[1], b[2]],
            [b[0], a[1], b[2]],
            [b[0], b[1], b[2]],
            [a[0], b[1], b[2]],
        ],
    ] {
        v.push(role, Shape::Polygon(face.map(seen).to_vec()));
    }
}

/// Boxes from below up and from far to near: what is later hides what is
/// before.
pub(super) fn far_to_near(a: &Cuboid, b: &Cuboid) -> std::cmp::Ordering {
    let band = |c: &Cuboid| (c.low_m[2] / 0.3).floor();
    let near = |c: &Cuboid| c.low_m[0] + c.low_m[1];
    band(a)
        .total_cmp(&band(b))
        .then(near(b).total_cmp(&near(a)))
}

/// A view of a room with its floor, its two far walls and its axes.
pub(super) struct Stage {
    pub(super) view: View,
    /// Scale 1:n along the axes.
    pub(super) ratio: f64,
    /// Lowest corner on paper, below the head that was asked for \[mm\].
    pub(super) base_mm: f64,
}

/// Sets up the room on a page, under `head_mm` of words.
pub(super) fn stage(hall: &Cuboid, head_mm: f64, high_mm: f64, units: UnitSystem) -> Stage {
    let [l, w, h] = hall.high_m;
    let cos = (30.0_f64).to_radians().cos();
    let (wide, high) = ((l + w) * cos, 0.5 * (l + w) + h);
    let free = Size {
        width_mm: PAGE.width_mm - 8.0,
        height_mm: high_mm,
    };
    let ratio = scale_that_fits(wide, high, free, units);
    let mm = |m: f64| 1000.0 * m / ratio;
    let left_mm = 4.0 + 0.5 * (free.width_mm - mm(wide)) + mm(w * cos);
    let base_mm = head_mm + mm(high);
    let mut v = view("isometric", ratio, paper(left_mm, base_mm));
    let edges = [
        ([0.0, 0.0, 0.0], [l, 0.0, 0.0]),
        ([l, 0.0, 0.0], [l, w, 0.0]),
        ([l, w, 0.0], [0.0, w, 0.0]),
        ([0.0, w, 0.0], [0.0, 0.0, 0.0]),
        ([l, 0.0, 0.0], [l, 0.0, h]),
        ([l, w, 0.0], [l, w, h]),
        ([0.0, w, 0.0], [0.0, w, h]),
        ([l, 0.0, h], [l, w, h]),
        ([l, w, h], [0.0, w, h]),
    ];
    for (from, to) in edges {
        v.line(Role::Outline, seen(from), seen(to));
    }
    Stage {
        view: v,
        ratio,
        base_mm,
    }
}

/// The names of the axes beside the floor.
pub(super) fn axes(v: &mut View, hall: &Cuboid) {
    let [l, w, _] = hall.high_m;
    for (p, words) in [([0.55 * l, 0.0, 0.0], "x"), ([0.0, 0.55 * w, 0.0], "y")] {
        let right = if words == "x" { 3.0 } else { -4.0 };
        v.text(
            Role::Text,
            Label::new(words, seen(p))
                .letters(Letters::ViewTitle)
                .shift(right, 4.0),
        );
    }
}
