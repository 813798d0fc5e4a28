//! Section through a trap, to scale.

use std::f64::consts::PI;

use equipment::Cabinet;
use job::Drain;
use job::drain::UnitDrain;
use job::drain::trap::Trap;
use quantity::{Dim, UnitSystem, Value};

use crate::drawing::{Anchor, Drawing, Label, Letters, Point, Role, Shape, Size, Stand, View, at};
use crate::sheets::kit::{self, SideOf, paper};

/// From the pan outlet's end to the first leg \[m\].
const INLET_M: f64 = 0.09;
/// Height of the cleanout over the inlet pipe \[m\].
const CLEANOUT_M: f64 = 0.045;
/// From the second leg along the line \[m\].
const OUTLET_M: f64 = 0.09;
const LEFT_MM: f64 = 42.0;
const TOP_MM: f64 = 18.0;

/// The trap of a unit with every dimension; nothing if it has none.
pub fn trap_section(drain: &Drain, unit: &UnitDrain, units: UnitSystem) -> Option<Drawing> {
    let trap = unit.trap?;
    let (h, j) = (trap.built.drop_m, trap.built.seal_m);
    let vent_m = unit.vent.as_ref().map(|v| v.top_m - unit.outlet_invert_m);
    let inlet_top = trap.bore_m + CLEANOUT_M;
    let high = vent_m.map_or(inlet_top, |v| v.max(inlet_top));
    let long = INLET_M + 2.0 * trap.bend_m + OUTLET_M;
    let space = Size {
        width_mm: 124.0,
        height_mm: 104.0,
    };
    // Half size where it fits; else a usual scale.
    let ratio =
        if 500.0 * long <= space.width_mm && 500.0 * (high + trap.depth_m()) <= space.height_mm {
            2.0
        } else {
            kit::scale_that_fits(long, high + trap.depth_m(), space, units)
        };
    let mm = |m: f64| 1000.0 * m / ratio;
    let mut view = kit::view(
        "section",
        ratio,
        paper(LEFT_MM + mm(INLET_M), TOP_MM + mm(high)),
    );
    let outside = outline(&trap, 0.5 * trap.outside_m, vent_m);
    let bore = outline(&trap, 0.5 * trap.bore_m, vent_m);
    view.push(Role::Cut, Shape::Polygon(outside));
    view.push(Role::Waiting, Shape::Polygon(bore));
    view.push(Role::Target, Shape::Polygon(water(&trap)));
    levels(&mut view, &trap);
    // Cleanout plug.
    let o = 0.5 * trap.outside_m;
    view.rect(Role::Running, at(-o, inlet_top), at(o, inlet_top + 0.006));
    let length = |m: f64| kit::length(m, units);
    let left = -INLET_M;
    for (from, to, away, name) in [
        (0.0, -h, 10.0, "H"),
        (-h, -(h + j), 18.0, "J"),
        (0.0, -trap.depth_m(), 26.0, "L"),
    ] {
        kit::dimension(
            &mut view,
            (at(left, from), at(left, to)),
            SideOf::Right,
            away,
            format!("{name} {}", short((to - from).abs(), units)),
        );
    }
    kit::dimension(
        &mut view,
        (
            at(0.0, -trap.depth_m()),
            at(2.0 * trap.bend_m, -trap.depth_m()),
        ),
        SideOf::Right,
        8.0,
        length(2.0 * trap.bend_m),
    );
    if let Some(v) = vent_m {
        kit::dimension(
            &mut view,
            (
                at(2.0 * trap.bend_m + OUTLET_M, 0.0),
                at(2.0 * trap.bend_m + OUTLET_M, v),
            ),
            SideOf::Right,
            8.0,
            format!("≥ {}", length(v)),
        );
    }
    let key = callouts(&mut view, unit, &trap, vent_m, units);
    let key_y = TOP_MM + mm(high + trap.depth_m()) + 24.0;
    let mut words = View::paper("key");
    kit::view_title(
        &mut words,
        paper(0.0, 4.0),
        &format!("Trap, {}", unit.tag),
        ratio,
        units,
    );
    kit::scale_bar(&mut words, paper(70.0, 2.5), ratio, units);
    for (i, line) in key.iter().enumerate() {
        words.text(
            Role::Text,
            Label::new(line.clone(), at(0.0, key_y + 5.0 * i as f64)).letters(Letters::Note),
        );
    }
    let mut drawing = Drawing::new(
        Size {
            width_mm: 176.0,
            height_mm: key_y + 5.0 * key.len() as f64 - 3.0,
        },
        format!("Trap of {}", unit.tag),
    );
    let show = |m: f64| Value::new(m, Dim::Length).show(units);
    drawing.alt = format!(
        "Section of the trap of {}: H {}, J {}, whole depth {}, {} of pipe; with {} it is primed.",
        unit.tag,
        show(h),
        show(j),
        show(trap.depth_m()),
        show(trap.bore_m),
        prime(&trap).show(units),
    );
    if drain.path_of(unit).is_none() {
        drawing
            .notes
            .push("No drain was surveyed for this unit.".into());
    }
    drawing.views = vec![view, words];
    Some(drawing)
}

/// A length in the reader's units alone; the key has both.
fn short(m: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{:.0}", 1000.0 * m),
        UnitSystem::Us => Value::new(m, Dim::Length).digits(4).show(units),
    }
}

fn prime(trap: &Trap) -> Value {
    Value::new(
        1000.0 * quantity::WATER_KG_PER_L * trap.priming_m3,
        Dim::Water,
    )
    .digits(2)
}

/// Height of the bend's centre \[m\].
fn bend_z(trap: &Trap) -> f64 {
    trap.bend_m - 0.5 * trap.bore_m - trap.built.drop_m - trap.built.seal_m
}

/// The lower half of a circle round the bend, left to right or back.
fn arc(trap: &Trap, radius: f64, back: bool) -> Vec<Point> {
    const STEPS: u32 = 24;
    (0..=STEPS)
        .map(|i| {
            let share = f64::from(i) / f64::from(STEPS);
            let share = if back { 1.0 - share } else { share };
            let angle = PI * (1.0 + share);
            at(
                trap.bend_m + radius * angle.cos(),
                bend_z(trap) + radius * angle.sin(),
            )
        })
        .collect()
}

/// The trap and its stubs as one shape, `half` from the centre lines.
fn outline(trap: &Trap, half: f64, vent_m: Option<f64>) -> Vec<Point> {
    let b = 0.5 * trap.bore_m;
    let second = 2.0 * trap.bend_m;
    let low = b - trap.built.drop_m;
    let inlet_top = trap.bore_m + CLEANOUT_M;
    let mut p = vec![
        at(-INLET_M, b + half),
        at(-half, b + half),
        at(-half, inlet_top),
        at(half, inlet_top),
    ];
    p.extend(arc(trap, trap.bend_m - half, false));
    let top = vent_m.unwrap_or(low + half);
    p.extend([
        at(second - half, top),
        at(second + half, top),
        at(second + half, low + half),
        at(second + OUTLET_M, low + half),
        at(second + OUTLET_M, low - half),
        at(second + half, low - half),
    ]);
    p.extend(arc(trap, trap.bend_m + half, true));
    p.extend([at(-half, b - half), at(-INLET_M, b - half)]);
    p
}

/// Water with the fan running.
fn water(trap: &Trap) -> Vec<Point> {
    let b = 0.5 * trap.bore_m;
    let weir = -trap.built.drop_m;
    let pan_leg = weir + trap.running_pan_leg_m();
    let (left, right) = across_first_leg(trap, pan_leg);
    // The bend over the water of a blow-through trap is dry on the pan's side.
    let wet = |p: &Point| trap.bend_m <= p.x || p.y <= pan_leg;
    let mut p = vec![at(left, pan_leg), at(right, pan_leg)];
    p.extend(arc(trap, trap.bend_m - b, false).into_iter().filter(wet));
    let second = 2.0 * trap.bend_m;
    p.extend([at(second - b, weir), at(second + b, weir)]);
    p.extend(arc(trap, trap.bend_m + b, true).into_iter().filter(wet));
    p
}

/// From wall to wall of the first leg, or of the bend under it.
fn across_first_leg(trap: &Trap, z_m: f64) -> (f64, f64) {
    let (from, to) = across_second_leg(trap, z_m);
    (2.0 * trap.bend_m - to, 2.0 * trap.bend_m - from)
}

/// Surface marks: running, stopped, lowest at a start.
fn levels(view: &mut View, trap: &Trap) {
    let b = 0.5 * trap.bore_m;
    let weir = -trap.built.drop_m;
    let t = view.transform;
    let mut surface = |(from, to): (f64, f64), z: f64| {
        let size = 1.6 / t.x_mm_per_unit;
        let x = 0.5 * (from + to);
        view.line(Role::Zero, at(from, z), at(to, z));
        view.push(
            Role::Zero,
            Shape::Polyline(vec![
                at(x, z),
                at(x - 0.6 * size, z + size),
                at(x + 0.6 * size, z + size),
                at(x, z),
            ]),
        );
    };
    let running = weir + trap.running_pan_leg_m();
    surface(across_first_leg(trap, running), running);
    surface(across_second_leg(trap, weir), weir);
    view.line(Role::Hidden, at(-b, weir), at(b, weir));
    if trap.cabinet == Cabinet::DrawThrough {
        let lowest = weir - trap.start_fall_m();
        let (from, to) = across_second_leg(trap, lowest);
        view.line(Role::Centre, at(from, lowest), at(to, lowest));
    }
}

/// From wall to wall of the second leg, or of the bend under it.
fn across_second_leg(trap: &Trap, z_m: f64) -> (f64, f64) {
    let b = 0.5 * trap.bore_m;
    let deep = (bend_z(trap) - z_m).max(0.0);
    let wall = |r: f64| trap.bend_m + (r * r - deep * deep).max(0.0).sqrt();
    (wall(trap.bend_m - b), wall(trap.bend_m + b))
}

/// Numbers at the parts, and what they mean.
fn callouts(
    view: &mut View,
    unit: &UnitDrain,
    trap: &Trap,
    vent_m: Option<f64>,
    units: UnitSystem,
) -> Vec<String> {
    let show = |m: f64| kit::length(m, units);
    let both = |pa: f64| {
        let v = Value::new(pa, Dim::Pressure);
        let other = match units {
            UnitSystem::Metric => UnitSystem::Us,
            UnitSystem::Us => UnitSystem::Metric,
        };
        format!("{} [{}]", v.show(units), v.show(other))
    };
    let b = 0.5 * trap.bore_m;
    let weir = -trap.built.drop_m;
    let second = 2.0 * trap.bend_m;
    let mut key: Vec<(Point, (f64, f64), String)> = Vec::new();
    key.push((
        at(-0.75 * INLET_M, 0.5 * trap.outside_m + b),
        (-5.0, -8.0),
        format!(
            "pan outlet, {} inside, then a short flexible connector",
            show(unit.outlet_inside_m)
        ),
    ));
    key.push((
        at(0.0, trap.bore_m + CLEANOUT_M + 0.004),
        (-9.0, -4.0),
        "cleanout: plug airtight while the fan runs; prime here".into(),
    ));
    let sign = match trap.cabinet {
        Cabinet::DrawThrough => "below",
        Cabinet::BlowThrough => "above",
    };
    let pan_leg = weir + trap.running_pan_leg_m();
    key.push((
        at(0.4 * b, pan_leg - 0.002),
        (13.0, -7.0),
        format!(
            "fan running: {} {} the weir in the pan's leg; pan {} {sign} the room",
            show(trap.head_m),
            match trap.cabinet {
                Cabinet::DrawThrough => "over",
                Cabinet::BlowThrough => "under",
            },
            both(unit.pan.worst_pa()),
        ),
    ));
    key.push((
        at(second - 0.4 * b, weir - 0.002),
        (24.0, 11.0),
        "weir, level of both legs with the fan stopped (dashed in the pan's leg)".into(),
    ));
    if trap.cabinet == Cabinet::DrawThrough {
        key.push((
            at(
                across_second_leg(trap, weir - trap.start_fall_m()).1 - 0.3 * b,
                weir - trap.start_fall_m(),
            ),
            (20.0, 16.0),
            format!(
                "lowest at a start without new water (chain line): {} of the seal of {}",
                show(trap.start_fall_m()),
                show(trap.built.seal_m)
            ),
        ));
    }
    if let Some(v) = vent_m {
        key.push((
            at(second, v),
            (-12.0, -3.0),
            format!(
                "vent, full bore, open end {} or more over the pan outlet",
                show(v)
            ),
        ));
    }
    key.push((
        at(second + 0.8 * OUTLET_M, b - trap.built.drop_m),
        (2.0, 14.0),
        "to the line, falling".into(),
    ));
    let mut lines = vec![
        format!(
            "H {} and J {} at least; space needed L {}",
            show(trap.built.drop_m),
            show(trap.built.seal_m),
            show(trap.depth_m())
        ),
        match units {
            UnitSystem::Metric => {
                "mm [ft, in], mm governs. Walls hatched, water shaded as with the fan running."
                    .to_owned()
            }
            UnitSystem::Us => {
                "ft, in [mm]; inches govern. Walls hatched, water shaded as with the fan running."
                    .to_owned()
            }
        },
    ];
    for (i, (to, (dx, dy), words)) in key.into_iter().enumerate() {
        let n = (i + 1).to_string();
        number(view, to, (dx, dy), &n);
        lines.push(format!("{n}  {words}"));
    }
    lines.push(format!(
        "Prime with {}: fill twice that, until water leaves the outlet. Running freeboard {}.",
        prime(trap).show(units),
        show(trap.freeboard_m())
    ));
    lines
}

fn number(view: &mut View, to: Point, (right_mm, down_mm): (f64, f64), text: &str) {
    let t = view.transform;
    let p = t.to_paper(to);
    let end = t.to_world(paper(p.x_mm + right_mm, p.y_mm + down_mm));
    view.line(Role::Leader, to, end);
    view.text(
        Role::TextStrong,
        Label::new(text, end)
            .letters(Letters::Note)
            .anchor(Anchor::Middle, Stand::Middle)
            .halo(),
    );
}
