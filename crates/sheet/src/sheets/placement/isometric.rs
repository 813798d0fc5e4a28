//! The room seen from its near corner, in isometric lines.

use equipment::Catalog;
use job::Placement;
use job::geometry::Cuboid;
use job::placement::{ThingKind, inside, things};
use quantity::UnitSystem;
use room::Room;

use super::marks::recorded;
use crate::drawing::{Anchor, Drawing, Label, Letters, Point, Role, Shape, Size, Stand, View, at};
use crate::sheets::kit::{PAGE, length, paper, scale_that_fits, view};

/// x runs to the right and up, y to the left and up, z up: true lengths on all
/// three.
fn seen(p: [f64; 3]) -> Point {
    let (sin, cos) = (30.0_f64).to_radians().sin_cos();
    at((p[0] - p[1]) * cos, (p[0] + p[1]) * sin + p[2])
}

/// The three faces of a box that are seen: from low x, from low y, from above.
fn solid(v: &mut View, role: Role, c: &Cuboid) {
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

/// Isometric view: floor and far walls, things and units as boxes. True
/// lengths on the axes, but read dimensions from plan and elevation.
pub fn isometric(
    room: &Room,
    catalog: &Catalog,
    placement: &Placement,
    units: UnitSystem,
) -> Drawing {
    let hall = inside(room);
    let [l, w, h] = hall.high_m;
    let cos = (30.0_f64).to_radians().cos();
    let (wide, high) = ((l + w) * cos, 0.5 * (l + w) + h);
    let free = Size {
        width_mm: PAGE.width_mm - 8.0,
        height_mm: 130.0,
    };
    let ratio = scale_that_fits(wide, high, free, units);
    let mm = |m: f64| 1000.0 * m / ratio;
    let left_mm = 4.0 + 0.5 * (free.width_mm - mm(wide)) + mm(w * cos);
    let base_mm = 16.0 + mm(high);
    let mut v = view("isometric", ratio, paper(left_mm, base_mm));
    // Floor, then the two far walls and their corner.
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
    let mut boxes: Vec<(Role, Cuboid, Option<String>)> = things(room)
        .into_iter()
        .map(|t| {
            let role = match t.kind {
                ThingKind::Bench => Role::Waiting,
                ThingKind::Canopy => Role::Taken(0),
                ThingKind::Luminaire => Role::BarDay,
                ThingKind::Obstacle(_) => Role::Cut,
            };
            (role, t.cuboid, None)
        })
        .collect();
    for (u, model) in recorded(catalog, placement) {
        let cabinet = u.frame.cabinet(&model.body);
        boxes.push((Role::Equipment, cabinet, Some(u.tag.clone())));
    }
    // From below up, and from far to near: what is later hides what is before.
    boxes.sort_by(|a, b| {
        let band = |c: &Cuboid| (c.low_m[2] / 0.3).floor();
        let near = |c: &Cuboid| c.low_m[0] + c.low_m[1];
        band(&a.1)
            .total_cmp(&band(&b.1))
            .then(near(&b.1).total_cmp(&near(&a.1)))
    });
    let mut tags: Vec<(Point, String)> = Vec::new();
    for (role, cuboid, name) in &boxes {
        solid(&mut v, *role, cuboid);
        if let Some(name) = name {
            let mut p = cuboid.middle_m();
            p[2] = cuboid.high_m[2];
            tags.push((seen(p), name.clone()));
        }
    }
    // Over the cabinet, so that it stays seen.
    for (p, name) in tags {
        v.text(
            Role::TextStrong,
            Label::new(name, p)
                .letters(Letters::Note)
                .anchor(Anchor::Middle, Stand::Base)
                .shift(0.0, -3.6)
                .halo(),
        );
    }
    for (p, words) in [([0.55 * l, 0.0, 0.0], "x"), ([0.0, 0.55 * w, 0.0], "y")] {
        let right = if words == "x" { 3.0 } else { -4.0 };
        v.text(
            Role::Text,
            Label::new(words, seen(p))
                .letters(Letters::ViewTitle)
                .shift(right, 4.0),
        );
    }
    let mut page = View::paper("title");
    page.text(
        Role::TextStrong,
        Label::new(
            "Isometric view from the near corner of the door wall",
            at(4.0, 4.5),
        )
        .letters(Letters::ViewTitle),
    );
    page.text(
        Role::TextQuiet,
        Label::new(
            "Not to scale. White: benches; grey: canopy; shaded: luminaires; heavy lines: units with tags.",
            at(4.0, 9.0),
        )
        .letters(Letters::Note),
    );
    let mut drawing = Drawing::new(
        Size {
            width_mm: PAGE.width_mm,
            height_mm: base_mm + 6.0,
        },
        format!("Isometric view of {}", room.name.value),
    );
    let list: Vec<String> = placement
        .units
        .iter()
        .map(|u| format!("{} blowing to {}", u.tag, u.frame.facing.word()))
        .collect();
    drawing.alt = format!(
        "The room, {} by {} by {}, seen from its corner, with {}.",
        length(l, units),
        length(w, units),
        length(h, units),
        list.join(", ")
    );
    drawing.views = vec![v, page];
    drawing
}
