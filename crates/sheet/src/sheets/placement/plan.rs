//! Plan of the room to scale.

use equipment::Catalog;
use job::Placement;
use job::placement::{JetKind, ThingKind, things, working_space};
use quantity::{Place, UnitSystem};
use room::{DrainKind, Mount, ObstacleKind, Room};

use super::marks::{inlet, jet, outlet, recorded, role};
use crate::drawing::{
    Anchor, Drawing, Label, Letters, Mark, PaperPoint, Point, Role, Shape, Size, Stand, View, at,
};
use crate::sheets::kit::{
    Beside, PAGE, SideOf, Taken, around, dimension, length, paper, rectangle, scale_bar,
    scale_that_fits, scale_words, tag_of, view,
};
use crate::sheets::structure;

/// Name of the view that is drawn to scale in the room's metres.
pub const VIEW: &str = "plan";

/// Dimension lines a side at most; the table has all places.
const MOST_LINES: usize = 5;
/// First dimension line from the wall, and each next \[mm\].
const FIRST_MM: f64 = 10.0;
const NEXT_MM: f64 = 7.0;
/// Head with title and north arrow \[mm\].
const HEAD_MM: f64 = 16.0;
/// Scale bar and legend under the plan \[mm\].
const FOOT_MM: f64 = 40.0;

/// Values that differ by more than a centimetre, rising.
fn distinct(mut all: Vec<f64>) -> Vec<f64> {
    all.sort_by(f64::total_cmp);
    all.dedup_by(|a, b| (*a - *b).abs() < 0.01);
    all.truncate(MOST_LINES);
    all
}

/// Lines of the legend that the plan turns out to need.
struct Legend(Vec<(Sign, &'static str)>);

/// A sample in the legend.
#[derive(Clone, Copy, PartialEq)]
enum Sign {
    Line(Role),
    Area(Role),
    Dot(Mark),
    Arrow,
    Inlet,
}

impl Legend {
    fn add(&mut self, sign: Sign, words: &'static str) {
        if !self.0.iter().any(|l| l.1 == words) {
            self.0.push((sign, words));
        }
    }
}

/// Plan: walls, door, benches, aisles, luminaires, fans, supplies, units with
/// facing and clearances, jets, sensor, panels, drains, dimensions.
///
/// The view is named [`VIEW`]; its world is the room in metres.
pub fn plan(room: &Room, catalog: &Catalog, placement: &Placement, units: UnitSystem) -> Drawing {
    let (l, w) = (room.geometry.length_m.value, room.geometry.width_m.value);
    let xs = distinct(placement.units.iter().map(|u| u.frame.at_m[0]).collect());
    let ys = distinct(placement.units.iter().map(|u| u.frame.at_m[1]).collect());
    let left_mm = FIRST_MM + NEXT_MM * (ys.len() as f64 + 0.6);
    let below_mm = FIRST_MM + NEXT_MM * (xs.len() as f64 + 0.4);
    let free = Size {
        width_mm: PAGE.width_mm - left_mm - 6.0,
        height_mm: PAGE.height_mm - HEAD_MM - below_mm - FOOT_MM,
    };
    let ratio = scale_that_fits(l, w, free, units);
    let mm = |m: f64| 1000.0 * m / ratio;
    let base_mm = HEAD_MM + mm(w);
    let mut v = view(VIEW, ratio, paper(left_mm, base_mm));
    let mut legend = Legend(Vec::new());
    structure(&mut v, &mut legend, room);
    for j in &placement.jets {
        jet(&mut v, j, (0, 1));
        let words = match j.kind {
            JetKind::Discharge => "unit's discharge, as far as it reaches",
            JetKind::Supply => "cold supply, as far as it reaches",
            JetKind::Fan => "fan, as far as it reaches",
        };
        if j.kind != JetKind::Discharge {
            let p = at(j.origin_m[0], j.origin_m[1]);
            v.mark(Role::Dimension, Mark::Square, p);
        }
        legend.add(Sign::Line(role(j.kind)), words);
    }
    cabinets(&mut v, &mut legend, catalog, placement);
    connections(&mut v, &mut legend, room, catalog, placement);
    dimensions(&mut v, room, placement, (&xs, &ys), units);
    let mut page = View::paper("title");
    head(&mut page, ratio, left_mm + mm(l), units);
    let foot_mm = base_mm + below_mm + 4.0;
    let mut bar = view("scale", ratio, paper(0.0, 0.0));
    scale_bar(&mut bar, paper(4.0, foot_mm), ratio, units);
    let rows = legend.0.len().div_ceil(2);
    draw_legend(&mut page, &legend, paper(4.0, foot_mm + 11.0));
    let mut drawing = Drawing::new(
        Size {
            width_mm: PAGE.width_mm,
            height_mm: foot_mm + 11.0 + 4.8 * rows as f64,
        },
        format!("Plan of {}", room.name.value),
    );
    let list: Vec<String> = placement
        .units
        .iter()
        .map(|u| {
            format!(
                "{} at x {}, y {}, blowing to {}",
                u.tag,
                length(u.frame.at_m[0], units),
                length(u.frame.at_m[1], units),
                u.frame.facing.word()
            )
        })
        .collect();
    drawing.alt = format!(
        "Plan {}, room {} by {}. {}.",
        scale_words(ratio, units),
        length(l, units),
        length(w, units),
        list.join("; ")
    );
    drawing.views = vec![v, page, bar];
    drawing
}

fn head(page: &mut View, ratio: f64, right_mm: f64, units: UnitSystem) {
    page.text(
        Role::TextStrong,
        Label::new("Plan", at(4.0, 4.5)).letters(Letters::ViewTitle),
    );
    let words = match units {
        UnitSystem::Metric => "mm [ft and in], mm govern",
        UnitSystem::Us => "ft and in [mm], ft and in govern",
    };
    page.text(
        Role::TextQuiet,
        Label::new(
            format!("{}; {words}", scale_words(ratio, units)),
            at(4.0, 9.0),
        )
        .letters(Letters::Note),
    );
    // Plan north is +y.
    let x = right_mm - 4.0;
    page.line(Role::Outline, at(x, 12.0), at(x, 3.0));
    page.push(
        Role::Dimension,
        Shape::Arrowhead {
            tip: at(x, 1.5),
            angle_rad: std::f64::consts::FRAC_PI_2,
        },
    );
    page.text(
        Role::Text,
        Label::new("plan north = +y", at(x - 2.5, 8.0))
            .letters(Letters::Note)
            .anchor(Anchor::End, Stand::Middle),
    );
}

/// Walls with doors, aisles, benches, luminaires, obstacles.
fn structure(v: &mut View, legend: &mut Legend, room: &Room) {
    let (l, w) = (room.geometry.length_m.value, room.geometry.width_m.value);
    for a in &room.aisles {
        let [x, y, _] = a.at_m.value;
        let (hl, hw) = (0.5 * a.length_m.value, 0.5 * a.width_m.value);
        rectangle(
            v,
            Role::Leader,
            ((x - hl).max(0.0), (y - hw).max(0.0)),
            ((x + hl).min(l), (y + hw).min(w)),
        );
        legend.add(Sign::Line(Role::Leader), "aisle");
    }
    let names = structure::benches(v, room);
    if !names.is_empty() {
        legend.add(Sign::Area(Role::Waiting), "bench");
    }
    for thing in things(room) {
        let (low, high) = (thing.cuboid.low_m, thing.cuboid.high_m);
        let ends = ((low[0], low[1]), (high[0], high[1]));
        match thing.kind {
            ThingKind::Bench | ThingKind::Canopy => {}
            ThingKind::Luminaire => {
                rectangle(v, Role::Hidden, ends.0, ends.1);
                legend.add(Sign::Line(Role::Hidden), "luminaire, overhead");
            }
            ThingKind::Obstacle(ObstacleKind::Sprinkler) => {
                let p = at(0.5 * (low[0] + high[0]), 0.5 * (low[1] + high[1]));
                v.mark(Role::Outline, Mark::Ring, p);
                legend.add(Sign::Dot(Mark::Ring), "sprinkler head");
            }
            ThingKind::Obstacle(ObstacleKind::Detector) => {
                let p = at(0.5 * (low[0] + high[0]), 0.5 * (low[1] + high[1]));
                v.mark(Role::Outline, Mark::Triangle, p);
                legend.add(Sign::Dot(Mark::Triangle), "smoke or heat detector");
            }
            _ => {
                rectangle(v, Role::Cut, ends.0, ends.1);
                legend.add(Sign::Area(Role::Cut), "obstacle");
            }
        }
    }
    // Over the luminaires' lines.
    structure::bench_names(v, names);
    structure::walls(v, room);
}

/// Clearances first, then cabinets over them.
fn cabinets(v: &mut View, legend: &mut Legend, catalog: &Catalog, placement: &Placement) {
    for (u, model) in recorded(catalog, placement) {
        for (i, (face, _)) in equipment::FACES.iter().enumerate() {
            let deep = model.body.clearance_m[i];
            let outward = u.frame.outward(*face);
            if deep < 0.05 || outward[2].abs() > 0.5 {
                continue;
            }
            let zone = u.frame.before(&model.body, *face, deep);
            rectangle(
                v,
                Role::Clearance,
                (zone.low_m[0], zone.low_m[1]),
                (zone.high_m[0], zone.high_m[1]),
            );
            legend.add(Sign::Line(Role::Clearance), "space to keep free");
        }
    }
    for (u, model) in recorded(catalog, placement) {
        let cabinet = u.frame.cabinet(&model.body);
        let (low, high) = (cabinet.low_m, cabinet.high_m);
        v.push_part(
            Role::Equipment,
            Shape::Polygon(vec![
                at(low[0], low[1]),
                at(high[0], low[1]),
                at(high[0], high[1]),
                at(low[0], high[1]),
            ]),
            Place::new(u.tag.clone()),
        );
        let words = if u.mount == Mount::Stand {
            "unit on a stand"
        } else {
            "unit"
        };
        legend.add(Sign::Area(Role::Equipment), words);
        let flat = |p: [f64; 3]| (p[0], p[1]);
        let face = |f| {
            let p = u.frame.face_m(&model.body, f);
            at(p[0], p[1])
        };
        let out = flat(u.frame.outward(model.body.outlet));
        if out != (0.0, 0.0) {
            outlet(v, face(model.body.outlet), out);
            legend.add(Sign::Arrow, "air leaves");
        }
        let into = flat(u.frame.outward(model.body.inlet));
        if into != (0.0, 0.0) {
            inlet(v, face(model.body.inlet), into);
            legend.add(Sign::Inlet, "air enters");
        }
        tag_of(
            v,
            (at(low[0], low[1]), at(high[0], high[1])),
            0.0,
            if out.0 == 0.0 {
                Beside::Right
            } else {
                Beside::Over
            },
            u.tag.clone(),
        );
    }
}

/// A point's label on the side away from the nearest side wall.
fn aside(v: &mut View, room: &Room, p: Point, words: String) {
    let l = room.geometry.length_m.value;
    let (anchor, right) = if p.x < 0.5 * l {
        (Anchor::Start, 2.2)
    } else {
        (Anchor::End, -2.2)
    };
    v.text(
        Role::Text,
        Label::new(words, p)
            .letters(Letters::Note)
            .anchor(anchor, Stand::Middle)
            .shift(right, 0.0)
            .halo(),
    );
}

/// Where the sensor's letters stand so that they lie on no unit and on no
/// other text: the nearest of a few places.
fn beside_sensor(v: &View, catalog: &Catalog, placement: &Placement) -> (Anchor, f64, f64) {
    const WIDE_MM: f64 = 5.5;
    const HIGH_MM: f64 = 2.5;
    const DOWN_MM: [f64; 6] = [-1.2, 3.9, 7.5, -5.0, 11.0, -8.8];
    let t = v.transform;
    let sensor = t.to_paper(at(placement.sensor_m[0], placement.sensor_m[1]));
    let units = recorded(catalog, placement).map(|(u, model)| {
        let cabinet = u.frame.cabinet(&model.body);
        let (low, high) = (cabinet.low_m, cabinet.high_m);
        let (a, b) = (
            t.to_paper(at(low[0], high[1])),
            t.to_paper(at(high[0], low[1])),
        );
        [a.x_mm, a.y_mm, b.x_mm, b.y_mm]
    });
    let texts = v.texts().map(|(_, corners)| around(&corners));
    let taken: Vec<Taken> = units.chain(texts).collect();
    let clear = |&(_, right_mm, down_mm): &(Anchor, f64, f64)| {
        let left = if right_mm < 0.0 {
            sensor.x_mm + right_mm - WIDE_MM
        } else {
            sensor.x_mm + right_mm
        };
        let base = sensor.y_mm + down_mm;
        taken
            .iter()
            .all(|b| left + WIDE_MM < b[0] || b[2] < left || base < b[1] || b[3] < base - HIGH_MM)
    };
    let places = DOWN_MM
        .into_iter()
        .flat_map(|down| [(Anchor::Start, 1.4, down), (Anchor::End, -1.4, down)]);
    let first = (Anchor::Start, 1.4, DOWN_MM[0]);
    places.into_iter().find(clear).unwrap_or(first)
}

/// Sensor, panels with their working space, drains.
fn connections(
    v: &mut View,
    legend: &mut Legend,
    room: &Room,
    catalog: &Catalog,
    placement: &Placement,
) {
    for panel in &room.panels {
        let space = working_space(room, panel);
        rectangle(
            v,
            Role::Clearance,
            (space.low_m[0], space.low_m[1]),
            (space.high_m[0], space.high_m[1]),
        );
        legend.add(Sign::Line(Role::Clearance), "space to keep free");
        let [x, y, _] = panel.at_m.value;
        v.mark(Role::Outline, Mark::Square, at(x, y));
        aside(v, room, at(x, y), panel.name.value.clone());
        legend.add(Sign::Dot(Mark::Square), "panel, opening of a supply or fan");
    }
    for drain in &room.drains {
        let [x, y, _] = drain.at_m.value;
        v.mark(Role::Outline, Mark::Ring, at(x, y));
        let words = match drain.kind.value {
            DrainKind::FloorDrain => "FD",
            _ => "drain",
        };
        aside(v, room, at(x, y), words.into());
        legend.add(
            Sign::Dot(Mark::Ring),
            "drain (FD floor drain), sprinkler head",
        );
    }
    let [x, y, _] = placement.sensor_m;
    v.mark(Role::Outline, Mark::Dot, at(x, y));
    let (anchor, right_mm, down_mm) = beside_sensor(v, catalog, placement);
    v.text(
        Role::Text,
        Label::new("RH", at(x, y))
            .letters(Letters::Note)
            .anchor(anchor, Stand::Base)
            .shift(right_mm, down_mm)
            .halo(),
    );
    legend.add(Sign::Dot(Mark::Dot), "humidity sensor");
    if legend
        .0
        .iter()
        .any(|l| l.1 == "drain (FD floor drain), sprinkler head")
    {
        legend.0.retain(|l| l.1 != "sprinkler head");
    }
}

/// From the door wall and the near side wall to the middle of each unit, and
/// over all.
fn dimensions(
    v: &mut View,
    room: &Room,
    placement: &Placement,
    (xs, ys): (&[f64], &[f64]),
    units: UnitSystem,
) {
    let (l, w) = (room.geometry.length_m.value, room.geometry.width_m.value);
    for u in &placement.units {
        let [x, y, _] = u.frame.at_m;
        v.line(Role::Dimension, at(x, 0.0), at(x, 0.25));
        v.line(Role::Dimension, at(0.0, y), at(0.25, y));
    }
    for (i, x) in xs.iter().enumerate() {
        dimension(
            v,
            (at(0.0, 0.0), at(*x, 0.0)),
            SideOf::Right,
            FIRST_MM + NEXT_MM * i as f64,
            length(*x, units),
        );
    }
    dimension(
        v,
        (at(0.0, 0.0), at(l, 0.0)),
        SideOf::Right,
        FIRST_MM + NEXT_MM * xs.len() as f64,
        length(l, units),
    );
    for (i, y) in ys.iter().enumerate() {
        dimension(
            v,
            (at(0.0, 0.0), at(0.0, *y)),
            SideOf::Left,
            FIRST_MM + NEXT_MM * i as f64,
            length(*y, units),
        );
    }
    dimension(
        v,
        (at(0.0, 0.0), at(0.0, w)),
        SideOf::Left,
        FIRST_MM + NEXT_MM * ys.len() as f64,
        length(w, units),
    );
}

/// Two columns of samples with their words.
fn draw_legend(page: &mut View, legend: &Legend, from: PaperPoint) {
    let rows = legend.0.len().div_ceil(2);
    for (i, (sign, words)) in legend.0.iter().enumerate() {
        let x = from.x_mm + if i < rows { 0.0 } else { 86.0 };
        let y = from.y_mm + 4.8 * (i % rows.max(1)) as f64;
        match *sign {
            Sign::Line(role) => page.line(role, at(x, y), at(x + 12.0, y)),
            Sign::Area(role) => page.rect(role, at(x, y - 1.4), at(x + 12.0, y + 1.4)),
            Sign::Dot(mark) => page.mark(Role::Outline, mark, at(x + 6.0, y)),
            Sign::Arrow => outlet(page, at(x + 4.0, y), (1.0, 0.0)),
            Sign::Inlet => inlet(page, at(x + 8.0, y), (-1.0, 0.0)),
        }
        page.text(
            Role::Text,
            Label::new(*words, at(x + 14.0, y))
                .letters(Letters::Note)
                .anchor(Anchor::Start, Stand::Middle),
        );
    }
}
