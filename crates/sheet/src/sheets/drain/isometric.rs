//! The lines in the room, in isometric view.

use job::Drain;
use job::drain::{LinePart, Run, Segment};
use job::placement::{ThingKind, inside};
use quantity::{Dim, UnitSystem, Value};
use room::Room;

use super::plan::{Hand, Needed, Taken, set, set_if};
use crate::drawing::{Drawing, Label, Letters, Mark, Role, Shape, Size, View, at, font};
use crate::sheets::iso::{Stage, axes, far_to_near, seen, solid, stage};
use crate::sheets::kit::{self, PAGE, paper};

/// Room over the view for its title and words \[mm\].
const HEAD_MM: f64 = 22.0;
/// The view's own height at most \[mm\].
const HIGH_MM: f64 = 140.0;

/// Units, traps, lines and drains in the room, to scale along x, y and z, with
/// tags, invert heights and falls.
pub fn isometric(room: &Room, drain: &Drain, units: UnitSystem) -> Drawing {
    let hall = inside(room);
    let Stage {
        view: mut v,
        ratio,
        base_mm,
    } = stage(&hall, HEAD_MM, HIGH_MM, units);
    things(&mut v, drain);
    let mut taken: Taken = vec![
        [-1e3, -1e3, 2.0, 1e3],
        [PAGE.width_mm - 2.0, -1e3, 1e3, 1e3],
        [-1e3, -1e3, 1e3, HEAD_MM - 4.0],
        [-1e3, base_mm + 3.0, 1e3, 1e3],
    ];
    for run in &drain.runs {
        pipes(&mut v, run, &mut taken);
    }
    axes(&mut v, &hall);
    for unit in &drain.units {
        let (a, b) = (unit.outlet_m, unit.trap_end_m);
        v.line(Role::Outline, seen(a), seen(b));
        v.mark(Role::Outline, Mark::Ring, seen(b));
    }
    // Tags before heights, heights before falls: what matters most has room.
    for thing in drain.things.iter().filter(|t| t.kind == ThingKind::Unit) {
        let mut p = thing.cuboid.middle_m();
        p[2] = thing.cuboid.high_m[2];
        let text = font::width_mm(&thing.name, Letters::ViewTitle, Role::TextStrong);
        let q = v.transform.to_paper(seen(p));
        taken.push([
            q.x_mm - 0.5 * text - 0.6,
            q.y_mm - 2.4,
            q.x_mm + 0.5 * text + 0.6,
            q.y_mm + 2.4,
        ]);
        kit::tag(&mut v, seen(p), thing.name.clone());
    }
    for run in &drain.runs {
        receiver(&mut v, run, &mut taken);
    }
    for run in &drain.runs {
        heights(&mut v, run, &mut taken, units);
    }
    for run in &drain.runs {
        falls(&mut v, run, &mut taken, units);
    }
    let mut page = View::paper("title");
    kit::view_title(
        &mut page,
        paper(0.0, 4.0),
        "Isometric view of the drain lines",
        ratio,
        units,
    );
    page.text(
        Role::TextQuiet,
        Label::new(
            "To scale along x, y and z; seen from the near corner of the door wall. Ring: trap's outlet; dot: point of the line.",
            at(0.0, 13.0),
        )
        .letters(Letters::Note),
    );
    page.text(
        Role::TextQuiet,
        Label::new(
            "At a point its number and its invert over the floor; along a pipe its fall. All of them are in the table.",
            at(0.0, 17.0),
        )
        .letters(Letters::Note),
    );
    kit::scale_bar(&mut page, paper(104.0, 6.0), ratio, units);
    let mut drawing = Drawing::new(
        Size {
            width_mm: PAGE.width_mm,
            height_mm: base_mm + 6.0,
        },
        "Isometric view of the drain lines",
    );
    let lines: Vec<String> = drain
        .runs
        .iter()
        .map(|r| format!("from {} to {}", r.units.join(", "), r.drain))
        .collect();
    drawing.alt = format!(
        "The room seen from its corner, with lines {}.",
        lines.join("; ")
    );
    drawing.views = vec![v, page];
    drawing
}

/// What a line goes round: obstacles, benches, units. Crop and lamps would hide
/// the lines.
fn things(v: &mut View, drain: &Drain) {
    let role = |kind| match kind {
        ThingKind::Bench => Some(Role::Waiting),
        ThingKind::Obstacle(_) => Some(Role::Cut),
        ThingKind::Unit => Some(Role::Equipment),
        _ => None,
    };
    let mut all: Vec<_> = drain
        .things
        .iter()
        .filter_map(|t| role(t.kind).map(|r| (r, t.cuboid)))
        .collect();
    all.sort_by(|a, b| far_to_near(&a.1, &b.1));
    for (role, cuboid) in &all {
        solid(v, *role, cuboid);
    }
}

fn ends(run: &Run, s: &Segment) -> ([f64; 3], [f64; 3]) {
    (run.nodes[s.from].at_m, run.nodes[s.to].at_m)
}

/// The pipes over all else, with their places on paper.
fn pipes(v: &mut View, run: &Run, taken: &mut Taken) {
    /// Length of the boxes that keep texts off a slanting pipe \[mm\].
    const PIECE_MM: f64 = 1.2;
    for s in run.segments.iter().filter(|s| 1e-3 < s.length_m) {
        let (a, b) = ends(run, s);
        let (a, b) = (seen(a), seen(b));
        v.line(Role::Drain, a, b);
        let (p, q) = (v.transform.to_paper(a), v.transform.to_paper(b));
        let pieces = ((q.x_mm - p.x_mm).hypot(q.y_mm - p.y_mm) / PIECE_MM)
            .ceil()
            .max(1.0);
        for k in 0..=pieces as u32 {
            let share = f64::from(k) / pieces;
            let x = p.x_mm + share * (q.x_mm - p.x_mm);
            let y = p.y_mm + share * (q.y_mm - p.y_mm);
            taken.push([x - 0.5, y - 0.5, x + 0.5, y + 0.5]);
        }
    }
}

fn receiver(v: &mut View, run: &Run, taken: &mut Taken) {
    let p = seen(run.rim_m);
    v.push(
        Role::Outline,
        Shape::Circle {
            centre: p,
            radius: 1.6 / v.transform.x_mm_per_unit,
        },
    );
    let q = v.transform.to_paper(p);
    taken.push([q.x_mm - 1.8, q.y_mm - 1.8, q.x_mm + 1.8, q.y_mm + 1.8]);
    set(v, taken, Role::TextStrong, &run.drain, p, 3.4);
}

fn heights(v: &mut View, run: &Run, taken: &mut Taken, units: UnitSystem) {
    let joined = |k: usize| {
        let mut ends = run.segments.iter().filter(|s| 1e-3 < s.length_m);
        ends.any(|s| s.from == k || s.to == k)
    };
    for (k, node) in run.nodes.iter().enumerate().filter(|(k, _)| joined(*k)) {
        let p = seen(node.at_m);
        v.mark(Role::Drain, Mark::Dot, p);
        let height = Value::new(node.at_m[2], Dim::Length)
            .digits(if node.at_m[2].abs() < 1.0 { 3 } else { 4 })
            .show(units);
        // The last point has its height in its drain's words below it.
        let last = run.segments.iter().all(|s| s.from != k);
        let words = format!("{} +{height}", node.mark);
        let hand = if last { Hand::Left } else { Hand::Right };
        set_if(
            v,
            taken,
            (Role::Text, &words),
            p,
            (hand, 2.6),
            Needed::Within(12.0),
        );
    }
}

/// The fall along each pipe that is long enough on paper.
fn falls(v: &mut View, run: &Run, taken: &mut Taken, units: UnitSystem) {
    const LEAST_MM: f64 = 8.0;
    for s in run.segments.iter().filter(|s| s.part != LinePart::Drop) {
        let Some(slope) = s.slope() else { continue };
        let (a, b) = ends(run, s);
        let middle = std::array::from_fn(|i| 0.5 * (a[i] + b[i]));
        let (p, q) = (v.transform.to_paper(seen(a)), v.transform.to_paper(seen(b)));
        if (q.x_mm - p.x_mm).hypot(q.y_mm - p.y_mm) < LEAST_MM {
            continue;
        }
        let words = Value::new(slope, Dim::Slope).show(units);
        let place = (Hand::Right, 1.6);
        set_if(
            v,
            taken,
            (Role::TextQuiet, &words),
            seen(middle),
            place,
            Needed::Within(4.0),
        );
    }
}
