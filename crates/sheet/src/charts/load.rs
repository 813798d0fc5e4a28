//! Water (or heat) by source over the hours, as areas on each other; what is
//! taken out, under zero.

use std::fmt::Write;

use quantity::{Dim, UnitSystem, Value};

use super::behind;
use super::kit::{
    Area, Axis, Scale, TIME_AXIS_MM, TITLE_MM, TimeAxis, between, figure_title, shade, spread_out,
};
use super::{Hours, WIDTH_MM};
use crate::drawing::{
    Anchor, Drawing, Label, Letters, Point, Role, Shape, Size, Stand, View, at, font,
};

/// Parts of one sum over time.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadChart {
    /// What the reader shall see, in a line.
    pub title: String,
    /// What it is, in a line; may be empty.
    pub subtitle: String,
    /// Name of the sum ("All sources").
    pub total: String,
    /// Kind of quantity.
    pub dim: Dim,
    /// Hours of the values, rising.
    pub hours: Vec<f64>,
    /// The part of them that is shown; `None` for all of them.
    pub shown: Option<Hours>,
    /// What the clock shows at hour 0 \[h\].
    pub start_clock_h: f64,
    /// Hours with lights off.
    pub nights: Vec<Hours>,
    /// Parts from the bottom, the steadiest first. Of more than five the
    /// smallest are added up as "other".
    pub parts: Vec<Part>,
    /// What is taken out, as positive numbers; drawn under zero.
    pub taken: Vec<Part>,
}

/// A part of a sum.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its name.
    pub name: String,
    /// Its value at each hour of the chart, in SI.
    pub values: Vec<f64>,
}

const LEFT_MM: f64 = 14.0;
const RIGHT_MM: f64 = WIDTH_MM - 40.0;
const PLOT_MM: f64 = 62.0;
const MOST_PARTS: usize = 5;

/// Draws the chart.
pub fn load(chart: &LoadChart, units: UnitSystem) -> Drawing {
    let size = Size {
        width_mm: WIDTH_MM,
        height_mm: TITLE_MM + 5.0 + PLOT_MM + TIME_AXIS_MM,
    };
    let mut drawing = Drawing::new(size, chart.title.clone());
    let mut back = View::paper("frame");
    let mut front = View::paper("labels");
    figure_title(&mut back, &chart.title, &chart.subtitle);
    let scale = Scale::of(chart.dim, units);
    // As far as they rise.
    let mut hours: Vec<f64> = Vec::new();
    for h in &chart.hours {
        if h.is_finite() && hours.last().is_none_or(|last| last < h) {
            hours.push(*h);
        } else {
            break;
        }
    }
    let axis_over = |hours: &[f64]| {
        let from_h = hours.first().copied().unwrap_or(0.0);
        let to_h = hours.last().copied().unwrap_or(24.0);
        TimeAxis::new(Hours { from_h, to_h }, chart.start_clock_h)
    };
    let whole = axis_over(&hours);
    let shown = chart.shown.and_then(|s| part(chart, &hours, s));
    let chart = match &shown {
        Some(part) => {
            hours.clone_from(&part.hours);
            part
        }
        None => chart,
    };
    let time = axis_over(&hours);
    let parts = at_most(&chart.parts, hours.len());
    let taken = at_most(&chart.taken, hours.len());
    let above = stack(&parts, hours.len());
    let below = stack(&taken, hours.len());
    let tops = |s: &[Vec<f64>]| s.last().cloned().unwrap_or_default();
    let axis = Axis::around(
        tops(&above)
            .iter()
            .map(|v| scale.show(*v))
            .chain(tops(&below).iter().map(|v| -scale.show(*v)))
            .chain([0.0]),
        8,
    );
    let area = Area {
        left: LEFT_MM,
        top: TITLE_MM + 5.0,
        right: RIGHT_MM,
        bottom: TITLE_MM + 5.0 + PLOT_MM,
    };
    let transform = area.transform((time.hours.from_h, time.hours.to_h), (axis.low, axis.high));
    shade(&mut back, &time, &chart.nights, &area);
    let mut view = View::new("load", transform);
    for y in axis.ticks() {
        view.line(Role::Grid, at(time.hours.from_h, y), at(time.hours.to_h, y));
        let p = transform.to_paper(at(time.hours.from_h, y));
        front.line(Role::Axis, at(p.x_mm - 1.2, p.y_mm), at(p.x_mm, p.y_mm));
        front.text(
            Role::Text,
            Label::new(axis.label(y), at(p.x_mm - 2.0, p.y_mm)).anchor(Anchor::End, Stand::Middle),
        );
    }
    let curve = |values: &[f64], sign: f64| -> Vec<Point> {
        hours
            .iter()
            .zip(values)
            .map(|(h, v)| at(*h, sign * scale.show(*v)))
            .collect()
    };
    let zero = vec![0.0; hours.len()];
    let mut labels: Vec<(f64, String)> = Vec::new();
    for (stacked, names, sign) in [(&above, &parts, 1.0), (&below, &taken, -1.0)] {
        for i in 0..stacked.len() {
            let lower = if i == 0 { &zero } else { &stacked[i - 1] };
            if hours.len() > 1 {
                view.push(
                    if sign > 0.0 {
                        Role::Layer(i as u8)
                    } else {
                        Role::Taken(i as u8)
                    },
                    between(&curve(&stacked[i], sign), &curve(lower, sign)),
                );
            }
            if let (Some(a), Some(b)) = (stacked[i].last(), lower.last()) {
                let middle = sign * scale.show((a + b) / 2.0);
                let y = transform.to_paper(at(0.0, middle)).y_mm;
                labels.push((y, names[i].name.clone()));
            }
        }
    }
    if let Some(total) = above.last().filter(|_| hours.len() > 1) {
        view.push(Role::Total, Shape::Polyline(curve(total, 1.0)));
        most(&mut front, chart, &hours, total, &scale, &transform, units);
    }
    view.line(
        Role::Zero,
        at(time.hours.from_h, 0.0),
        at(time.hours.to_h, 0.0),
    );
    front.line(
        Role::Axis,
        at(area.left, area.top),
        at(area.left, area.bottom),
    );
    front.text(
        Role::Text,
        Label::new(axis_title(chart, &scale), at(0.0, area.top - 2.0)),
    );
    let wanted: Vec<f64> = labels.iter().map(|l| l.0).collect();
    let placed = spread_out(&wanted, 3.5, area.top + 1.0, area.bottom - 1.0);
    for ((y, text), to) in labels.iter().zip(placed) {
        front.line(
            Role::Leader,
            at(area.right + 0.4, *y),
            at(area.right + 4.0, to),
        );
        let text = font::shortened(
            text,
            WIDTH_MM - area.right - 5.0,
            Letters::Small,
            Role::Text,
        );
        front.text(
            Role::Text,
            Label::new(text, at(area.right + 4.6, to)).anchor(Anchor::Start, Stand::Middle),
        );
    }
    night_name(&mut front, chart, &time, &area);
    time.draw(&mut front, &area);
    drawing.behind = Some(Box::new(behind::of_load(
        chart, &hours, &whole, &time, &area,
    )));
    drawing.alt = alt(chart, &above, units);
    drawing.views = vec![back, view, front];
    drawing
}

/// The values from the last one before a time to the first one after another;
/// `None` where that is nothing to be drawn.
fn part(chart: &LoadChart, hours: &[f64], shown: Hours) -> Option<LoadChart> {
    let after = hours.partition_point(|h| *h <= shown.from_h);
    let from = after.saturating_sub(1);
    let to = (hours.partition_point(|h| *h < shown.to_h) + 1).min(hours.len());
    if to < from + 2 {
        return None;
    }
    let cut = |parts: &[Part]| {
        let values = |p: &Part| {
            p.values
                .get(from..to.min(p.values.len()))
                .map(<[f64]>::to_vec)
        };
        parts
            .iter()
            .map(|p| Part {
                name: p.name.clone(),
                values: values(p).unwrap_or_default(),
            })
            .collect()
    };
    Some(LoadChart {
        hours: hours[from..to].to_vec(),
        shown: None,
        parts: cut(&chart.parts),
        taken: cut(&chart.taken),
        ..chart.clone()
    })
}

fn kind(chart: &LoadChart) -> &'static str {
    match chart.dim {
        Dim::WaterRate => "Water",
        _ => "Heat",
    }
}

fn axis_title(chart: &LoadChart, scale: &Scale) -> String {
    format!("{} by source, {}", kind(chart), scale.unit)
}

fn night_name(front: &mut View, chart: &LoadChart, time: &TimeAxis, area: &Area) {
    let t = area.transform((time.hours.from_h, time.hours.to_h), (0.0, 1.0));
    if let Some(n) = chart.nights.iter().filter_map(|n| time.clip(*n)).next() {
        let x = t.to_paper(at((n.from_h + n.to_h) / 2.0, 0.0)).x_mm;
        front.text(
            Role::TextQuiet,
            Label::new("lights off", at(x, area.top + 1.2)).anchor(Anchor::Middle, Stand::Top),
        );
    }
}

/// The largest sum, with its number.
fn most(
    front: &mut View,
    chart: &LoadChart,
    hours: &[f64],
    total: &[f64],
    scale: &Scale,
    transform: &crate::drawing::Transform,
    units: UnitSystem,
) {
    let Some((i, v)) = total
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.total_cmp(b.1))
        .filter(|m| *m.1 > 0.0)
    else {
        return;
    };
    let p = transform.to_paper(at(hours[i], scale.show(*v)));
    let text = format!(
        "{}, at most {}",
        chart.total,
        Value::new(*v, chart.dim).show(units)
    );
    let w = font::width_mm(&text, Letters::Small, Role::TextStrong);
    // Clear of the axis title, which stands over the left end.
    let axis_title = font::width_mm(&axis_title(chart, scale), Letters::Small, Role::Text);
    let least = (LEFT_MM + 1.0).max(axis_title + 4.0) + w / 2.0;
    let x = p.x_mm.min(RIGHT_MM - w / 2.0 - 1.0).max(least);
    front.text(
        Role::TextStrong,
        Label::new(text, at(x, p.y_mm - 1.6))
            .anchor(Anchor::Middle, Stand::Base)
            .halo(),
    );
}

/// The parts with as many values as there are hours; of more than five the
/// smallest become one.
fn at_most(parts: &[Part], n: usize) -> Vec<Part> {
    let clean = |p: &Part| Part {
        name: p.name.clone(),
        values: (0..n)
            .map(|i| {
                p.values
                    .get(i)
                    .copied()
                    .filter(|v| v.is_finite())
                    .unwrap_or(0.0)
                    .max(0.0)
            })
            .collect(),
    };
    let sum = |p: &Part| p.values.iter().sum::<f64>();
    let mut all: Vec<Part> = parts.iter().map(clean).collect();
    if all.len() <= MOST_PARTS {
        return all;
    }
    let mut by_size: Vec<usize> = (0..all.len()).collect();
    by_size.sort_by(|a, b| sum(&all[*b]).total_cmp(&sum(&all[*a])).then(a.cmp(b)));
    let small: Vec<usize> = by_size.split_off(MOST_PARTS - 1);
    let mut other = Part {
        name: "other".to_owned(),
        values: vec![0.0; n],
    };
    for i in &small {
        for (o, v) in other.values.iter_mut().zip(&all[*i].values) {
            *o += v;
        }
    }
    let mut i = 0;
    all.retain(|_| {
        i += 1;
        !small.contains(&(i - 1))
    });
    all.push(other);
    all
}

/// Running sums from the bottom.
fn stack(parts: &[Part], n: usize) -> Vec<Vec<f64>> {
    let mut sum = vec![0.0; n];
    parts
        .iter()
        .map(|p| {
            for (s, v) in sum.iter_mut().zip(&p.values) {
                *s += v;
            }
            sum.clone()
        })
        .collect()
}

fn alt(chart: &LoadChart, above: &[Vec<f64>], units: UnitSystem) -> String {
    let mut out = format!("{}.", chart.title.trim_end_matches('.'));
    let names: Vec<&str> = chart.parts.iter().map(|p| p.name.as_str()).collect();
    if let Some(total) = above.last() {
        let most = total.iter().copied().fold(0.0, f64::max);
        let _ = write!(
            out,
            " {} at most {}, from {}.",
            chart.total,
            Value::new(most, chart.dim).show(units),
            names.join(", ")
        );
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_parts_are_added_up_and_nothing_is_lost() {
        let parts: Vec<Part> = (1..=7)
            .map(|k| Part {
                name: format!("p{k}"),
                values: vec![f64::from(k), 10.0 * f64::from(k)],
            })
            .collect();
        let kept = at_most(&parts, 2);
        let names: Vec<_> = kept.iter().map(|p| p.name.as_str()).collect();
        assert_eq!(names, ["p4", "p5", "p6", "p7", "other"]);
        assert_eq!(stack(&kept, 2).last(), Some(&vec![28.0, 280.0]));
    }
}
