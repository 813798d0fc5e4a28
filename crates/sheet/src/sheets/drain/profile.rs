//! Profile of a line, with a strip of figures under it.

use job::Drain;
use job::drain::{LinePart, Run, Segment, UnitDrain};
use quantity::{Dim, UnitSystem, Value};
use room::PipeSize;

use super::plan::{Hand, Taken, set, set_on};
use crate::drawing::{
    Anchor, Drawing, Label, Letters, Mark, PaperPoint, Role, Shape, Size, Stand, Transform, View,
    at,
};
use crate::sheets::kit::{self, paper};

const WIDTH_MM: f64 = 176.0;
/// Titles of the strip's rows stand left of this.
const LEFT_MM: f64 = 30.0;
const TOP_MM: f64 = 19.0;
/// Room for the profile itself on paper.
const LONG_MM: f64 = 124.0;
const HIGH_MM: f64 = 49.0;
/// Least distance of columns in the strip.
const COLUMN_MM: f64 = 9.0;
/// A drop longer than this is cut \[m\].
const CUT_M: f64 = 0.6;
/// What is left of it at both ends \[m\].
const LEFT_OF_CUT_M: f64 = 0.10;

/// A point of the profile.
struct Stop {
    mark: String,
    chainage_m: f64,
    invert_m: f64,
}

/// A piece of height left out.
#[derive(Clone, Copy)]
struct Cut {
    low_m: f64,
    high_m: f64,
}

impl Cut {
    fn shown_m(cut: Option<Self>, z_m: f64) -> f64 {
        match cut {
            Some(c) if c.high_m <= z_m => z_m - (c.high_m - c.low_m),
            Some(c) => z_m.min(c.low_m),
            None => z_m,
        }
    }
}

/// The profile of a unit's way to its drain; nothing if it has none.
pub fn profile(drain: &Drain, unit: &UnitDrain, units: UnitSystem) -> Option<Drawing> {
    let (run, path) = drain.path_of(unit)?;
    let segments: Vec<&Segment> = path
        .iter()
        .filter_map(|i| run.segments.get(*i))
        .filter(|s| 1e-3 < s.length_m)
        .collect();
    let first = segments.first()?;
    let lifted = unit.way.as_ref().is_some_and(|w| w.pump.is_some());
    let mut stops = vec![Stop {
        mark: if lifted { "R" } else { "T" }.into(),
        chainage_m: 0.0,
        invert_m: run.nodes[first.from].at_m[2],
    }];
    let mut chainage_m = 0.0;
    for s in &segments {
        if s.part != LinePart::Drop {
            chainage_m += s.length_m;
        }
        let node = &run.nodes[s.to];
        stops.push(Stop {
            mark: node.mark.clone(),
            chainage_m,
            invert_m: node.at_m[2],
        });
    }
    let cut = segments
        .iter()
        .filter(|s| s.part == LinePart::Drop && CUT_M < s.drop_m)
        .max_by(|a, b| a.drop_m.total_cmp(&b.drop_m))
        .map(|s| Cut {
            low_m: run.nodes[s.to].at_m[2] + LEFT_OF_CUT_M,
            high_m: run.nodes[s.from].at_m[2] - LEFT_OF_CUT_M,
        });
    let shown = |z: f64| Cut::shown_m(cut, z);
    let floor = run.rim_m[2] < 0.5;
    let pump = unit.way.as_ref().and_then(|w| w.pump);
    let mut heights: Vec<f64> = stops.iter().map(|s| shown(s.invert_m)).collect();
    heights.extend([shown(run.rim_m[2]), shown(unit.outlet_invert_m)]);
    heights.extend(pump.map(|p| shown(p.from_m)));
    heights.extend(unit.vent.as_ref().map(|v| shown(v.top_m)));
    heights.extend(floor.then_some(0.0));
    let low_m = heights.iter().copied().fold(f64::INFINITY, f64::min);
    let high_m = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let (across, up) = scales(chainage_m, high_m - low_m, units);
    let high_mm = 1000.0 * (high_m - low_m) / up;
    let x0_mm = LEFT_MM + 14.0;
    let mut view = View::new(
        "profile",
        Transform {
            origin: PaperPoint {
                x_mm: x0_mm,
                y_mm: TOP_MM + high_mm + 1000.0 * low_m / up,
            },
            x_mm_per_unit: 1000.0 / across,
            y_mm_per_unit: 1000.0 / up,
        },
    );
    line(&mut view, unit, run, &stops, &shown, units);
    if let Some(cut) = cut {
        breaks(&mut view, &stops, cut);
    }
    let strip_y = TOP_MM + high_mm + 12.0;
    let bottom = strip(&mut view, &stops, &segments, strip_y, units);
    let mut words = vec![if lifted {
        "P pump, its rise dashed; R top of the rise"
    } else {
        "T outlet of the trap"
    }];
    words.extend(
        unit.vent
            .is_some()
            .then_some("V vent, its open end here or higher"),
    );
    words.extend(run.air_gap_m.is_some().then_some("AG air gap over the rim"));
    words.push("IL invert over the floor");
    let mut title = View::paper("title");
    title.text(
        Role::TextStrong,
        Label::new(
            format!("Profile from {} to {}", unit.tag, run.drain),
            at(0.0, 4.0),
        )
        .letters(Letters::ViewTitle),
    );
    title.text(
        Role::TextQuiet,
        Label::new(
            format!(
                "H {}, V {}{}",
                kit::scale_words(across, units),
                kit::scale_words(up, units),
                if cut.is_some() {
                    "; the long drop is cut"
                } else {
                    ""
                }
            ),
            at(0.0, 8.5),
        )
        .letters(Letters::Note),
    );
    title.text(
        Role::Text,
        Label::new(words.join("; "), at(1.0, bottom + 5.0)).letters(Letters::Note),
    );
    kit::scale_bar(&mut title, paper(104.0, 2.5), across, units);
    let mut drawing = Drawing::new(
        Size {
            width_mm: WIDTH_MM,
            height_mm: bottom + 6.5,
        },
        format!("Profile of the line from {}", unit.tag),
    );
    let show = |m: f64| Value::new(m, Dim::Length).show(units);
    drawing.alt = format!(
        "From the trap of {} at {} over {} to {} at {}.",
        unit.tag,
        show(stops[0].invert_m),
        show(chainage_m),
        run.drain,
        show(stops[stops.len() - 1].invert_m),
    );
    drawing.views = vec![view, title];
    Some(drawing)
}

/// The largest scales 1:n across and up that fit; up is finer, so that a fall
/// of a percent can be seen.
fn scales(long_m: f64, high_m: f64, units: UnitSystem) -> (f64, f64) {
    let (across, up): (&[f64], &[f64]) = match units {
        UnitSystem::Metric => (
            &[20.0, 50.0, 100.0, 200.0, 500.0, 1000.0],
            &[10.0, 20.0, 50.0, 100.0],
        ),
        UnitSystem::Us => (
            &[24.0, 48.0, 96.0, 192.0, 384.0, 768.0],
            &[12.0, 24.0, 48.0, 96.0],
        ),
    };
    let fit = |scales: &[f64], m: f64, mm: f64| {
        scales
            .iter()
            .copied()
            .find(|n| 1000.0 * m / n <= mm)
            .unwrap_or(scales[scales.len() - 1])
    };
    (fit(across, long_m, LONG_MM), fit(up, high_m, HIGH_MM))
}

fn line(
    view: &mut View,
    unit: &UnitDrain,
    run: &Run,
    stops: &[Stop],
    shown: &dyn Fn(f64) -> f64,
    units: UnitSystem,
) {
    let t = view.transform;
    let mut taken: Taken = vec![[-1e3, -1e3, 1.0, 1e3], [WIDTH_MM - 1.0, -1e3, 1e3, 1e3]];
    // Unit, trap and pump in front of the line.
    let outlet = shown(unit.outlet_invert_m);
    let left = -9.0 / t.x_mm_per_unit;
    let end = shown(unit.trap_end_m[2]);
    let seal = unit.trap.map_or(0.0, |x| x.built.seal_m);
    view.push(
        Role::Outline,
        Shape::Polyline(vec![
            at(left, outlet),
            at(0.6 * left, outlet),
            at(0.6 * left, end - seal),
            at(0.25 * left, end - seal),
            at(0.25 * left, end),
            at(0.0, end),
        ]),
    );
    view.mark(Role::Outline, Mark::Ring, at(left, outlet));
    set_on(
        view,
        &mut taken,
        Role::Text,
        "pan outlet",
        at(left, outlet),
        (Hand::Left, 2.4),
    );
    if let Some(vent) = &unit.vent {
        // Up after the trap, its end bent down.
        let (x, top) = (0.12 * left, shown(vent.top_m));
        let (bent, down) = (x + 2.2 / t.x_mm_per_unit, top - 1.8 / t.y_mm_per_unit);
        view.push(
            Role::Outline,
            Shape::Polyline(vec![at(x, end), at(x, top), at(bent, top), at(bent, down)]),
        );
        let words = format!("V {}", level(vent.top_m, units)[0]);
        set(view, &mut taken, Role::Text, &words, at(bent, top), 2.6);
    }
    if let Some(pump) = unit.way.as_ref().and_then(|w| w.pump) {
        view.line(
            Role::Hidden,
            at(0.0, shown(pump.from_m)),
            at(0.0, shown(pump.to_m)),
        );
        view.mark(Role::Outline, Mark::Triangle, at(0.0, shown(pump.from_m)));
        set(
            view,
            &mut taken,
            Role::Text,
            "P",
            at(0.0, shown(pump.from_m)),
            2.4,
        );
    }
    view.push(
        Role::Drain,
        Shape::Polyline(
            stops
                .iter()
                .map(|s| at(s.chainage_m, shown(s.invert_m)))
                .collect(),
        ),
    );
    for (k, s) in stops.iter().enumerate() {
        let p = at(s.chainage_m, shown(s.invert_m));
        view.mark(Role::Drain, Mark::Dot, p);
        // Keep clear of a point close by on the right.
        let close = |n: &Stop| (n.chainage_m - s.chainage_m) * t.x_mm_per_unit;
        let hand = match stops.get(k + 1) {
            Some(next) if (0.1..6.0).contains(&close(next)) => Hand::Left,
            _ => Hand::Right,
        };
        set_on(view, &mut taken, Role::Text, &s.mark, p, (hand, 2.4));
    }
    // The receiver: its rim, and the gap over it.
    if let Some(last) = stops.last() {
        let rim = shown(run.rim_m[2]);
        let wide = 5.0 / t.x_mm_per_unit;
        let deep = 4.0 / t.y_mm_per_unit;
        let x = last.chainage_m;
        view.push(
            Role::Outline,
            Shape::Polyline(vec![
                at(x - wide, rim),
                at(x - 0.3 * wide, rim - deep),
                at(x + 0.3 * wide, rim - deep),
                at(x + wide, rim),
            ]),
        );
        let words = run.air_gap_m.map_or_else(
            || "inlet".to_owned(),
            |gap| format!("AG {}", kit::length(gap, units)),
        );
        set(view, &mut taken, Role::Text, &words, at(x + wide, rim), 2.2);
        if run.rim_m[2] < 0.5 {
            view.line(Role::Zero, at(left, 0.0), at(x - wide, 0.0));
            set(
                view,
                &mut taken,
                Role::TextQuiet,
                "floor 0",
                at(left, 0.0),
                2.2,
            );
        }
    }
}

/// Zigzags where height is left out.
fn breaks(view: &mut View, stops: &[Stop], cut: Cut) {
    let t = view.transform;
    for pair in stops.windows(2) {
        let [a, b] = pair else { continue };
        if !(b.invert_m <= cut.low_m && cut.high_m <= a.invert_m) {
            continue;
        }
        let p = t.to_paper(at(a.chainage_m, cut.low_m));
        let zig = [
            (-3.0, 0.8),
            (-0.8, 0.8),
            (-0.4, 2.0),
            (0.4, -0.4),
            (0.8, 0.8),
            (3.0, 0.8),
        ];
        for dy in [-1.6, 0.0] {
            view.push(
                Role::Outline,
                Shape::Polyline(
                    zig.iter()
                        .map(|(dx, y)| {
                            t.to_world(PaperPoint {
                                x_mm: p.x_mm + dx,
                                y_mm: p.y_mm + y + dy,
                            })
                        })
                        .collect(),
                ),
            );
        }
    }
}

/// The strip of figures from `top_mm` down; gives its lower edge \[mm\].
fn strip(
    view: &mut View,
    stops: &[Stop],
    segments: &[&Segment],
    top_mm: f64,
    units: UnitSystem,
) -> f64 {
    const ROWS: [(&str, f64); 7] = [
        ("Point", 6.0),
        ("Chainage", 19.0),
        ("Invert IL", 19.0),
        ("Fall", 15.0),
        ("Length", 19.0),
        ("Size", 11.0),
        ("Supports", 6.0),
    ];
    const LEADER_MM: f64 = 7.0;
    let t = view.transform;
    let world = |x: f64, y: f64| t.to_world(PaperPoint { x_mm: x, y_mm: y });
    let columns = spread(
        &stops
            .iter()
            .map(|s| t.to_paper(at(s.chainage_m, 0.0)).x_mm)
            .collect::<Vec<_>>(),
    );
    let right = columns
        .last()
        .map_or(WIDTH_MM, |x| (x + 6.0).max(60.0))
        .min(WIDTH_MM);
    for (stop, x) in stops.iter().zip(&columns) {
        let natural = t.to_paper(at(stop.chainage_m, 0.0)).x_mm;
        view.line(
            Role::Leader,
            world(natural, top_mm - 2.0),
            world(*x, top_mm + LEADER_MM - 2.0),
        );
        view.line(
            Role::Leader,
            world(*x, top_mm + LEADER_MM - 2.0),
            world(*x, top_mm + LEADER_MM),
        );
    }
    let mut y = top_mm + LEADER_MM;
    view.line(Role::Axis, world(0.0, y), world(right, y));
    for (row, (name, high)) in ROWS.into_iter().enumerate() {
        let middle = y + 0.5 * high;
        view.text(
            Role::Text,
            Label::new(name, world(1.0, middle))
                .letters(Letters::Note)
                .anchor(Anchor::Start, Stand::Middle),
        );
        let mut cell = |x: f64, text: String, turned: bool| {
            let label = Label::new(text, world(x, middle)).anchor(Anchor::Middle, Stand::Middle);
            view.text(Role::Text, if turned { label.turn(90.0) } else { label });
        };
        if row < 3 {
            for (stop, x) in stops.iter().zip(&columns) {
                match row {
                    0 => cell(*x, stop.mark.clone(), false),
                    1 => cell(*x, chainage(stop.chainage_m, units), true),
                    _ => {
                        let [own, other] = level(stop.invert_m, units);
                        cell(*x - 1.6, own, true);
                        cell(*x + 1.6, other, true);
                    }
                }
            }
        } else {
            for (s, pair) in segments.iter().zip(columns.windows(2)) {
                let x = 0.5 * (pair[0] + pair[1]);
                match row {
                    3 => cell(
                        x,
                        s.slope().map_or_else(
                            || "drop".into(),
                            |v| Value::new(v, Dim::Slope).show(units),
                        ),
                        true,
                    ),
                    4 => cell(x, chainage(s.length_m, units), true),
                    5 => cell(x, s.size.map_or("?", PipeSize::word).to_owned(), true),
                    _ => cell(x, s.supports.to_string(), false),
                }
            }
        }
        y += high;
        view.line(Role::Axis, world(0.0, y), world(right, y));
    }
    y
}

/// Columns at their places, pushed apart where they are too close.
fn spread(natural_mm: &[f64]) -> Vec<f64> {
    let n = natural_mm.len();
    let room = WIDTH_MM - 5.0 - LEFT_MM;
    let step = COLUMN_MM.min(room / n.max(1) as f64);
    let mut at_mm: Vec<f64> = Vec::with_capacity(n);
    for x in natural_mm {
        let least = at_mm.last().map_or(LEFT_MM, |last| last + step);
        at_mm.push(x.max(least));
    }
    let mut limit = WIDTH_MM - 5.0;
    for x in at_mm.iter_mut().rev() {
        *x = x.min(limit);
        limit = *x - step;
    }
    at_mm
}

fn chainage(m: f64, units: UnitSystem) -> String {
    let digits = if m < 10.0 { 3 } else { 4 };
    Value::new(m, Dim::Length).digits(digits).show(units)
}

/// A height in the reader's units, and in the other in brackets.
fn level(m: f64, units: UnitSystem) -> [String; 2] {
    let other = match units {
        UnitSystem::Metric => UnitSystem::Us,
        UnitSystem::Us => UnitSystem::Metric,
    };
    let digits = if m.abs() < 1.0 { 3 } else { 4 };
    let v = Value::new(m, Dim::Length).digits(digits);
    [
        format!("+{}", v.show(units)),
        format!("[{}]", v.show(other)),
    ]
}
