//! Elevation along the longer side, with heights.

use equipment::Catalog;
use job::Placement;
use job::placement::{ThingKind, things};
use quantity::{Place, UnitSystem};
use room::{ObstacleKind, Room};

use super::marks::{inlet, jet, outlet, recorded};
use crate::drawing::{Anchor, Drawing, Label, Letters, Mark, Role, Shape, Size, Stand, View, at};
use crate::sheets::kit::{
    PAGE, SideOf, dimension, legend, length, paper, rectangle, scale_bar, scale_that_fits,
    scale_words, view,
};

/// Dimension lines at a side, from the wall \[mm\].
const FIRST_MM: f64 = 10.0;
const NEXT_MM: f64 = 7.0;
/// Heights of units that are drawn; the table has all.
const MOST_LINES: usize = 3;

/// Elevation: looking along +y where the room is longer in x, else along +x.
/// What lies behind something else is drawn over by what is nearer.
///
/// The view is named "elevation"; its world is metres along the wall and up.
pub fn elevation(
    room: &Room,
    catalog: &Catalog,
    placement: &Placement,
    units: UnitSystem,
) -> Drawing {
    let g = &room.geometry;
    let (l, w, h) = (g.length_m.value, g.width_m.value, g.height_m.value);
    let (axis, deep, long, title) = if w <= l {
        (0, 1, l, "Elevation, looking along +y")
    } else {
        (1, 0, w, "Elevation, looking along +x")
    };
    let mut heights: Vec<f64> = recorded(catalog, placement)
        .map(|(u, m)| u.frame.at_m[2] - 0.5 * m.body.size_m[2])
        .collect();
    heights.sort_by(f64::total_cmp);
    heights.dedup_by(|a, b| (*a - *b).abs() < 0.01);
    heights.truncate(MOST_LINES);
    let mut fixed: Vec<(f64, &str)> = Vec::new();
    for thing in things(room) {
        let (z, words) = match thing.kind {
            ThingKind::Canopy => (thing.cuboid.high_m[2], "top of canopy"),
            ThingKind::Luminaire => (thing.cuboid.low_m[2], "under luminaires"),
            _ => continue,
        };
        if !fixed.iter().any(|f| (f.0 - z).abs() < 0.01) && fixed.len() < MOST_LINES {
            fixed.push((z, words));
        }
    }
    fixed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let left_mm = FIRST_MM + NEXT_MM * (fixed.len() as f64 + 0.6);
    let right_mm = FIRST_MM + NEXT_MM * (heights.len() as f64 + 0.3);
    let free = Size {
        width_mm: PAGE.width_mm - left_mm - right_mm,
        height_mm: 110.0,
    };
    let ratio = scale_that_fits(long, h, free, units);
    let mm = |m: f64| 1000.0 * m / ratio;
    let base_mm = 18.0 + mm(h);
    let mut v = view("elevation", ratio, paper(left_mm, base_mm));
    rectangle(&mut v, Role::Outline, (0.0, 0.0), (long, h));
    v.line(Role::Drain, at(-0.3, 0.0), at(long + 0.3, 0.0));
    let mut all = things(room);
    // Far things first.
    all.sort_by(|a, b| b.cuboid.low_m[deep].total_cmp(&a.cuboid.low_m[deep]));
    let mut lines: Vec<(Role, &str)> = vec![(Role::Drain, "finished floor, z = 0")];
    let mut add = |role: Role, words: &'static str| {
        if !lines.iter().any(|l| l.1 == words) {
            lines.push((role, words));
        }
    };
    for thing in &all {
        let (low, high) = (thing.cuboid.low_m, thing.cuboid.high_m);
        let ends = ((low[axis], low[2]), (high[axis], high[2]));
        match thing.kind {
            ThingKind::Bench => {
                rectangle(&mut v, Role::Waiting, ends.0, ends.1);
                add(Role::Waiting, "bench");
            }
            ThingKind::Canopy => {
                rectangle(&mut v, Role::Taken(0), ends.0, ends.1);
                add(Role::Taken(0), "canopy");
            }
            ThingKind::Luminaire => {
                rectangle(&mut v, Role::BarDay, ends.0, ends.1);
                add(Role::BarDay, "luminaire");
            }
            ThingKind::Obstacle(ObstacleKind::Sprinkler | ObstacleKind::Detector) => {
                v.mark(
                    Role::Outline,
                    Mark::Ring,
                    at(0.5 * (low[axis] + high[axis]), 0.5 * (low[2] + high[2])),
                );
            }
            _ => {
                rectangle(&mut v, Role::Cut, ends.0, ends.1);
                add(Role::Cut, "obstacle");
            }
        }
    }
    for j in &placement.jets {
        jet(&mut v, j, (axis, 2));
        add(
            super::marks::role(j.kind),
            match j.kind {
                job::placement::JetKind::Discharge => "unit's discharge, as far as it reaches",
                job::placement::JetKind::Supply => "cold supply, as far as it reaches",
                job::placement::JetKind::Fan => "fan, as far as it reaches",
            },
        );
    }
    cabinets(&mut v, catalog, placement, (axis, deep));
    add(Role::Equipment, "unit");
    let sensor = placement.sensor_m;
    v.mark(Role::Outline, Mark::Dot, at(sensor[axis], sensor[2]));
    v.text(
        Role::Text,
        Label::new("RH", at(sensor[axis], sensor[2]))
            .letters(Letters::Note)
            .anchor(Anchor::Start, Stand::Base)
            .shift(1.4, -1.2)
            .halo(),
    );
    for (i, (z, _)) in fixed.iter().enumerate() {
        dimension(
            &mut v,
            (at(0.0, 0.0), at(0.0, *z)),
            SideOf::Left,
            FIRST_MM + NEXT_MM * i as f64,
            length(*z, units),
        );
    }
    dimension(
        &mut v,
        (at(0.0, 0.0), at(0.0, h)),
        SideOf::Left,
        FIRST_MM + NEXT_MM * fixed.len() as f64,
        length(h, units),
    );
    for (i, z) in heights.iter().enumerate() {
        dimension(
            &mut v,
            (at(long, 0.0), at(long, *z)),
            SideOf::Right,
            FIRST_MM + NEXT_MM * i as f64,
            length(*z, units),
        );
    }
    let mut page = View::paper("title");
    page.text(
        Role::TextStrong,
        Label::new(title, at(4.0, 4.5)).letters(Letters::ViewTitle),
    );
    page.text(
        Role::TextQuiet,
        Label::new(
            format!(
                "{}; left: heights of canopy, luminaires, ceiling; right: undersides of units",
                scale_words(ratio, units)
            ),
            at(4.0, 9.0),
        )
        .letters(Letters::Note),
    );
    let overhead = things(room).iter().any(|t| {
        matches!(
            t.kind,
            ThingKind::Obstacle(ObstacleKind::Sprinkler | ObstacleKind::Detector)
        )
    });
    let foot_mm = base_mm + 8.0;
    let mut bar = view("scale", ratio, paper(0.0, 0.0));
    scale_bar(&mut bar, paper(4.0, foot_mm), ratio, units);
    let half = lines.len().div_ceil(2);
    legend(&mut page, paper(4.0, foot_mm + 11.0), &lines[..half]);
    legend(&mut page, paper(90.0, foot_mm + 11.0), &lines[half..]);
    page.mark(
        Role::Outline,
        Mark::Dot,
        at(8.0, foot_mm + 11.0 + 4.6 * half as f64),
    );
    page.text(
        Role::Text,
        Label::new(
            if overhead {
                "RH: humidity sensor; ring: sprinkler head or detector"
            } else {
                "RH: humidity sensor"
            },
            at(14.0, foot_mm + 11.0 + 4.6 * half as f64),
        )
        .letters(Letters::Note)
        .anchor(Anchor::Start, Stand::Middle),
    );
    let mut drawing = Drawing::new(
        Size {
            width_mm: PAGE.width_mm,
            height_mm: foot_mm + 15.0 + 4.6 * half as f64,
        },
        format!("Elevation of {}", room.name.value),
    );
    let fixed: Vec<String> = fixed
        .iter()
        .map(|(z, words)| format!("{words} {}", length(*z, units)))
        .collect();
    let under: Vec<String> = heights.iter().map(|z| length(*z, units)).collect();
    drawing.alt = format!(
        "{title}, {}. Ceiling {}; {}; undersides of units {}.",
        scale_words(ratio, units),
        length(h, units),
        fixed.join(", "),
        under.join(", ")
    );
    drawing.views = vec![v, page, bar];
    drawing
}

/// Units, far ones first.
fn cabinets(v: &mut View, catalog: &Catalog, placement: &Placement, (axis, deep): (usize, usize)) {
    let mut all: Vec<_> = recorded(catalog, placement).collect();
    all.sort_by(|a, b| b.0.frame.at_m[deep].total_cmp(&a.0.frame.at_m[deep]));
    let mut named: Vec<(f64, f64, String)> = Vec::new();
    for (u, model) in all {
        let cabinet = u.frame.cabinet(&model.body);
        let (low, high) = (cabinet.low_m, cabinet.high_m);
        v.push_part(
            Role::Equipment,
            Shape::Polygon(vec![
                at(low[axis], low[2]),
                at(high[axis], low[2]),
                at(high[axis], high[2]),
                at(low[axis], high[2]),
            ]),
            Place::new(u.tag.clone()),
        );
        let face = |f| {
            let p = u.frame.face_m(&model.body, f);
            at(p[axis], p[2])
        };
        let flat = |f| {
            let o = u.frame.outward(f);
            (o[axis], o[2])
        };
        let out = flat(model.body.outlet);
        if out != (0.0, 0.0) {
            outlet(v, face(model.body.outlet), out);
        }
        let into = flat(model.body.inlet);
        if into != (0.0, 0.0) {
            inlet(v, face(model.body.inlet), into);
        }
        let (x, z) = (u.frame.at_m[axis], cabinet.low_m[2]);
        // Units behind each other share a tag: 18 mm hold four of them.
        let world = |mm: f64| mm / v.transform.x_mm_per_unit;
        let near = named
            .iter_mut()
            .find(|n| (n.0 - x).abs() < world(18.0) && (n.1 - z).abs() < world(5.0));
        if let Some(same) = near {
            same.2 = format!("{}, {}", u.tag, same.2);
        } else {
            named.push((x, z, u.tag.clone()));
        }
    }
    // Under the cabinet, since its own height is little on paper.
    for (x, z, words) in named {
        v.text(
            Role::TextStrong,
            Label::new(words, at(x, z))
                .letters(Letters::Note)
                .anchor(Anchor::Middle, Stand::Top)
                .shift(0.0, 1.2)
                .halo(),
        );
    }
}
