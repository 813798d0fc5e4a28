//! Plan of the lines in the room.

use job::Drain;
use job::drain::LinePart;
use job::placement::ThingKind;
use quantity::{UnitSystem, counted};
use room::{ObstacleKind, Room};

use crate::drawing::{
    Anchor, Drawing, Label, Letters, Point, Role, Shape, Size, Stand, View, at, font,
};
use crate::drawing::{Mark, PaperPoint};
use crate::sheets::kit::{self, PAGE, SideOf, paper};

/// Room round the plan on paper \[mm\]: left and top.
const LEFT_MM: f64 = 22.0;
const TOP_MM: f64 = 26.0;
const BELOW_MM: f64 = 16.0;
const LEGEND_STEP_MM: f64 = 5.2;
/// From one dimension line to the next \[mm\].
const SPAN_MM: f64 = 7.0;

/// The lines in the room, to scale, with traps, points, supports' pipe and
/// drains.
pub fn route_plan(room: &Room, drain: &Drain, units: UnitSystem) -> Drawing {
    let (length_m, width_m) = (room.geometry.length_m.value, room.geometry.width_m.value);
    let spans = spans(drain, [length_m, width_m]);
    let more_mm = |axis: usize| SPAN_MM * spans[axis].len().saturating_sub(1) as f64;
    let below_mm = BELOW_MM + more_mm(0);
    let space = Size {
        width_mm: PAGE.width_mm - LEFT_MM - 6.0 - more_mm(1),
        height_mm: PAGE.height_mm - TOP_MM - below_mm - 40.0,
    };
    let ratio = kit::scale_that_fits(length_m, width_m, space, units);
    let (w_mm, h_mm) = (1000.0 * length_m / ratio, 1000.0 * width_m / ratio);
    let mut view = kit::view("plan", ratio, paper(LEFT_MM, TOP_MM + h_mm));
    things(&mut view, drain, &|kind| kind != ThingKind::Unit);
    view.push(
        Role::Outline,
        Shape::Polygon(vec![
            at(0.0, 0.0),
            at(length_m, 0.0),
            at(length_m, width_m),
            at(0.0, width_m),
        ]),
    );
    lines(&mut view, drain);
    // Pipes run under the cabinets.
    things(&mut view, drain, &|kind| kind == ThingKind::Unit);
    // Texts stay inside the walls: dimensions stand outside.
    let (left, right) = (LEFT_MM, LEFT_MM + w_mm);
    let (top, bottom) = (TOP_MM, TOP_MM + h_mm);
    let mut taken = vec![
        [-1e3, -1e3, left, 1e3],
        [right, -1e3, 1e3, 1e3],
        [-1e3, -1e3, 1e3, top],
        [-1e3, bottom, 1e3, 1e3],
    ];
    taken.extend(pipes(&view, drain));
    traps(&mut view, drain, &mut taken);
    receivers(&mut view, drain, &mut taken);
    marks(&mut view, drain, &mut taken);
    kit::dimension(
        &mut view,
        (at(0.0, width_m), at(length_m, width_m)),
        SideOf::Left,
        10.0,
        kit::length(length_m, units),
    );
    kit::dimension(
        &mut view,
        (at(0.0, 0.0), at(0.0, width_m)),
        SideOf::Left,
        10.0,
        kit::length(width_m, units),
    );
    // Each drain is dimensioned from the farther walls, where there is room for
    // the figures.
    for (axis, ends) in spans.iter().enumerate() {
        // Outer ones first: figures nearer in stand over their lines.
        for (i, (from, to)) in ends.iter().enumerate().rev() {
            let (a, b) = if axis == 0 {
                (at(*from, 0.0), at(*to, 0.0))
            } else {
                (at(length_m, *from), at(length_m, *to))
            };
            kit::dimension(
                &mut view,
                (a, b),
                SideOf::Right,
                8.0 + SPAN_MM * i as f64,
                kit::length(to - from, units),
            );
        }
    }
    let legend_y = TOP_MM + h_mm + below_mm + 8.0;
    kit::scale_bar(
        &mut view,
        paper(LEFT_MM, TOP_MM + h_mm + below_mm - 1.0),
        ratio,
        units,
    );
    let legend_mm = legend(&mut view, drain, legend_y);
    let mut title = View::paper("title");
    kit::view_title(
        &mut title,
        paper(0.0, 4.0),
        "Plan of the drain lines",
        ratio,
        units,
    );
    title.text(
        Role::TextQuiet,
        Label::new(
            match units {
                UnitSystem::Metric => "mm [ft, in]; x runs to the right from the door wall, y up",
                UnitSystem::Us => "ft, in [mm]; x runs to the right from the door wall, y up",
            },
            at(60.0, 8.5),
        )
        .letters(Letters::Note),
    );
    let mut drawing = Drawing::new(
        Size {
            width_mm: (LEFT_MM + w_mm + 16.0 + more_mm(1)).clamp(150.0, PAGE.width_mm),
            height_mm: legend_y + legend_mm + 1.0,
        },
        "Plan of the drain lines",
    );
    drawing.alt = alt(drain);
    drawing.views = vec![view, title];
    drawing
}

/// From the farther walls to each drain, along x and along y \[m\]; what is the
/// same is there once.
fn spans(drain: &Drain, room_m: [f64; 2]) -> [Vec<(f64, f64)>; 2] {
    std::array::from_fn(|axis| {
        let mut all: Vec<(f64, f64)> = Vec::new();
        for run in &drain.runs {
            let (v, whole) = (run.rim_m[axis], room_m[axis]);
            let ends = if 0.5 * whole <= v {
                (0.0, v)
            } else {
                (v, whole)
            };
            let same = |o: &(f64, f64)| (o.0 - ends.0).hypot(o.1 - ends.1) < 1e-3;
            if !all.iter().any(same) {
                all.push(ends);
            }
        }
        all
    })
}

fn alt(drain: &Drain) -> String {
    let mut words = format!(
        "Water of {} in {}.",
        counted(drain.units.len(), "unit"),
        counted(drain.runs.len(), "line")
    );
    for run in &drain.runs {
        words.push_str(&format!(
            " To {}: {} in {}.",
            run.drain,
            run.units.join(", "),
            counted(
                run.segments.iter().filter(|s| s.length_m > 1e-3).count(),
                "piece"
            )
        ));
    }
    words
}

fn things(view: &mut View, drain: &Drain, wanted: &dyn Fn(ThingKind) -> bool) {
    // Low things first, so that what is above covers them. A canopy has the
    // outline of its bench.
    let order = |kind| match kind {
        ThingKind::Aisle => 0,
        ThingKind::Bench | ThingKind::Canopy => 1,
        ThingKind::Luminaire => 2,
        ThingKind::Door | ThingKind::Panel => 3,
        ThingKind::Obstacle(_) => 4,
        ThingKind::Unit => 5,
    };
    let mut all: Vec<_> = drain.things.iter().filter(|t| wanted(t.kind)).collect();
    all.sort_by_key(|t| order(t.kind));
    for thing in all {
        let space = thing.kept_clear();
        let (low, high) = (space.low_m, space.high_m);
        let (a, b) = (at(low[0], low[1]), at(high[0], high[1]));
        let m = at(0.5 * (a.x + b.x), 0.5 * (a.y + b.y));
        match thing.kind {
            ThingKind::Canopy => {}
            ThingKind::Aisle => view.rect(Role::Clearance, a, b),
            ThingKind::Bench => view.rect(Role::Night, a, b),
            ThingKind::Luminaire => view.rect(Role::Zero, a, b),
            ThingKind::Door => view.rect(Role::Hidden, a, b),
            ThingKind::Obstacle(_) => view.rect(Role::Cut, a, b),
            // Its size was not surveyed: a mark of fixed size stands for it.
            ThingKind::Panel => view.mark(Role::Running, Mark::Square, m),
            ThingKind::Unit => {
                view.rect(Role::Equipment, a, b);
                kit::tag(view, m, thing.name.clone());
            }
        }
    }
}

/// The pipes, upper ones over lower ones, each with an arrow downhill.
fn lines(view: &mut View, drain: &Drain) {
    for run in &drain.runs {
        for s in &run.segments {
            let (a, b) = (run.nodes[s.from].at_m, run.nodes[s.to].at_m);
            if s.part == LinePart::Drop {
                continue;
            }
            let (a, b) = (at(a[0], a[1]), at(b[0], b[1]));
            view.line(Role::Drain, a, b);
            let t = view.transform;
            let (p, q) = (t.to_paper(a), t.to_paper(b));
            let long = (q.x_mm - p.x_mm).hypot(q.y_mm - p.y_mm);
            if 9.0 < long {
                let share = 0.5 + 1.5 / long;
                let tip = at(a.x + share * (b.x - a.x), a.y + share * (b.y - a.y));
                let angle_rad = (b.y - a.y).atan2(b.x - a.x);
                view.push(Role::Drain, Shape::Arrowhead { tip, angle_rad });
                // Wider than the pen of the line, to be seen on it.
                let (cos, sin) = (angle_rad.cos(), angle_rad.sin());
                let corner = |back: f64, side: f64| {
                    at(
                        tip.x - (back * cos + side * sin) / t.x_mm_per_unit,
                        tip.y - (back * sin - side * cos) / t.x_mm_per_unit,
                    )
                };
                view.push(
                    Role::Running,
                    Shape::Polygon(vec![tip, corner(3.4, 1.3), corner(3.4, -1.3)]),
                );
            }
        }
    }
}

/// Where the pipes lie on paper.
fn pipes(view: &View, drain: &Drain) -> Taken {
    const HALF_MM: f64 = 0.4;
    let mut boxes = Vec::new();
    for run in &drain.runs {
        for s in run.segments.iter().filter(|s| s.part != LinePart::Drop) {
            let on_paper = |n: usize| {
                let p = run.nodes[n].at_m;
                view.transform.to_paper(at(p[0], p[1]))
            };
            let (a, b) = (on_paper(s.from), on_paper(s.to));
            boxes.push([
                a.x_mm.min(b.x_mm) - HALF_MM,
                a.y_mm.min(b.y_mm) - HALF_MM,
                a.x_mm.max(b.x_mm) + HALF_MM,
                a.y_mm.max(b.y_mm) + HALF_MM,
            ]);
        }
    }
    boxes
}

/// Boxes of texts that are set already, on paper.
pub(super) type Taken = Vec<[f64; 4]>;

/// Sets a text at the first of some places round a point that is free.
pub(super) fn set(
    view: &mut View,
    taken: &mut Taken,
    role: Role,
    text: &str,
    near: Point,
    far_mm: f64,
) {
    set_on(view, taken, role, text, near, (Hand::Right, far_mm));
}

/// Which side of its point a text is tried on first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Hand {
    Left,
    Right,
}

/// Whether a text must stand even where no place is free.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Needed {
    Yes,
    /// Only as near as this \[mm\]; with a leader where it is not close by.
    Within(f64),
}

/// As [`set`], tried on one hand first.
pub(super) fn set_on(
    view: &mut View,
    taken: &mut Taken,
    role: Role,
    text: &str,
    near: Point,
    where_to: (Hand, f64),
) {
    set_if(view, taken, (role, text), near, where_to, Needed::Yes);
}

/// As [`set_on`]; what is not needed is left out where no place is free.
pub(super) fn set_if(
    view: &mut View,
    taken: &mut Taken,
    (role, text): (Role, &str),
    near: Point,
    (hand, far_mm): (Hand, f64),
    needed: Needed,
) {
    let w = font::width_mm(text, Letters::Note, role);
    let t = view.transform;
    let p = t.to_paper(near);
    let sides = match hand {
        Hand::Right => [(1.0, Anchor::Start), (-1.0, Anchor::End)],
        Hand::Left => [(-1.0, Anchor::End), (1.0, Anchor::Start)],
    };
    let mut places = Vec::new();
    for more_mm in [0.0, 2.0, 4.0, 7.0, 10.0] {
        for down in [-1.0, 1.0] {
            for (right, anchor) in sides {
                let mm = far_mm + more_mm;
                places.push((right * mm, down * mm, anchor));
            }
        }
    }
    let bounds = |(dx, dy, anchor): &(f64, f64, Anchor)| {
        let left = match anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -0.5 * w,
            Anchor::End => -w,
        };
        let x = p.x_mm + dx + left;
        let y = p.y_mm + dy;
        [x - 0.6, y - 1.9, x + w + 0.6, y + 1.9]
    };
    let free = |b: &[f64; 4]| {
        taken
            .iter()
            .all(|o| b[2] <= o[0] || o[2] <= b[0] || b[3] <= o[1] || o[3] <= b[1])
    };
    let found = places.iter().copied().find(|c| free(&bounds(c)));
    let place = match (found, needed) {
        (Some(place), _) => place,
        (None, Needed::Yes) => places[0],
        (None, Needed::Within(_)) => return,
    };
    if let Needed::Within(most_mm) = needed {
        const CLOSE_MM: f64 = 5.0;
        if most_mm < place.0.abs() {
            return;
        }
        if CLOSE_MM < place.0.abs() {
            let end = t.to_world(paper(p.x_mm + place.0, p.y_mm + place.1));
            view.line(Role::Leader, near, end);
        }
    }
    taken.push(bounds(&place));
    view.text(
        role,
        Label::new(text, near)
            .letters(Letters::Note)
            .anchor(place.2, Stand::Middle)
            .shift(place.0, place.1)
            .halo(),
    );
}

fn traps(view: &mut View, drain: &Drain, taken: &mut Taken) {
    // Tags in their boxes keep their places.
    for thing in drain.things.iter().filter(|t| t.kind == ThingKind::Unit) {
        let m = thing.cuboid.middle_m();
        let p = view.transform.to_paper(at(m[0], m[1]));
        taken.push([p.x_mm - 4.0, p.y_mm - 3.0, p.x_mm + 4.0, p.y_mm + 3.0]);
    }
    for unit in &drain.units {
        let (a, b) = (unit.outlet_m, unit.trap_end_m);
        view.line(Role::Outline, at(a[0], a[1]), at(b[0], b[1]));
        view.mark(Role::Outline, Mark::Ring, at(b[0], b[1]));
        let mut words = String::from("T");
        if unit.vent.is_some() {
            words.push_str(", V");
        }
        if unit.way.as_ref().is_some_and(|w| w.pump.is_some()) {
            words.push_str(", P");
        }
        set(view, taken, Role::Text, &words, at(b[0], b[1]), 3.0);
    }
}

fn receivers(view: &mut View, drain: &Drain, taken: &mut Taken) {
    for run in &drain.runs {
        let p = at(run.rim_m[0], run.rim_m[1]);
        let t = view.transform;
        let c = t.to_paper(p);
        let corner = |dx: f64, dy: f64| {
            t.to_world(PaperPoint {
                x_mm: c.x_mm + dx,
                y_mm: c.y_mm + dy,
            })
        };
        view.rect(Role::Waiting, corner(-2.0, -2.0), corner(2.0, 2.0));
        view.push(
            Role::Outline,
            Shape::Circle {
                centre: p,
                radius: 1.5 / t.x_mm_per_unit,
            },
        );
        taken.push([c.x_mm - 2.0, c.y_mm - 2.0, c.x_mm + 2.0, c.y_mm + 2.0]);
        set(view, taken, Role::TextStrong, &run.drain, p, 4.0);
    }
}

fn marks(view: &mut View, drain: &Drain, taken: &mut Taken) {
    for run in &drain.runs {
        let mut done: Vec<(Point, String)> = Vec::new();
        for node in &run.nodes {
            // Traps carry their own marks.
            if run.units.contains(&node.mark) {
                continue;
            }
            let p = at(node.at_m[0], node.at_m[1]);
            // Points over one another share a place in plan.
            match done
                .iter_mut()
                .find(|(q, _)| (q.x - p.x).hypot(q.y - p.y) < 0.02)
            {
                Some((_, text)) => {
                    text.push('/');
                    text.push_str(&node.mark);
                }
                None => done.push((p, node.mark.clone())),
            }
        }
        for (p, text) in done {
            view.mark(Role::Drain, Mark::Dot, p);
            set(view, taken, Role::Text, &text, p, 2.4);
        }
    }
}

/// The symbols that are used; gives the height that it took \[mm\].
fn legend(view: &mut View, drain: &Drain, y_mm: f64) -> f64 {
    let t = view.transform;
    let has = |kind: ThingKind| {
        let same = |k: ThingKind| {
            k == kind || matches!((k, kind), (ThingKind::Obstacle(_), ThingKind::Obstacle(_)))
        };
        drain.things.iter().any(|x| same(x.kind))
    };
    let mut lines: Vec<(Sample, &str)> = Vec::new();
    if !drain.runs.is_empty() {
        lines.push((Sample::Line(Role::Drain), "drain line, arrow downhill"));
        lines.push((Sample::Drain, "drain that receives the water"));
        lines.push((
            Sample::Mark(Role::Drain, Mark::Dot),
            "point of the line; 3/4: points over one another",
        ));
    }
    lines.push((
        Sample::Mark(Role::Outline, Mark::Ring),
        "T trap at the unit",
    ));
    if drain.units.iter().any(|u| u.vent.is_some()) {
        lines.push((Sample::Words("V"), "vent after the trap"));
    }
    let pumped = |u: &job::drain::UnitDrain| u.way.as_ref().is_some_and(|w| w.pump.is_some());
    if drain.units.iter().any(pumped) {
        lines.push((Sample::Words("P"), "condensate pump"));
    }
    lines.push((Sample::Box(Role::Equipment), "dehumidifier"));
    for (kind, sample, words) in [
        (ThingKind::Bench, Sample::Box(Role::Night), "bench"),
        (ThingKind::Luminaire, Sample::Line(Role::Zero), "luminaire"),
        (
            ThingKind::Obstacle(ObstacleKind::Other),
            Sample::Box(Role::Cut),
            "obstacle with its clear space",
        ),
        (ThingKind::Aisle, Sample::Line(Role::Clearance), "aisle"),
        (
            ThingKind::Door,
            Sample::Line(Role::Hidden),
            "way through a door",
        ),
        (
            ThingKind::Panel,
            Sample::Mark(Role::Running, Mark::Square),
            "electrical panel",
        ),
    ] {
        if has(kind) {
            lines.push((sample, words));
        }
    }
    let rows = lines.len().div_ceil(2);
    for (i, (sample, words)) in lines.iter().enumerate() {
        let x = if i < rows { 2.0 } else { 90.0 };
        let y = y_mm + LEGEND_STEP_MM * (i % rows) as f64 + 2.0;
        let point = |dx: f64, dy: f64| t.to_world(paper(x + dx, y + dy));
        match sample {
            Sample::Line(role) => view.line(*role, point(0.0, 0.0), point(8.0, 0.0)),
            Sample::Box(role) => view.rect(*role, point(1.0, -1.5), point(7.0, 1.5)),
            Sample::Mark(role, mark) => view.mark(*role, *mark, point(4.0, 0.0)),
            Sample::Drain => {
                view.rect(Role::Waiting, point(2.2, -1.8), point(5.8, 1.8));
                view.push(
                    Role::Outline,
                    Shape::Circle {
                        centre: point(4.0, 0.0),
                        radius: 1.4 / t.x_mm_per_unit,
                    },
                );
            }
            Sample::Words(w) => view.text(
                Role::Text,
                Label::new(*w, point(4.0, 0.0))
                    .letters(Letters::Note)
                    .anchor(Anchor::Middle, Stand::Middle),
            ),
        }
        view.text(
            Role::Text,
            Label::new(*words, point(10.0, 0.0))
                .letters(Letters::Note)
                .anchor(Anchor::Start, Stand::Middle),
        );
    }
    LEGEND_STEP_MM * rows as f64
}

/// How a symbol stands in the legend.
enum Sample {
    Line(Role),
    Box(Role),
    Mark(Role, Mark),
    Drain,
    Words(&'static str),
}
