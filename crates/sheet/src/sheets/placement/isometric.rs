//! The room seen from its near corner, in isometric lines.

use equipment::Catalog;
use job::Placement;
use job::geometry::Cuboid;
use job::placement::{ThingKind, inside, things};
use quantity::UnitSystem;
use room::Room;

use super::marks::recorded;
use crate::drawing::{Anchor, Drawing, Label, Letters, Point, Role, Size, Stand, View, at};
use crate::sheets::iso::{Stage, axes, far_to_near, seen, solid, stage};
use crate::sheets::kit::{self, PAGE, length, paper};

/// Isometric view: floor and far walls, things and units as boxes. True to
/// scale along the axes; dimensions are in plan and elevation.
pub fn isometric(
    room: &Room,
    catalog: &Catalog,
    placement: &Placement,
    units: UnitSystem,
) -> Drawing {
    let hall = inside(room);
    let [l, w, h] = hall.high_m;
    let Stage {
        view: mut v,
        ratio,
        base_mm,
    } = stage(&hall, 20.0, 126.0, units);
    let mut boxes: Vec<(Role, Cuboid, Option<String>)> = things(room)
        .into_iter()
        .map(|t| {
            let role = match t.kind {
                ThingKind::Bench => Role::Waiting,
                ThingKind::Canopy => Role::Taken(0),
                ThingKind::Luminaire => Role::BarDay,
                _ => Role::Cut,
            };
            (role, t.cuboid, None)
        })
        .collect();
    for (u, model) in recorded(catalog, placement) {
        let cabinet = u.frame.cabinet(&model.body);
        boxes.push((Role::Equipment, cabinet, Some(u.tag.clone())));
    }
    boxes.sort_by(|a, b| far_to_near(&a.1, &b.1));
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
    axes(&mut v, &hall);
    let mut page = View::paper("title");
    kit::view_title(
        &mut page,
        paper(4.0, 4.5),
        "Isometric view from the near corner of the door wall",
        ratio,
        units,
    );
    page.text(
        Role::TextQuiet,
        Label::new(
            "To scale along x, y and z. White: benches; grey: canopy; shaded: luminaires; heavy lines: units with tags.",
            at(4.0, 13.5),
        )
        .letters(Letters::Note),
    );
    kit::scale_bar(&mut page, paper(104.0, 6.5), ratio, units);
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
