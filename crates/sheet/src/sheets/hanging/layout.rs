//! Plan of the room with every rod, foot and channel.

use job::geometry::Point as RoomPoint;
use job::hanging::structure::{Overhead, overhead};
use job::hanging::{CarriedUnit, Hanging, Way};
use quantity::{Dim, UnitSystem, Value};
use room::{Room, Wall};

use crate::drawing::{
    Anchor, Drawing, Label, Letters, PaperPoint, Point, Role, Shape, Size, Stand, View, at,
};
use crate::sheets::kit;

/// Name of the view that is in metres of the room.
pub const VIEW: &str = "hanging layout";

/// Room on paper for running dimensions left of and under the plan \[mm\].
const LEFT_MM: f64 = 38.0;
const RIGHT_MM: f64 = 10.0;
const TOP_MM: f64 = 22.0;
const UNDER_MM: f64 = 42.0;
const LINE_MM: f64 = 4.0;
/// Radius of the dot of a rod \[mm\]: two of a small unit stay apart.
const DOT_MM: f64 = 0.55;

/// The hanging layout to scale; its view [`VIEW`] is in metres of the room.
pub fn layout(room: &Room, hanging: &Hanging, units: UnitSystem) -> Drawing {
    let (length_m, width_m) = (room.geometry.length_m.value, room.geometry.width_m.value);
    let free = Size {
        width_mm: kit::PAGE.width_mm - LEFT_MM - RIGHT_MM,
        height_mm: kit::PAGE.height_mm - TOP_MM - UNDER_MM - 34.0,
    };
    let ratio = kit::scale_that_fits(length_m, width_m, free, units);
    let (long_mm, high_mm) = (1000.0 * length_m / ratio, 1000.0 * width_m / ratio);
    let mut view = kit::view(VIEW, ratio, kit::paper(LEFT_MM, TOP_MM + high_mm));
    let mut legend = vec![(Role::Outline, "wall, inside")];
    kit::rectangle(&mut view, Role::Outline, (0.0, 0.0), (length_m, width_m));
    members(&mut view, room, &mut legend);
    doors(&mut view, room);
    running(&mut view, hanging, units);
    legend.push((Role::Centre, "line of rods or feet, from a wall"));
    let crowded = crowded(hanging, ratio);
    legend.push((Role::Equipment, "unit; dots are its rods or feet"));
    for unit in drawn(hanging) {
        one_unit(&mut view, unit, units, crowded);
    }
    if hanging.units.iter().any(|u| !u.struts.is_empty()) {
        legend.push((Role::Total, "strut channel"));
    }
    overall(&mut view, length_m, width_m, units);

    let foot_mm = TOP_MM + high_mm + UNDER_MM;
    let mut notes = View::paper("notes");
    kit::view_title(
        &mut notes,
        kit::paper(2.0, 5.0),
        "Hanging layout, from above",
        ratio,
        units,
    );
    kit::legend(&mut notes, kit::paper(2.0, foot_mm), &legend);
    let words = match units {
        UnitSystem::Metric => "mm [ft, in]; rods also in ft, in: table",
        UnitSystem::Us => "ft, in [mm]; rods also in m: table",
    };
    arrow_key(&mut notes, foot_mm + 4.6 * legend.len() as f64);
    let outside: Vec<&str> = hanging
        .units
        .iter()
        .filter(|u| u.way == Way::Outside)
        .map(|u| u.tag.as_str())
        .collect();
    let mut right = vec![
        words.to_owned(),
        "x from the door wall, along the room".to_owned(),
        "y from the near side wall, across it".to_owned(),
        if crowded {
            "loads of rods: see their table"
        } else {
            "loads: one rod slack, with factor"
        }
        .to_owned(),
    ];
    if !outside.is_empty() {
        right.push(format!("outside the room: {}", outside.join(", ")));
    }
    for (i, line) in right.iter().enumerate() {
        notes.text(
            Role::Text,
            Label::new(line.clone(), at(88.0, foot_mm + 4.6 * i as f64))
                .letters(Letters::Note)
                .anchor(Anchor::Start, Stand::Middle),
        );
    }
    let bar_mm = foot_mm + 4.6 * right.len() as f64;
    kit::scale_bar(&mut notes, kit::paper(90.0, bar_mm), ratio, units);
    let lines = (legend.len() + 1).max(right.len() + 1);
    let mut drawing = Drawing::new(
        Size {
            width_mm: kit::PAGE
                .width_mm
                .min(LEFT_MM + long_mm + RIGHT_MM)
                .max(165.0),
            height_mm: foot_mm + 4.6 * lines as f64 + 2.0,
        },
        "Hanging layout",
    );
    drawing.alt = alt(room, hanging, units);
    drawing.views = vec![view, notes];
    drawing
}

/// What the arrow means.
fn arrow_key(notes: &mut View, y_mm: f64) {
    notes.line(Role::Process, at(2.0, y_mm), at(10.0, y_mm));
    notes.push(
        Role::Process,
        Shape::Arrowhead {
            tip: at(10.0, y_mm),
            angle_rad: 0.0,
        },
    );
    notes.text(
        Role::Text,
        Label::new("discharge", at(12.0, y_mm))
            .letters(Letters::Note)
            .anchor(Anchor::Start, Stand::Middle),
    );
}

fn alt(room: &Room, hanging: &Hanging, units: UnitSystem) -> String {
    let length = |m: f64| Value::new(m, Dim::Length).show(units);
    let tags: Vec<&str> = hanging.units.iter().map(|u| u.tag.as_str()).collect();
    format!(
        "Plan of the room, {} by {}, with {} unit(s) ({}) and the place and load of each rod.",
        length(room.geometry.length_m.value),
        length(room.geometry.width_m.value),
        tags.len(),
        tags.join(", ")
    )
}

fn members(view: &mut View, room: &Room, legend: &mut Vec<(Role, &'static str)>) {
    let Overhead::Members(members) = overhead(room) else {
        return;
    };
    let Some(first_m) = members.first_m else {
        return;
    };
    let size = [room.geometry.length_m.value, room.geometry.width_m.value];
    let end = size[members.across];
    // A member every few millimetres of paper is still a drawing.
    let count = ((end - first_m) / members.spacing_m)
        .floor()
        .clamp(0.0, 400.0);
    let mut n = 0.0;
    while n <= count && first_m <= end {
        let across = first_m + n * members.spacing_m;
        let (from, to) = if members.across == 0 {
            (at(across, 0.0), at(across, size[1]))
        } else {
            (at(0.0, across), at(size[0], across))
        };
        view.line(Role::Hidden, from, to);
        n += 1.0;
    }
    legend.push((Role::Hidden, "member overhead, middle"));
}

fn doors(view: &mut View, room: &Room) {
    let (length_m, width_m) = (room.geometry.length_m.value, room.geometry.width_m.value);
    for door in &room.doors {
        let half = 0.5 * door.width_m.value;
        let along = door.along_m.value + half;
        let inward = view.transform.x_mm_per_unit.recip() * 1.6;
        let (a, b, middle) = match door.wall.value {
            Wall::MinusX => (
                at(0.0, along - half),
                at(inward, along + half),
                at(2.5 * inward, along),
            ),
            Wall::PlusX => (
                at(length_m - inward, along - half),
                at(length_m, along + half),
                at(length_m - 2.5 * inward, along),
            ),
            Wall::MinusY => (
                at(along - half, 0.0),
                at(along + half, inward),
                at(along, 3.0 * inward),
            ),
            Wall::PlusY => (
                at(along - half, width_m - inward),
                at(along + half, width_m),
                at(along, width_m - 3.0 * inward),
            ),
        };
        view.rect(Role::Waiting, a, b);
        let anchor = match door.wall.value {
            Wall::MinusX => Anchor::Start,
            Wall::PlusX => Anchor::End,
            Wall::MinusY | Wall::PlusY => Anchor::Middle,
        };
        view.text(
            Role::Text,
            Label::new("door", middle)
                .letters(Letters::Note)
                .anchor(anchor, Stand::Middle)
                .halo(),
        );
    }
}

/// Units that stand in the plan.
fn drawn(hanging: &Hanging) -> impl Iterator<Item = &CarriedUnit> {
    hanging.units.iter().filter(|u| u.way != Way::Outside)
}

/// Rods of a unit, or the feet of its stand, in plan \[m\].
fn supports(unit: &CarriedUnit) -> Vec<RoomPoint> {
    if unit.rods.is_empty() {
        unit.anchors.iter().map(|a| a.at_m).collect()
    } else {
        unit.rods.iter().map(|r| r.foot_m).collect()
    }
}

/// Running dimensions of all rods from the two walls.
fn running(view: &mut View, hanging: &Hanging, units: UnitSystem) {
    for axis in [0, 1] {
        // Each coordinate once, with the farthest rod that has it.
        let mut lines: Vec<(f64, f64)> = Vec::new();
        for p in hanging.units.iter().flat_map(supports) {
            let (here, far) = (p[axis], p[1 - axis]);
            match lines.iter_mut().find(|(c, _)| (c - here).abs() < 0.005) {
                Some((_, reach)) => *reach = reach.max(far),
                None => lines.push((here, far)),
            }
        }
        lines.sort_by(|a, b| a.0.total_cmp(&b.0));
        let t = view.transform;
        let place = |c: f64| {
            let p = t.to_paper(at(c, c));
            if axis == 0 { p.x_mm } else { p.y_mm }
        };
        let wall = t.to_paper(at(0.0, 0.0));
        let spread = spread_out(&lines.iter().map(|l| place(l.0)).collect::<Vec<_>>());
        for ((coordinate, reach), shown) in lines.into_iter().zip(spread) {
            let true_mm = place(coordinate);
            let point = |along: f64, off: f64| {
                t.to_world(if axis == 0 {
                    PaperPoint {
                        x_mm: along,
                        y_mm: wall.y_mm + off,
                    }
                } else {
                    PaperPoint {
                        x_mm: wall.x_mm - off,
                        y_mm: along,
                    }
                })
            };
            let end = if axis == 0 {
                at(coordinate, reach)
            } else {
                at(reach, coordinate)
            };
            view.line(Role::Centre, point(true_mm, 0.0), end);
            view.push(
                Role::Dimension,
                Shape::Polyline(vec![
                    point(true_mm, 1.5),
                    point(true_mm, 3.0),
                    point(shown, 7.0),
                    point(shown, 9.0),
                ]),
            );
            let label = Label::new(one_length(coordinate, units), point(shown, 10.0))
                .letters(Letters::Note)
                .anchor(Anchor::End, Stand::Middle);
            let label = if axis == 0 { label.turn(90.0) } else { label };
            view.text(Role::Text, label);
        }
    }
}

/// A running dimension in the reader's units alone: the other system stands in
/// the table of rods.
fn one_length(m: f64, units: UnitSystem) -> String {
    let both = kit::length(m, units);
    both.split_once(" [")
        .map_or_else(|| both.clone(), |(first, _)| first.to_owned())
}

/// Places of texts on paper, in order, none closer than a line to the next.
fn spread_out(places: &[f64]) -> Vec<f64> {
    let mut out = places.to_vec();
    let rising = out.first() <= out.last();
    if !rising {
        out.reverse();
    }
    for _ in 0..60 {
        for i in 1..out.len() {
            let short = LINE_MM - (out[i] - out[i - 1]);
            if 1e-6 < short {
                out[i - 1] -= 0.5 * short;
                out[i] += 0.5 * short;
            }
        }
    }
    if !rising {
        out.reverse();
    }
    out
}

/// Whether the loads of rods would lie on each other or on other units.
fn crowded(hanging: &Hanging, ratio: f64) -> bool {
    const ROOM_MM: [f64; 2] = [26.0, 14.0];
    let mm = 1000.0 / ratio;
    let boxes: Vec<[f64; 4]> = drawn(hanging)
        .map(|u| {
            let middle = u.cabinet.middle_m();
            let size = u.cabinet.size_m();
            let half_x = (0.5 * size[0] * mm).max(0.5 * ROOM_MM[0]);
            let half_y = 0.5 * size[1] * mm + ROOM_MM[1];
            [
                middle[0] * mm - half_x,
                middle[1] * mm - half_y,
                middle[0] * mm + half_x,
                middle[1] * mm + half_y,
            ]
        })
        .collect();
    boxes.iter().enumerate().any(|(i, a)| {
        boxes[..i]
            .iter()
            .any(|b| a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3])
    })
}

fn one_unit(view: &mut View, unit: &CarriedUnit, units: UnitSystem, crowded: bool) {
    let mm = view.transform.x_mm_per_unit.recip();
    for strut in &unit.struts {
        let [a, b] = strut.ends_m;
        view.line(Role::Total, at(a[0], a[1]), at(b[0], b[1]));
    }
    let box_m = unit.cabinet;
    kit::rectangle(
        view,
        Role::Equipment,
        (box_m.low_m[0], box_m.low_m[1]),
        (box_m.high_m[0], box_m.high_m[1]),
    );
    if let (Some(front), Some(back)) = (unit.rods.first(), unit.rods.get(2)) {
        discharge(view, unit, [front.foot_m, back.foot_m]);
    }
    let middle = box_m.middle_m();
    kit::tag_of(
        view,
        (
            at(box_m.low_m[0], box_m.low_m[1]),
            at(box_m.high_m[0], box_m.high_m[1]),
        ),
        DOT_MM,
        away_from_arrow(unit),
        unit.tag.clone(),
    );
    let supports = supports(unit);
    for p in &supports {
        view.push(
            Role::Running,
            Shape::Circle {
                centre: at(p[0], p[1]),
                radius: DOT_MM * mm,
            },
        );
    }
    // Numbers beside the dots, outside the cabinet.
    let edge = |p: &RoomPoint| {
        let above = middle[1] <= p[1];
        let y = if above {
            box_m.high_m[1].max(p[1])
        } else {
            box_m.low_m[1].min(p[1])
        };
        (above, y)
    };
    for (i, p) in supports.iter().enumerate() {
        let (above, y) = edge(p);
        let off = if above { 2.6 } else { -2.6 };
        view.text(
            Role::Text,
            Label::new((i + 1).to_string(), at(p[0], y + off * mm))
                .letters(Letters::Note)
                .anchor(Anchor::Middle, Stand::Middle)
                .halo(),
        );
    }
    if crowded {
        return;
    }
    let load = |i: usize| {
        unit.rods
            .get(i)
            .map(|r| r.design_n)
            .or_else(|| unit.anchors.get(i).map(|a| a.reaction_n))
            .unwrap_or_default()
    };
    for side in [true, false] {
        // Beyond the arrow where it points that way.
        let arrow = match (unit.rods.first(), unit.rods.get(2)) {
            (Some(front), Some(back)) => front.foot_m[1] - back.foot_m[1],
            _ => 0.0,
        };
        let beyond = if 0.05 < arrow.abs() && (0.0 < arrow) == side {
            1.2
        } else {
            0.0
        };
        let mut row = beyond;
        for (i, p) in supports.iter().enumerate() {
            let (above, y) = edge(p);
            if above != side {
                continue;
            }
            let off = 6.6 + LINE_MM * row;
            let y = if above { y + off * mm } else { y - off * mm };
            row += 1.0;
            let words = format!(
                "{}-{}: {}",
                unit.tag,
                i + 1,
                Value::new(load(i), Dim::Force).show(units)
            );
            view.text(
                Role::Text,
                Label::new(words, at(middle[0], y))
                    .letters(Letters::Note)
                    .anchor(Anchor::Middle, Stand::Middle)
                    .halo(),
            );
        }
    }
}

/// The side of a unit on which its arrow is not.
fn away_from_arrow(unit: &CarriedUnit) -> kit::Beside {
    match (unit.rods.first(), unit.rods.get(2)) {
        (Some(front), Some(back)) if back.foot_m[0] + 0.05 < front.foot_m[0] => kit::Beside::Left,
        _ => kit::Beside::Right,
    }
}

/// An arrow out of the front of a unit, 6 mm long on paper.
fn discharge(view: &mut View, unit: &CarriedUnit, [front, back]: [RoomPoint; 2]) {
    let (dx, dy) = (front[0] - back[0], front[1] - back[1]);
    let long = dx.hypot(dy);
    if long < 1e-9 {
        return;
    }
    let (dx, dy) = (dx / long, dy / long);
    let middle = unit.cabinet.middle_m();
    let size = unit.cabinet.size_m();
    let half = 0.5 * (dx.abs() * size[0] + dy.abs() * size[1]);
    let mm = view.transform.x_mm_per_unit.recip();
    let along = |m: f64| at(middle[0] + dx * m, middle[1] + dy * m);
    let tip: Point = along(half + 7.0 * mm);
    view.line(Role::Process, along(half), tip);
    view.push(
        Role::Process,
        Shape::Arrowhead {
            tip,
            angle_rad: dy.atan2(dx),
        },
    );
}

fn overall(view: &mut View, length_m: f64, width_m: f64, units: UnitSystem) {
    kit::dimension(
        view,
        (at(0.0, width_m), at(length_m, width_m)),
        kit::SideOf::Left,
        7.0,
        kit::length(length_m, units),
    );
    kit::dimension(
        view,
        (at(length_m, 0.0), at(length_m, width_m)),
        kit::SideOf::Right,
        7.0,
        kit::length(width_m, units),
    );
}
