//! Plan of the ways of circuits and control cables, to scale.

use equipment::Catalog;
use job::control::{Device, DeviceKind};
use job::placement::{ThingKind, things};
use job::power::route;
use job::{Control, Placement, Power};
use quantity::UnitSystem;
use room::{Connection, Room};

use crate::drawing::{Anchor, Drawing, Label, Letters, Mark, Point, Role, Size, Stand, View, at};
use crate::sheets::kit::{
    PAGE, SideOf, Taken, around, dimension, length, paper, rectangle, scale_bar, scale_that_fits,
    tag, view, view_title,
};
use crate::sheets::structure;

/// Left of the room, above it, and below it on paper \[mm\].
const LEFT_MM: f64 = 14.0;
const TOP_MM: f64 = 24.0;
const BELOW_MM: f64 = 8.0;
/// Between lines of the list \[mm\].
const STEP_MM: f64 = 4.6;
/// Between ways that lie together, as drawn \[mm\].
const APART_MM: f64 = 0.9;
/// Most ways that are drawn apart; further ones lie on the first.
const MOST_APART: usize = 6;

/// How a way of power and one of control are drawn.
const POWER: Role = Role::Total;
const CONTROL: Role = Role::Hidden;

/// The room with panels, units, disconnects, controllers and the sensor, and
/// each circuit and control cable along walls and ceiling, with its length.
pub fn plan(
    room: &Room,
    catalog: &Catalog,
    placement: &Placement,
    (power, control): (&Power, &Control),
    units: UnitSystem,
) -> Drawing {
    let (l, w) = (room.geometry.length_m.value, room.geometry.width_m.value);
    let list = list(power, control, units);
    let signs = signs(room, power, control);
    let rows = list.len().div_ceil(2);
    let foot_mm = 14.0 + STEP_MM * (signs.len().div_ceil(2) + rows) as f64 + 3.0;
    let free = Size {
        width_mm: PAGE.width_mm - LEFT_MM - 4.0,
        height_mm: (PAGE.height_mm - TOP_MM - BELOW_MM - foot_mm).max(40.0),
    };
    let ratio = scale_that_fits(l, w, free, units);
    let bottom_mm = TOP_MM + 1000.0 * w / ratio;
    let mut v = view("plan", ratio, paper(LEFT_MM, bottom_mm));
    let names = structure::benches(&mut v, room);
    structure::walls(&mut v, room);
    ways(&mut v, room, power, control);
    let mut taken = cabinets(&mut v, catalog, placement);
    structure::bench_names(&mut v, names);
    points(&mut v, room, power, control, &mut taken);
    for (from, to, side) in [
        (at(0.0, w), at(l, w), SideOf::Left),
        (at(0.0, 0.0), at(0.0, w), SideOf::Left),
    ] {
        let long_m = (to.x - from.x) + (to.y - from.y);
        dimension(&mut v, (from, to), side, 8.0, length(long_m, units));
    }
    let mut page = View::paper("title");
    view_title(
        &mut page,
        paper(0.0, 4.0),
        "Ways of circuits and control cables",
        ratio,
        units,
    );
    let mut y_mm = bottom_mm + BELOW_MM;
    scale_bar(&mut v, paper(LEFT_MM, y_mm - 3.0), ratio, units);
    y_mm += 8.0;
    y_mm = legend(&mut page, &signs, y_mm);
    for (i, words) in list.iter().enumerate() {
        let x = if i < rows { 2.0 } else { 0.5 * PAGE.width_mm };
        let row = if i < rows { i } else { i - rows };
        note(&mut page, at(x, y_mm + STEP_MM * row as f64), words);
    }
    let mut drawing = Drawing::new(
        Size {
            width_mm: PAGE.width_mm,
            height_mm: y_mm + STEP_MM * rows as f64,
        },
        format!("Ways of circuits and control cables in {}", room.name.value),
    );
    drawing.alt = list.join("; ");
    drawing.views = vec![v, page];
    drawing
}

fn note(page: &mut View, p: Point, words: &str) {
    page.text(
        Role::Text,
        Label::new(words, p)
            .letters(Letters::Note)
            .anchor(Anchor::Start, Stand::Middle),
    );
}

/// Each circuit and cable in words.
fn list(power: &Power, control: &Control, units: UnitSystem) -> Vec<String> {
    let circuits = power.branches.iter().filter_map(|b| {
        let run = b.run.as_ref()?;
        let panel = b.panel.as_deref().unwrap_or("panel");
        Some(format!(
            "{panel} to {}: {} × {}, {}",
            b.tag,
            b.conductors,
            b.size.name,
            length(run.length_m, units)
        ))
    });
    let cables = control.cables.iter().map(|c| {
        format!(
            "{} {} to {}: {} × {} AWG, {}",
            c.tag,
            c.from,
            c.to,
            c.cores,
            c.gauge,
            length(c.length_m, units)
        )
    });
    circuits.chain(cables).collect()
}

fn of_kind(control: &Control, kind: DeviceKind) -> impl Iterator<Item = &Device> {
    control.devices.iter().filter(move |d| d.kind == kind)
}

/// A sample of the legend.
#[derive(Clone, Copy)]
enum Sign {
    Line(Role),
    Box,
    Bench,
    Dot(Mark),
}

/// What the plan holds, with its meaning.
fn signs(room: &Room, power: &Power, control: &Control) -> Vec<(Sign, &'static str)> {
    let mut all = vec![
        (
            Sign::Line(POWER),
            "circuit; ways side by side are drawn apart",
        ),
        (Sign::Box, "unit"),
        (Sign::Dot(Mark::Square), "panel"),
    ];
    if power
        .branches
        .iter()
        .any(|b| b.connection == Connection::HardWired)
    {
        all.push((Sign::Dot(Mark::Triangle), "disconnect"));
    }
    if !control.cables.is_empty() {
        all.push((Sign::Line(CONTROL), "control cable"));
    }
    if of_kind(control, DeviceKind::Controller).next().is_some() {
        all.push((Sign::Dot(Mark::Ring), "controller"));
    }
    if of_kind(control, DeviceKind::FloatSwitch).next().is_some() {
        all.push((Sign::Dot(Mark::Tick), "float switch"));
    }
    all.push((Sign::Dot(Mark::Dot), "humidity sensor (RH)"));
    if things(room).iter().any(|t| t.kind == ThingKind::Bench) {
        all.push((Sign::Bench, "bench"));
    }
    all
}

/// Two columns of samples from `y_mm` down; gives where they end.
fn legend(page: &mut View, signs: &[(Sign, &'static str)], y_mm: f64) -> f64 {
    let rows = signs.len().div_ceil(2);
    for (i, (sign, words)) in signs.iter().enumerate() {
        let x = if i < rows { 2.0 } else { 0.5 * PAGE.width_mm };
        let y = y_mm + STEP_MM * (i % rows) as f64;
        match sign {
            Sign::Line(role) => page.line(*role, at(x, y), at(x + 8.0, y)),
            Sign::Box => page.rect(Role::Equipment, at(x, y - 1.3), at(x + 8.0, y + 1.3)),
            Sign::Bench => page.rect(Role::Waiting, at(x, y - 1.3), at(x + 8.0, y + 1.3)),
            Sign::Dot(mark) => page.mark(Role::Outline, *mark, at(x + 4.0, y)),
        }
        note(page, at(x + 10.0, y), words);
    }
    y_mm + STEP_MM * rows as f64 + 2.0
}

/// All ways; those that lie together side by side.
fn ways(v: &mut View, room: &Room, power: &Power, control: &Control) {
    let circuits = power
        .branches
        .iter()
        .filter_map(|b| Some((POWER, b.run.as_ref()?.route_m.clone())));
    let cables = control.cables.iter().filter_map(|c| {
        let (from, to) = (control.device(&c.from)?, control.device(&c.to)?);
        Some((CONTROL, route::through(room, &[from.at_m, to.at_m])))
    });
    let (l, w) = (room.geometry.length_m.value, room.geometry.width_m.value);
    let m = |mm: f64| mm / v.transform.x_mm_per_unit;
    let all: Vec<(Role, Vec<Point>)> = circuits
        .chain(cables)
        .enumerate()
        .map(|(i, (role, route_m))| {
            let off_m = m(APART_MM * (1 + i % MOST_APART) as f64);
            let flat = route_m.iter().map(|p| at(p[0], p[1]));
            (role, beside(flat, off_m, at(0.5 * l, 0.5 * w)))
        })
        .collect();
    for (role, points) in all {
        for pair in points.windows(2) {
            v.line(role, pair[0], pair[1]);
        }
    }
}

/// A way as seen from above, its inner legs `off_m` \[m\] nearer to the middle
/// of the room, so that ways that lie together are told apart; the first and
/// the last leg stay on what they end at, and corners stay square.
fn beside(route: impl Iterator<Item = Point>, off_m: f64, middle: Point) -> Vec<Point> {
    let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let mut points: Vec<Point> = route.collect();
    points.dedup_by(|a, b| near(a.x, b.x) && near(a.y, b.y));
    let legs = points.len().saturating_sub(1);
    let mut moved = points.clone();
    for k in 1..legs.saturating_sub(1) {
        let (a, b) = (points[k], points[k + 1]);
        if near(a.y, b.y) {
            let dy = off_m.copysign(middle.y - a.y);
            moved[k].y += dy;
            moved[k + 1].y += dy;
        } else if near(a.x, b.x) {
            let dx = off_m.copysign(middle.x - a.x);
            moved[k].x += dx;
            moved[k + 1].x += dx;
        }
    }
    moved
}

/// The units over the ways; gives where their boxes lie on paper.
fn cabinets(v: &mut View, catalog: &Catalog, placement: &Placement) -> Vec<Taken> {
    let mut taken = Vec::new();
    for u in &placement.units {
        let Ok(model) = u.record(catalog) else {
            continue;
        };
        let cabinet = u.frame.cabinet(&model.body);
        let (low, high) = (cabinet.low_m, cabinet.high_m);
        rectangle(v, Role::Equipment, (low[0], low[1]), (high[0], high[1]));
        tag(v, at(u.frame.at_m[0], u.frame.at_m[1]), u.tag.clone());
        let ends = [at(low[0], low[1]), at(high[0], high[1])].map(|p| v.transform.to_paper(p));
        taken.push(around(&ends));
    }
    taken
}

/// Panels, disconnects, controllers, sensor, with their names.
fn points(v: &mut View, room: &Room, power: &Power, control: &Control, taken: &mut Vec<Taken>) {
    let flat = |p: [f64; 3]| at(p[0], p[1]);
    let mut all: Vec<(Mark, Point, String)> = Vec::new();
    for p in &power.panels {
        all.push((Mark::Square, flat(p.at_m), p.name.clone()));
    }
    for d in of_kind(control, DeviceKind::Controller) {
        all.push((Mark::Ring, flat(d.at_m), d.tag.clone()));
    }
    all.push((Mark::Dot, flat(control.sensor_m), "RH".into()));
    for d in of_kind(control, DeviceKind::FloatSwitch) {
        v.mark(Role::Outline, Mark::Tick, flat(d.at_m));
    }
    for b in power
        .branches
        .iter()
        .filter(|b| b.connection == Connection::HardWired)
    {
        v.mark(Role::Outline, Mark::Triangle, flat(b.disconnect.at_m));
    }
    let inside = {
        let g = &room.geometry;
        let ends = [at(0.0, 0.0), at(g.length_m.value, g.width_m.value)];
        around(&ends.map(|p| v.transform.to_paper(p)))
    };
    for (mark, p, words) in all {
        v.mark(Role::Outline, mark, p);
        let label = free(v, p, &words, inside, taken);
        v.text(Role::TextStrong, label);
    }
}

/// The label at the nearest free place beside its point, inside the room.
fn free(v: &View, p: Point, words: &str, inside: Taken, taken: &mut Vec<Taken>) -> Label {
    let place = |anchor, right, down| {
        let label = Label::new(words, p)
            .letters(Letters::Note)
            .anchor(anchor, Stand::Middle)
            .shift(right, down)
            .halo();
        let corners = label.corners(&v.transform, Role::TextStrong);
        (label, around(&corners))
    };
    let first = place(Anchor::Start, 7.5, 0.0);
    let (label, here) = (0..12)
        .flat_map(|ring| {
            let down = 1.8 * f64::from(ring);
            [
                (Anchor::Start, 7.5, down),
                (Anchor::Start, 7.5, -down),
                (Anchor::End, -7.5, down),
                (Anchor::End, -7.5, -down),
            ]
        })
        .map(|(anchor, right, down)| place(anchor, right, down))
        .find(|(_, b)| {
            let fits =
                inside[0] <= b[0] && inside[1] <= b[1] && b[2] <= inside[2] && b[3] <= inside[3];
            fits && taken
                .iter()
                .all(|t| b[2] <= t[0] || t[2] <= b[0] || b[3] <= t[1] || t[3] <= b[1])
        })
        .unwrap_or(first);
    taken.push(here);
    label
}
