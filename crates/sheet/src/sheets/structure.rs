//! The room in plan, as every plan shows it: walls with doors, benches.

use job::placement::{ThingKind, things};
use room::{Room, Wall};

use super::kit::rectangle;
use crate::drawing::{Anchor, Label, Letters, Point, Role, Stand, View, at};

/// The benches; gives each name with the corner that it goes to.
pub(super) fn benches(v: &mut View, room: &Room) -> Vec<(String, Point)> {
    things(room)
        .into_iter()
        .filter(|thing| thing.kind == ThingKind::Bench)
        .map(|thing| {
            let (low, high) = (thing.cuboid.low_m, thing.cuboid.high_m);
            rectangle(v, Role::Waiting, (low[0], low[1]), (high[0], high[1]));
            (thing.name, at(low[0], low[1]))
        })
        .collect()
}

/// Names of benches, over what was drawn on them.
pub(super) fn bench_names(v: &mut View, names: Vec<(String, Point)>) {
    for (name, corner) in names {
        v.text(
            Role::TextQuiet,
            Label::new(name, corner)
                .letters(Letters::Note)
                .anchor(Anchor::Start, Stand::Base)
                .shift(1.5, -1.5)
                .halo(),
        );
    }
}

/// Walls, broken at the doors; each door with its leaf open at right angles.
pub(super) fn walls(v: &mut View, room: &Room) {
    let (l, w) = (room.geometry.length_m.value, room.geometry.width_m.value);
    for wall in [Wall::MinusX, Wall::PlusX, Wall::MinusY, Wall::PlusY] {
        let long = match wall {
            Wall::MinusX | Wall::PlusX => w,
            Wall::MinusY | Wall::PlusY => l,
        };
        // A point along the wall, some way into the room.
        let on = |s: f64, into: f64| -> Point {
            match wall {
                Wall::MinusX => at(into, s),
                Wall::PlusX => at(l - into, s),
                Wall::MinusY => at(s, into),
                Wall::PlusY => at(s, w - into),
            }
        };
        let mut doors: Vec<(f64, f64)> = room
            .doors
            .iter()
            .filter(|d| d.wall.value == wall)
            .map(|d| (d.along_m.value, d.along_m.value + d.width_m.value))
            .collect();
        doors.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut from = 0.0;
        for (a, b) in doors {
            if from < a {
                v.line(Role::Equipment, on(from, 0.0), on(a, 0.0));
            }
            // Jambs and sill; how the leaf swings nobody surveyed.
            let jamb = 0.12;
            for s in [a, b] {
                v.line(Role::Outline, on(s, -jamb), on(s, jamb));
            }
            v.line(Role::Dimension, on(a, 0.0), on(b, 0.0));
            from = b.max(from);
            let middle = on(0.5 * (a + b), 0.0);
            let turn = if matches!(wall, Wall::MinusX | Wall::PlusX) {
                90.0
            } else {
                0.0
            };
            let (right, down) = match wall {
                Wall::MinusX => (3.2, 0.0),
                Wall::PlusX => (-1.0, 0.0),
                Wall::MinusY => (0.0, -1.2),
                Wall::PlusY => (0.0, 3.6),
            };
            v.text(
                Role::Text,
                Label::new("door", middle)
                    .letters(Letters::Note)
                    .anchor(Anchor::Middle, Stand::Base)
                    .shift(right, down)
                    .turn(turn)
                    .halo(),
            );
        }
        if from < long {
            v.line(Role::Equipment, on(from, 0.0), on(long, 0.0));
        }
    }
}
