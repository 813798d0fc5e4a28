//! The day as curves: panels over one time axis, bars of running machines.

use std::fmt::Write;

use quantity::{Dim, UnitSystem};

use super::behind;
use super::columns;
use super::kit::{
    Area, Axis, Scale, TIME_AXIS_MM, TITLE_MM, TimeAxis, between, decimals, figure_title, number,
    runs, shade, spread_out,
};
use super::{Hours, WIDTH_MM};
use crate::drawing::{Anchor, Drawing, Label, Letters, Role, Shape, Size, Stand, View, at, font};

/// Panels over one time axis.
#[derive(Clone, Debug, PartialEq)]
pub struct DayChart {
    /// What the reader shall see, in a line.
    pub title: String,
    /// What it is, in a line; may be empty.
    pub subtitle: String,
    /// The time axis.
    pub hours: Hours,
    /// The part of it that is shown; `None` for all of it.
    pub shown: Option<Hours>,
    /// Day since 1970 of hour 0, where the axis shall tell dates.
    pub first_day: Option<i64>,
    /// What the clock shows at hour 0 of the time axis \[h\].
    pub start_clock_h: f64,
    /// Hours with lights off.
    pub nights: Vec<Hours>,
    /// Panels from the top.
    pub panels: Vec<Panel>,
    /// Machines under the panels.
    pub runs: Vec<RunRow>,
}

/// One quantity over time.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// The quantity in words ("Dry bulb").
    pub name: String,
    /// Its kind.
    pub dim: Dim,
    /// Curves; the first one is what the target is for.
    pub series: Vec<Series>,
    /// Spread of the first curve.
    pub spread: Option<Spread>,
    /// Where the quantity shall be.
    pub targets: Vec<Target>,
    /// Times outside the target, as found by whoever judged them.
    pub outside: Vec<Hours>,
    /// Whether the axis holds zero.
    pub zero: ZeroLine,
}

/// A curve: hour of the time axis, value in SI.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Its name; shown where a panel has more than one.
    pub name: String,
    /// Its points.
    pub points: Vec<(f64, f64)>,
}

/// 10th and 90th percentile over time.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// What it is the 10th to 90th percentile of ("draws").
    pub of: &'static str,
    /// Hour, low and high in SI.
    pub points: Vec<(f64, f64, f64)>,
}

/// Limits for some hours, in SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Target {
    /// When.
    pub hours: Hours,
    /// Not below.
    pub low: Option<f64>,
    /// Not above.
    pub high: Option<f64>,
}

/// Whether an axis holds zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ZeroLine {
    /// The axis fits the data.
    Free,
    /// The axis holds zero, drawn as a line.
    Shown,
}

/// When one machine runs.
#[derive(Clone, Debug, PartialEq)]
pub struct RunRow {
    /// Its tag.
    pub tag: String,
    /// Hours in which it runs.
    pub running: Vec<Hours>,
    /// Hours in which it waits for its own timer or defrosts.
    pub waiting: Vec<Hours>,
    /// Starts \[1/h\], mean of the day.
    pub starts_per_h: f64,
}

const LEFT_MM: f64 = 14.0;
const RIGHT_MM: f64 = WIDTH_MM - 28.0;
const PANEL_MM: f64 = 25.0;
const HEAD_MM: f64 = 7.0;
const STRIP_MM: f64 = 2.0;
const ROW_MM: f64 = 4.6;

/// Draws the chart.
pub fn day(chart: &DayChart, units: UnitSystem) -> Drawing {
    let whole_time = TimeAxis::new(chart.hours, chart.start_clock_h);
    let shown = chart.shown.and_then(|s| whole_time.clip(s));
    let time = TimeAxis::new(shown.unwrap_or(whole_time.hours), chart.start_clock_h)
        .dated(chart.first_day);
    let panel_pitch = HEAD_MM + PANEL_MM + STRIP_MM + 1.6;
    let bars = if chart.runs.is_empty() {
        0.0
    } else {
        HEAD_MM + ROW_MM * chart.runs.len() as f64
    };
    let bottom = TITLE_MM + panel_pitch * chart.panels.len() as f64 + bars + 3.4;
    let size = Size {
        width_mm: WIDTH_MM,
        height_mm: bottom + TIME_AXIS_MM,
    };
    let mut drawing = Drawing::new(size, chart.title.clone());
    let mut back = View::paper("frame");
    let mut front = View::paper("labels");
    figure_title(&mut back, &chart.title, &chart.subtitle);
    let whole = Area {
        left: LEFT_MM,
        top: TITLE_MM + HEAD_MM,
        right: RIGHT_MM,
        bottom,
    };
    shade(&mut back, &time, &chart.nights, &whole);
    let grid = whole.transform((time.hours.from_h, time.hours.to_h), (0.0, 1.0));
    for h in time.ticks() {
        let x = grid.to_paper(at(h, 0.0)).x_mm;
        back.line(Role::Grid, at(x, whole.top), at(x, whole.bottom));
    }
    for n in chart.nights.iter().filter_map(|n| time.clip(*n)) {
        // In the strip over the time axis, which nothing else uses.
        let x = |h: f64| grid.to_paper(at(h, 0.0)).x_mm;
        if x(n.to_h) - x(n.from_h) > 16.0 {
            back.text(
                Role::TextQuiet,
                Label::new(
                    "lights off",
                    at(f64::midpoint(x(n.from_h), x(n.to_h)), bottom - 1.0),
                )
                .anchor(Anchor::Middle, Stand::Base),
            );
        }
    }
    drawing.views.push(back);
    let mut alt = format!("{}.", chart.title.trim_end_matches('.'));
    for (i, panel) in chart.panels.iter().enumerate() {
        let top = TITLE_MM + panel_pitch * i as f64 + HEAD_MM;
        let area = Area {
            left: LEFT_MM,
            top,
            right: RIGHT_MM,
            bottom: top + PANEL_MM,
        };
        let (view, words) = draw_panel(&mut front, panel, &time, &area, units);
        drawing.views.push(view);
        let _ = write!(alt, " {words}.");
    }
    if !chart.runs.is_empty() {
        let top = TITLE_MM + panel_pitch * chart.panels.len() as f64;
        draw_runs(&mut front, &chart.runs, &time, shown.is_some(), top);
        for r in &chart.runs {
            let _ = write!(
                alt,
                " {}: {} starts per hour.",
                r.tag,
                number(starts_per_h(r, &time, shown.is_some()), 1)
            );
        }
    }
    time.draw(&mut front, &whole);
    drawing.views.push(front);
    let plots = Area {
        bottom: TITLE_MM + panel_pitch * chart.panels.len() as f64,
        ..whole
    };
    drawing.behind = Some(Box::new(behind::of_day(chart, &whole_time, &time, &plots)));
    drawing.alt = alt;
    drawing
}

fn head(panel: &Panel, time: &TimeAxis, scale: &Scale, step: f64) -> (String, String) {
    let name = if scale.unit.is_empty() {
        panel.name.clone()
    } else {
        format!("{}, {}", panel.name, scale.unit)
    };
    let mut says = String::new();
    // Extremes of the first curve, where it is the only one.
    if let [series] = panel.series.as_slice() {
        let points = columns::within(&series.points, time.hours);
        let known = || points.iter().map(|p| p.1).filter(|y| y.is_finite());
        if known().next().is_some() {
            let low = known().fold(f64::INFINITY, f64::min);
            let high = known().fold(f64::NEG_INFINITY, f64::max);
            let d = decimals(step).max(1);
            let _ = write!(
                says,
                "{} to {}, mean {}",
                number(scale.show(low), d),
                number(scale.show(high), d),
                number(scale.show(mean(&points)), d),
            );
        }
    }
    let outside: f64 = panel
        .outside
        .iter()
        .filter_map(|h| time.clip(*h))
        .map(|h| h.to_h - h.from_h)
        .filter(|h| h.is_finite())
        .sum();
    if outside > 0.0 {
        if !says.is_empty() {
            says.push_str("; ");
        }
        let _ = write!(says, "outside the target {} h", number(outside, 1));
    }
    (name, says)
}

/// Mean over time of a curve; plain mean where it has no length in time.
fn mean(points: &[(f64, f64)]) -> f64 {
    let known: Vec<_> = points
        .iter()
        .filter(|p| p.0.is_finite() && p.1.is_finite())
        .collect();
    let (mut sum, mut hours) = (0.0, 0.0);
    for pair in known.windows(2) {
        let dt = pair[1].0 - pair[0].0;
        sum += dt * (pair[0].1 + pair[1].1) / 2.0;
        hours += dt;
    }
    if hours > 0.0 {
        sum / hours
    } else {
        known.iter().map(|p| p.1).sum::<f64>() / known.len() as f64
    }
}

fn draw_panel(
    front: &mut View,
    panel: &Panel,
    time: &TimeAxis,
    area: &Area,
    units: UnitSystem,
) -> (View, String) {
    let scale = Scale::of(panel.dim, units);
    let on_axis = |h: f64| h >= time.hours.from_h - 1e-9 && h <= time.hours.to_h + 1e-9;
    let curves: Vec<Vec<(f64, f64)>> = panel
        .series
        .iter()
        .map(|s| columns::extremes(&columns::within(&s.points, time.hours), time.hours))
        .collect();
    let values = curves
        .iter()
        .flat_map(|c| c.iter().map(|p| p.1))
        .chain(
            panel
                .spread
                .iter()
                .flat_map(|s| s.points.iter().filter(|p| on_axis(p.0)))
                .flat_map(|p| [p.1, p.2]),
        )
        .chain(panel.targets.iter().flat_map(|t| [t.low, t.high]).flatten())
        .map(|si| scale.show(si));
    let zero = (panel.zero == ZeroLine::Shown).then_some(0.0);
    let mut values: Vec<f64> = values.chain(zero).filter(|y| y.is_finite()).collect();
    // Room for the numbers over and under limits.
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let room = 0.16 * (high - low);
    for t in &panel.targets {
        values.extend(
            t.low
                .map(|y| scale.show(y) - room)
                .filter(|y| y.is_finite()),
        );
        values.extend(
            t.high
                .map(|y| scale.show(y) + room)
                .filter(|y| y.is_finite()),
        );
    }
    let axis = Axis::around(values, 5);
    let mut view = View::new(
        panel.name.clone(),
        area.transform((time.hours.from_h, time.hours.to_h), (axis.low, axis.high)),
    );
    let clamp = |y: f64| y.clamp(axis.low, axis.high);
    // Targets first, so that the grid stays visible over them.
    for t in &panel.targets {
        let Some(h) = time.clip(t.hours) else {
            continue;
        };
        let low = t.low.map_or(axis.low, |y| clamp(scale.show(y)));
        let high = t.high.map_or(axis.high, |y| clamp(scale.show(y)));
        view.rect(Role::Target, at(h.from_h, low), at(h.to_h, high));
    }
    for y in axis.ticks() {
        view.line(Role::Grid, at(time.hours.from_h, y), at(time.hours.to_h, y));
        let p = view.transform.to_paper(at(time.hours.from_h, y));
        front.line(Role::Axis, at(p.x_mm - 1.2, p.y_mm), at(p.x_mm, p.y_mm));
        front.text(
            Role::Text,
            Label::new(axis.label(y), at(p.x_mm - 2.0, p.y_mm)).anchor(Anchor::End, Stand::Middle),
        );
    }
    if let Some(s) = &panel.spread {
        for run in spread_runs(s, &scale, on_axis) {
            view.push(Role::Spread, run);
        }
    }
    if panel.zero == ZeroLine::Shown {
        view.line(
            Role::Zero,
            at(time.hours.from_h, 0.0),
            at(time.hours.to_h, 0.0),
        );
    }
    for t in &panel.targets {
        let Some(h) = time.clip(t.hours) else {
            continue;
        };
        for y in [t.low, t.high].into_iter().flatten() {
            let y = clamp(scale.show(y));
            view.line(Role::Limit, at(h.from_h, y), at(h.to_h, y));
        }
    }
    for (i, curve) in curves.iter().enumerate() {
        let points = curve.iter().map(|p| at(p.0, scale.show(p.1)));
        for run in runs(points) {
            view.push(Role::Series(i.min(3) as u8), Shape::Polyline(run));
        }
    }
    front.line(
        Role::Axis,
        at(area.left, area.top),
        at(area.left, area.bottom),
    );
    front.line(
        Role::Axis,
        at(area.left, area.bottom),
        at(area.right, area.bottom),
    );
    outside_strip(front, panel, time, area);
    inner_limits(front, panel, &scale, &axis, &view, time, area);
    right_labels(front, panel, &scale, &axis, &view, time, area);
    let (name, says) = head(panel, time, &scale, axis.step);
    front.text(
        Role::TextStrong,
        Label::new(name.clone(), at(0.0, area.top - 2.6)).letters(Letters::Note),
    );
    if !says.is_empty() {
        front.text(
            Role::Text,
            Label::new(says.clone(), at(RIGHT_MM, area.top - 2.6)).anchor(Anchor::End, Stand::Base),
        );
    }
    let words = if says.is_empty() {
        name
    } else {
        format!("{name}: {says}")
    };
    (view, words)
}

fn spread_runs(s: &Spread, scale: &Scale, on_axis: impl Fn(f64) -> bool) -> Vec<Shape> {
    let mut out = Vec::new();
    let (mut low, mut high) = (Vec::new(), Vec::new());
    let mut close = |low: &mut Vec<_>, high: &mut Vec<_>| {
        if low.len() > 1 {
            out.push(between(high, low));
        }
        low.clear();
        high.clear();
    };
    for (h, a, b) in &s.points {
        if on_axis(*h) && a.is_finite() && b.is_finite() {
            low.push(at(*h, scale.show(*a)));
            high.push(at(*h, scale.show(*b)));
        } else {
            close(&mut low, &mut high);
        }
    }
    close(&mut low, &mut high);
    out
}

/// Times outside the target, hatched in a strip under the panel.
fn outside_strip(front: &mut View, panel: &Panel, time: &TimeAxis, area: &Area) {
    let t = area.transform((time.hours.from_h, time.hours.to_h), (0.0, 1.0));
    for h in panel.outside.iter().filter_map(|h| time.clip(*h)) {
        let (a, b) = (
            t.to_paper(at(h.from_h, 0.0)).x_mm,
            t.to_paper(at(h.to_h, 0.0)).x_mm,
        );
        front.rect(
            Role::Missed,
            at(a, area.bottom),
            at(b.max(a + 0.4), area.bottom + STRIP_MM),
        );
    }
}

/// A limit with no more decimals than it needs, at most one beyond the ticks.
fn limit_number(y: f64, axis: &Axis) -> String {
    let d = decimals(axis.step);
    let exact = (d..=d + 1).find(|d| {
        let k = 10f64.powi(*d as i32);
        ((y * k).round() / k - y).abs() < 1e-3 * axis.step
    });
    number(y, exact.unwrap_or(d + 1))
}

/// Numbers of limits that end before the right end, at their own end: over the
/// upper limit, under the lower one.
fn inner_limits(
    front: &mut View,
    panel: &Panel,
    scale: &Scale,
    axis: &Axis,
    view: &View,
    time: &TimeAxis,
    area: &Area,
) {
    let mut said: Vec<f64> = Vec::new();
    for t in &panel.targets {
        let Some(h) = time.clip(t.hours) else {
            continue;
        };
        let reaches_end = |t: &Target| t.hours.to_h >= time.hours.to_h - 1e-9;
        if reaches_end(t) {
            continue;
        }
        for (y, upper) in [(t.low, false), (t.high, true)] {
            let Some(y) = y.map(|y| scale.show(y)).filter(|y| y.is_finite()) else {
                continue;
            };
            // The same limit holds again later, or was said before.
            let again = panel.targets.iter().any(|o| {
                reaches_end(o)
                    && [o.low, o.high]
                        .into_iter()
                        .flatten()
                        .any(|v| (scale.show(v) - y).abs() < 1e-9)
            });
            if again || said.iter().any(|s| (s - y).abs() < 1e-9) {
                continue;
            }
            said.push(y);
            let p = view
                .transform
                .to_paper(at(h.to_h, y.clamp(axis.low, axis.high)));
            let over = (upper && p.y_mm - area.top > 3.0) || area.bottom - p.y_mm < 3.0;
            let (shift, stand) = if over {
                (-0.8, Stand::Base)
            } else {
                (0.9, Stand::Top)
            };
            front.text(
                Role::Text,
                Label::new(
                    format!("limit {}", limit_number(y, axis)),
                    at(p.x_mm - 1.0, p.y_mm + shift),
                )
                .anchor(Anchor::End, stand),
            );
        }
    }
}

/// Names of curves, or the numbers of the targets, at the right end.
fn right_labels(
    front: &mut View,
    panel: &Panel,
    scale: &Scale,
    axis: &Axis,
    view: &View,
    time: &TimeAxis,
    area: &Area,
) {
    let mut labels: Vec<(f64, String)> = Vec::new();
    let y_mm = |y: f64| view.transform.to_paper(at(0.0, y)).y_mm;
    if panel.series.len() > 1 {
        for s in &panel.series {
            let last = s
                .points
                .iter()
                .rev()
                .find(|p| p.1.is_finite() && p.0 <= time.hours.to_h + 1e-9);
            if let Some(p) = last {
                labels.push((y_mm(scale.show(p.1)), s.name.clone()));
            }
        }
    }
    // Limits that reach the right end; the others carry their number themselves.
    let mut limits: Vec<f64> = Vec::new();
    for t in &panel.targets {
        if t.hours.to_h < time.hours.to_h - 1e-9 {
            continue;
        }
        for y in [t.low, t.high].into_iter().flatten() {
            let y = scale.show(y);
            if y.is_finite() && !limits.iter().any(|l| (l - y).abs() < 1e-9) {
                limits.push(y);
            }
        }
    }
    for y in limits {
        labels.push((y_mm(y), format!("limit {}", limit_number(y, axis))));
    }
    let last_spread = panel
        .spread
        .iter()
        .flat_map(|s| s.points.iter().rev().map(|p| (p, s.of)))
        .find(|(p, _)| p.0 <= time.hours.to_h + 1e-9 && p.1.is_finite() && p.2.is_finite());
    if let Some(((_, low, high), of)) = last_spread {
        let middle = scale.show((low + high) / 2.0);
        labels.push((y_mm(middle), format!("10–90 % of {of}")));
    }
    let wanted: Vec<f64> = labels.iter().map(|l| l.0).collect();
    let placed = spread_out(&wanted, 3.2, area.top + 1.0, area.bottom - 1.0);
    for ((y, text), to) in labels.iter().zip(placed) {
        let room = WIDTH_MM - area.right - 4.0;
        let text = font::shortened(text, room, Letters::Small, Role::Text);
        if (y - to).abs() > 0.3 {
            front.line(
                Role::Leader,
                at(area.right + 0.4, *y),
                at(area.right + 2.6, to),
            );
        } else {
            front.line(
                Role::Leader,
                at(area.right + 0.4, to),
                at(area.right + 2.6, to),
            );
        }
        front.text(
            Role::Text,
            Label::new(text, at(area.right + 3.2, to)).anchor(Anchor::Start, Stand::Middle),
        );
    }
}

/// Starts of a machine: of the whole day, or of the part that is shown.
fn starts_per_h(row: &RunRow, time: &TimeAxis, is_part: bool) -> f64 {
    if !is_part {
        return row.starts_per_h;
    }
    let (from, to) = (time.hours.from_h, time.hours.to_h);
    let starts = row
        .running
        .iter()
        .filter(|r| from < r.from_h && r.from_h < to);
    starts.count() as f64 / (to - from)
}

fn draw_runs(front: &mut View, rows: &[RunRow], time: &TimeAxis, is_part: bool, top: f64) {
    front.text(
        Role::TextStrong,
        Label::new("Running", at(0.0, top + HEAD_MM - 2.2)).letters(Letters::Note),
    );
    front.text(
        Role::Text,
        Label::new("starts/h", at(RIGHT_MM + 3.2, top + HEAD_MM - 1.6)),
    );
    if rows.iter().any(|r| !r.waiting.is_empty()) {
        let y = top + HEAD_MM - 2.6;
        let x = RIGHT_MM - 58.0;
        front.rect(Role::Running, at(x, y - 1.0), at(x + 5.0, y + 1.0));
        front.text(
            Role::Text,
            Label::new("runs", at(x + 6.2, y)).anchor(Anchor::Start, Stand::Middle),
        );
        front.rect(Role::Waiting, at(x + 16.0, y - 1.0), at(x + 21.0, y + 1.0));
        front.text(
            Role::Text,
            Label::new("waits or defrosts", at(x + 22.2, y)).anchor(Anchor::Start, Stand::Middle),
        );
    }
    for (i, row) in rows.iter().enumerate() {
        let y = top + HEAD_MM + ROW_MM * i as f64;
        let area = Area {
            left: LEFT_MM,
            top: y,
            right: RIGHT_MM,
            bottom: y + 3.0,
        };
        let t = area.transform((time.hours.from_h, time.hours.to_h), (0.0, 1.0));
        let mut bars = |hours: &[Hours], role: Role| {
            let clipped = hours.iter().filter_map(|h| time.clip(*h)).collect();
            for h in columns::joined(clipped, time.hours) {
                let (a, b) = (
                    t.to_paper(at(h.from_h, 0.0)).x_mm,
                    t.to_paper(at(h.to_h, 0.0)).x_mm,
                );
                front.rect(role, at(a, area.top), at(b, area.bottom));
            }
        };
        bars(&row.waiting, Role::Waiting);
        bars(&row.running, Role::Running);
        let middle = y + 1.5;
        let tag = font::shortened(&row.tag, LEFT_MM - 2.4, Letters::Small, Role::Text);
        front.text(
            Role::Text,
            Label::new(tag, at(LEFT_MM - 2.0, middle)).anchor(Anchor::End, Stand::Middle),
        );
        front.text(
            Role::Text,
            Label::new(
                number(starts_per_h(row, time, is_part), 1),
                at(RIGHT_MM + 3.2, middle),
            )
            .anchor(Anchor::Start, Stand::Middle),
        );
    }
}
