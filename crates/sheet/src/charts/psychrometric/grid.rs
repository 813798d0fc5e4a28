//! Lines of the chart itself, with their figures.

use quantity::{Dim, UnitSystem};

use super::{PLOT, Plot};
use crate::charts::WIDTH_MM;
use crate::charts::kit::{Scale, number};
use crate::charts::labels::{Bounds, Obstacles};
use crate::drawing::{
    Anchor, Label, Letters, Point, Role, Shape, Stand, Transform, View, at, font,
};

pub(super) fn grid(states: &mut View, plot: &Plot) {
    let fine_t = plot.t.step / 5.0;
    let n = ((plot.t.high - plot.t.low) / fine_t).round() as usize;
    for i in 1..=n {
        let x = plot.t.low + i as f64 * fine_t;
        let role = if i % 5 == 0 {
            Role::Grid
        } else {
            Role::GridMinor
        };
        let top = plot.saturated(x).min(plot.w.high);
        states.line(role, at(x, plot.w.low), at(x, top));
    }
    let fine_w = plot.w.step / 5.0;
    let n = ((plot.w.high - plot.w.low) / fine_w).round() as usize;
    for i in 1..n {
        let y = plot.w.low + i as f64 * fine_w;
        let role = if i % 5 == 0 {
            Role::Grid
        } else {
            Role::GridMinor
        };
        // Where the line meets saturation, by halving.
        let (mut low, mut high) = (plot.t.low, plot.t.high);
        if plot.saturated(high) < y {
            continue;
        }
        for _ in 0..40 {
            let middle = (low + high) / 2.0;
            if plot.saturated(middle) < y {
                low = middle;
            } else {
                high = middle;
            }
        }
        states.line(role, at(high, y), at(plot.t.high, y));
    }
}

pub(super) fn saturation(states: &mut View, plot: &Plot) {
    let curve = plot.curve(plot.t.low, plot.t.high, |x| plot.saturated(x));
    states.push(Role::Saturation, Shape::Polyline(curve));
}

pub(super) fn frame(states: &mut View, plot: &Plot) {
    let top = plot.saturated(plot.t.high).min(plot.w.high);
    let mut outline = vec![
        at(plot.t.low, plot.saturated(plot.t.low).min(plot.w.high)),
        at(plot.t.low, plot.w.low),
        at(plot.t.high, plot.w.low),
        at(plot.t.high, top),
    ];
    let curve = plot.curve(plot.t.low, plot.t.high, |x| plot.saturated(x));
    if let Some(end) = curve.last()
        && end.x < plot.t.high - 1e-6
    {
        outline.push(*end);
    }
    states.push(Role::Frame, Shape::Polyline(outline));
}

pub(super) fn axes(front: &mut View, plot: &Plot) {
    let on_paper = |x: f64, y: f64| plot.transform.to_paper(at(x, y));
    for t in plot.t.ticks() {
        let p = on_paper(t, plot.w.low);
        front.line(Role::Axis, at(p.x_mm, p.y_mm), at(p.x_mm, p.y_mm + 1.2));
        front.text(
            Role::Text,
            Label::new(plot.t.label(t), at(p.x_mm, p.y_mm + 2.0))
                .anchor(Anchor::Middle, Stand::Top),
        );
    }
    front.text(
        Role::Text,
        Label::new(
            format!("Dry bulb, {}", plot.dry_bulb.unit),
            at((PLOT.left + PLOT.right) / 2.0, PLOT.bottom + 6.0),
        )
        .letters(Letters::Note)
        .anchor(Anchor::Middle, Stand::Top),
    );
    for w in plot.w.ticks() {
        let p = on_paper(plot.t.high, w);
        front.line(Role::Axis, at(p.x_mm, p.y_mm), at(p.x_mm + 1.2, p.y_mm));
        front.text(
            Role::Text,
            Label::new(plot.w.label(w), at(p.x_mm + 2.0, p.y_mm))
                .anchor(Anchor::Start, Stand::Middle),
        );
    }
    front.text(
        Role::Text,
        Label::new(
            format!("Humidity ratio, {}", plot.ratio.unit),
            at(WIDTH_MM - 1.2, (PLOT.top + PLOT.bottom) / 2.0),
        )
        .letters(Letters::Note)
        .anchor(Anchor::Middle, Stand::Base)
        .turn(90.0),
    );
}

/// Slope of a curve on paper at `i` \[°, counter-clockwise\].
pub(super) fn slope_deg(plot: &Plot, points: &[Point], i: usize) -> f64 {
    let a = plot.transform.to_paper(points[i.saturating_sub(1)]);
    let b = plot
        .transform
        .to_paper(points[(i + 1).min(points.len() - 1)]);
    (-(b.y_mm - a.y_mm)).atan2(b.x_mm - a.x_mm).to_degrees()
}

/// Places a label on a curve, turned along it.
pub(super) fn ride(
    front: &mut View,
    keep: &mut Obstacles,
    plot: &Plot,
    points: &[Point],
    i: usize,
    text: String,
) {
    // Down the curve until there is room.
    for i in (2..=i.min(points.len().saturating_sub(1))).rev().step_by(2) {
        let on = plot.transform.to_paper(points[i]);
        let label = Label::new(text.as_str(), at(on.x_mm, on.y_mm))
            .anchor(Anchor::Middle, Stand::Middle)
            .turn(slope_deg(plot, points, i))
            .halo();
        let bounds = Bounds::of(&label.corners(&Transform::PAPER, Role::TextQuiet)).grown(0.6);
        let inside = bounds.right < PLOT.right && bounds.top > PLOT.top;
        if inside && !keep.boxes.iter().any(|b| b.overlaps(&bounds)) {
            keep.boxes.push(bounds);
            front.text(Role::TextQuiet, label);
            return;
        }
    }
}

pub(super) fn rel_humidity_lines(
    states: &mut View,
    front: &mut View,
    plot: &Plot,
    keep: &mut Obstacles,
) {
    let column = plot.t.low + 0.93 * (plot.t.high - plot.t.low);
    for tenth in 1..=9 {
        let rh = f64::from(tenth) / 10.0;
        let curve = plot.curve(plot.t.low, plot.t.high, |x| {
            let p_w_pa = rh * air::saturation_pressure_pa(plot.dry_bulb.si(x));
            plot.ratio.show(air::humidity_ratio_from_vapour_pressure(
                p_w_pa,
                plot.pressure_pa,
            ))
        });
        if curve.len() < 8 {
            continue;
        }
        // At one column, or 4 mm below the top where the line leaves earlier.
        let top = plot.w.high - 5.0 / plot.transform.y_mm_per_unit;
        let i = curve
            .iter()
            .rposition(|p| p.x <= column && p.y <= top)
            .unwrap_or(curve.len() / 2);
        let text = if tenth == 5 {
            "50 % RH".to_owned()
        } else {
            format!("{tenth}0 %")
        };
        ride(front, keep, plot, &curve, i, text);
        states.push(Role::RelHumidity, Shape::Polyline(curve));
    }
}

pub(super) fn wet_bulb_lines(
    states: &mut View,
    front: &mut View,
    plot: &Plot,
    keep: &mut Obstacles,
) {
    let first = (plot.t.low / plot.t.step).ceil() as i32 + 1;
    let last = (plot.t.high / plot.t.step).floor() as i32;
    let mut named = false;
    for k in first..=last {
        let bulb = f64::from(k) * plot.t.step;
        let bulb_c = plot.dry_bulb.si(bulb);
        let curve = plot.curve(bulb, plot.t.high, |x| {
            plot.ratio.show(air::humidity_ratio_from_wet_bulb(
                plot.dry_bulb.si(x),
                bulb_c,
                plot.pressure_pa,
            ))
        });
        if curve.len() < 6 {
            continue;
        }
        // Near the lower end, where states of a crop room are rare.
        let low = plot.w.low + 5.0 / plot.transform.y_mm_per_unit;
        let right = plot.t.high - 12.0 / plot.transform.x_mm_per_unit;
        let i = curve
            .iter()
            .rposition(|p| p.y >= low && p.x <= right)
            .unwrap_or(curve.len() / 2)
            .min(curve.len() - 1);
        let text = if named {
            format!("{} {}", plot.t.label(bulb), plot.dry_bulb.unit)
        } else {
            format!("{} {} wet bulb", plot.t.label(bulb), plot.dry_bulb.unit)
        };
        named = true;
        ride(front, keep, plot, &curve, i, text);
        states.push(Role::WetBulb, Shape::Polyline(curve));
    }
}

/// Ticks outside saturation along lines of equal enthalpy.
pub(super) fn enthalpy_ticks(front: &mut View, plot: &Plot, units: UnitSystem) {
    let scale = Scale::of(Dim::Enthalpy, units);
    let (step, labelled) = match units {
        UnitSystem::Metric => (5.0, 2),
        UnitSystem::Us => (2.0, 5),
    };
    let h_at = |x: f64| {
        let t_c = plot.dry_bulb.si(x);
        scale.show(air::enthalpy_j_per_kg(
            t_c,
            air::saturation_humidity_ratio(t_c, plot.pressure_pa),
        ))
    };
    let first = (h_at(plot.t.low) / step).ceil() as i32;
    let last = (h_at(plot.t.high) / step).floor().min(1000.0) as i32;
    let mut named = false;
    for k in first..=last {
        let h = f64::from(k) * step;
        let (mut low, mut high) = (plot.t.low, plot.t.high);
        for _ in 0..50 {
            let middle = (low + high) / 2.0;
            if h_at(middle) < h {
                low = middle
            } else {
                high = middle
            }
        }
        let (x, y) = (high, plot.saturated(high));
        if y > plot.w.high {
            break;
        }
        // Along the line of equal enthalpy, up and to the left.
        let on = plot.transform.to_paper(at(x, y));
        let dx = 1.0;
        let y2 = plot.ratio.show(air::humidity_ratio_from_enthalpy(
            plot.dry_bulb.si(x - dx),
            scale.si(h),
        ));
        let end = plot.transform.to_paper(at(x - dx, y2));
        let (vx, vy) = (end.x_mm - on.x_mm, end.y_mm - on.y_mm);
        let len = vx.hypot(vy);
        if len.is_nan() || len <= 0.0 {
            continue;
        }
        let (ux, uy) = (vx / len, vy / len);
        let tick = if k % labelled == 0 { 2.4 } else { 1.4 };
        front.line(
            Role::Axis,
            at(on.x_mm, on.y_mm),
            at(on.x_mm + ux * tick, on.y_mm + uy * tick),
        );
        if k % labelled == 0 {
            let text = if named {
                number(h, 0)
            } else {
                format!("Enthalpy, {}: {}", scale.unit, number(h, 0))
            };
            let x = on.x_mm + ux * 3.2;
            let w = font::width_mm(&text, Letters::Small, Role::TextQuiet);
            let text = if x - w < 0.5 {
                number(h, 0)
            } else {
                named = true;
                text
            };
            front.text(
                Role::TextQuiet,
                Label::new(text, at(x, on.y_mm + uy * 3.2)).anchor(Anchor::End, Stand::Middle),
            );
        }
    }
}
