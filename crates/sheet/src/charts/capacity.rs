//! What sets of machines remove: as rated, and at the room's own air.

use std::fmt::Write;

use quantity::{Band, Dim, UnitSystem, Value};

use super::WIDTH_MM;
use super::kit::{Area, Axis, Scale, TITLE_MM, figure_title};
use crate::drawing::{Anchor, Drawing, Label, Letters, Role, Size, Stand, View, at, font};
use crate::shown::counts_held_together;

/// Compared sets of machines.
#[derive(Clone, Debug, PartialEq)]
pub struct CapacityChart {
    /// What the reader shall see, in a line.
    pub title: String,
    /// What it is, in a line; may be empty.
    pub subtitle: String,
    /// Sets from the top.
    pub rows: Vec<CapacityRow>,
    /// What is needed.
    pub need: Need,
}

/// One set of machines; capacities \[kg/s\].
#[derive(Clone, Debug, PartialEq)]
pub struct CapacityRow {
    /// Its name ("4 × generic-150").
    pub name: String,
    /// What stands under the name ("chosen"); may be empty.
    pub remark: String,
    /// As rated.
    pub rated: f64,
    /// At the room's air with lights on; `None` in a room that is never lit.
    pub lights_on: Option<f64>,
    /// At the room's air with lights off; `None` in a room that is always lit.
    pub lights_off: Option<f64>,
}

impl CapacityRow {
    /// Its bars from the top.
    fn bars(&self, two_periods: bool) -> impl Iterator<Item = (Role, &'static str, f64)> {
        let (on, off) = period_words(two_periods);
        [
            Some((Role::BarRated, "rated", self.rated)),
            self.lights_on.map(|v| (Role::BarDay, on, v)),
            self.lights_off.map(|v| (Role::BarNight, off, v)),
        ]
        .into_iter()
        .flatten()
    }
}

/// Names of the bars at room air; where there is one period only it needs none.
fn period_words(two_periods: bool) -> (&'static str, &'static str) {
    if two_periods {
        ("at room air, lights on", "at room air, lights off")
    } else {
        ("at room air", "at room air")
    }
}

/// Water to be removed \[kg/s\].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Need {
    /// With lights on.
    pub lights_on: Option<Band>,
    /// With lights off.
    pub lights_off: Option<Band>,
}

const LEFT_MM: f64 = 62.0;
const RIGHT_MM: f64 = WIDTH_MM - 14.0;
const BAR_MM: f64 = 3.4;
const BETWEEN_MM: f64 = 4.4;
const NEED_MM: f64 = 14.0;

/// Draws the chart.
pub fn capacity(chart: &CapacityChart, units: UnitSystem) -> Drawing {
    let top = TITLE_MM + NEED_MM;
    let most_bars = |period: fn(&CapacityRow) -> Option<f64>| {
        usize::from(chart.rows.iter().any(|r| period(r).is_some()))
    };
    let periods = most_bars(|r| r.lights_on) + most_bars(|r| r.lights_off);
    // Two lines of name and a remark need the height of three bars.
    let row_mm = 3.0 * BAR_MM + BETWEEN_MM;
    let bottom = top + row_mm * chart.rows.len().max(1) as f64;
    let size = Size {
        width_mm: WIDTH_MM,
        height_mm: bottom + 10.5,
    };
    let mut drawing = Drawing::new(size, chart.title.clone());
    let mut back = View::paper("frame");
    let mut front = View::paper("labels");
    figure_title(&mut back, &chart.title, &chart.subtitle);
    let scale = Scale::of(Dim::WaterRate, units);
    let needs = [chart.need.lights_on, chart.need.lights_off];
    let axis = Axis::around(
        chart
            .rows
            .iter()
            .flat_map(|r| r.bars(true).map(|b| b.2))
            .chain(
                needs
                    .iter()
                    .flatten()
                    .flat_map(|b| [b.low, b.likely, b.high]),
            )
            .map(|v| scale.show(v))
            .chain([0.0]),
        8,
    );
    let area = Area {
        left: LEFT_MM,
        top,
        right: RIGHT_MM,
        bottom,
    };
    let transform = area.transform((axis.low, axis.high), (0.0, 1.0));
    let x_mm = |si: f64| transform.to_paper(at(scale.show(si), 0.0)).x_mm;
    for t in axis.ticks() {
        let x = transform.to_paper(at(t, 0.0)).x_mm;
        back.line(Role::Grid, at(x, area.top), at(x, area.bottom));
        front.line(Role::Axis, at(x, area.bottom), at(x, area.bottom + 1.2));
        front.text(
            Role::Text,
            Label::new(axis.label(t), at(x, area.bottom + 2.0)).anchor(Anchor::Middle, Stand::Top),
        );
    }
    front.text(
        Role::Text,
        Label::new(
            format!("Water removed, {}", scale.unit),
            at((area.left + area.right) / 2.0, area.bottom + 6.0),
        )
        .letters(Letters::Note)
        .anchor(Anchor::Middle, Stand::Top),
    );
    let mut bars = View::paper("capacities");
    let mut alt = format!("{}.", chart.title.trim_end_matches('.'));
    for (i, row) in chart.rows.iter().enumerate() {
        let y = area.top + row_mm * i as f64 + BETWEEN_MM / 2.0;
        let name = font::in_two_lines(
            &counts_held_together(&row.name),
            LEFT_MM - 3.0,
            Letters::Note,
            Role::TextStrong,
        );
        let lines = name.len();
        for (k, line) in name.into_iter().enumerate() {
            front.text(
                Role::TextStrong,
                Label::new(line, at(0.0, y + 0.4 + 4.2 * k as f64))
                    .letters(Letters::Note)
                    .anchor(Anchor::Start, Stand::Top),
            );
        }
        if !row.remark.is_empty() {
            let remark = font::shortened(&row.remark, LEFT_MM - 3.0, Letters::Small, Role::Text);
            front.text(
                Role::Text,
                Label::new(remark, at(0.0, y + 0.6 + 4.4 * lines as f64))
                    .anchor(Anchor::Start, Stand::Top),
            );
        }
        let _ = write!(alt, " {}:", row.name);
        for (k, (role, word, v)) in row.bars(1 < periods).enumerate() {
            let value = Value::new(v, Dim::WaterRate);
            let top = y + BAR_MM * k as f64;
            let middle = top + BAR_MM / 2.0;
            let known = v.is_finite();
            let end = if known { x_mm(v) } else { area.left };
            if known && v > 0.0 {
                bars.rect(role, at(area.left, top), at(end, top + BAR_MM));
            }
            front.text(
                Role::Text,
                Label::new(value.number(units), at(end + 1.2, middle))
                    .anchor(Anchor::Start, Stand::Middle)
                    .halo(),
            );
            let _ = write!(alt, " {word} {},", value.show(units));
        }
        alt.pop();
        alt.push('.');
    }
    front.line(
        Role::Axis,
        at(area.left, area.top),
        at(area.left, area.bottom),
    );
    draw_needs(&mut bars, &mut front, &chart.need, &area, x_mm, units);
    legend(&mut front, chart, 1 < periods);
    drawing.alt = alt;
    drawing.views = vec![back, bars, front];
    drawing
}

/// What the bars are, in one line over the plot.
fn legend(front: &mut View, chart: &CapacityChart, two_periods: bool) {
    let y = TITLE_MM + 1.6;
    let mut x = LEFT_MM;
    let (on, off) = period_words(two_periods);
    for (role, word) in [
        (Role::BarRated, "as rated"),
        (Role::BarDay, on),
        (Role::BarNight, off),
    ] {
        let drawn = |r: &CapacityRow| r.bars(true).any(|b| b.0 == role);
        if !chart.rows.iter().any(drawn) {
            continue;
        }
        front.rect(role, at(x, y - 1.2), at(x + 5.0, y + 1.2));
        front.text(
            Role::Text,
            Label::new(word, at(x + 6.2, y)).anchor(Anchor::Start, Stand::Middle),
        );
        x += 6.2 + font::width_mm(word, Letters::Small, Role::Text) + 6.0;
    }
}

/// The needs as lines through all bars, named over them; low and high as ends
/// of a rule above.
fn draw_needs(
    bars: &mut View,
    front: &mut View,
    need: &Need,
    area: &Area,
    x_mm: impl Fn(f64) -> f64,
    units: UnitSystem,
) {
    let mut known: Vec<(Role, &str, Band)> = Vec::new();
    let (on, off) = if need.lights_on.is_some() && need.lights_off.is_some() {
        ("needed, lights on", "needed, lights off")
    } else {
        ("needed", "needed")
    };
    for (role, word, band) in [
        (Role::NeedDay, on, need.lights_on),
        (Role::NeedNight, off, need.lights_off),
    ] {
        if let Some(b) =
            band.filter(|b| b.low.is_finite() && b.likely.is_finite() && b.high.is_finite())
        {
            known.push((role, word, b));
        }
    }
    let texts: Vec<String> = known
        .iter()
        .map(|(_, word, b)| {
            let n = |v: f64| Value::new(v, Dim::WaterRate).number(units);
            if b.is_spread() {
                format!("{word}: {} ({} to {})", n(b.likely), n(b.low), n(b.high))
            } else {
                format!("{word}: {}", n(b.likely))
            }
        })
        .collect();
    for (k, ((role, _, b), text)) in known.iter().zip(&texts).enumerate() {
        let y = TITLE_MM + 6.4 + 4.6 * k as f64;
        let x = x_mm(b.likely);
        bars.line(*role, at(x, y), at(x, area.bottom));
        if b.is_spread() {
            let (a, c) = (x_mm(b.low), x_mm(b.high));
            let rule = Role::Limit;
            bars.line(rule, at(a, y), at(c, y));
            for e in [a, c] {
                bars.line(rule, at(e, y - 1.0), at(e, y + 1.0));
            }
        }
        let right = x_mm(b.high).max(x) + 2.0;
        let w = font::width_mm(text, Letters::Small, Role::Text);
        // Away from the other need's line.
        let left_is_free = x_mm(b.low).min(x) - 2.0 - w > 0.0;
        let others_right = known.iter().any(|o| o.2.likely > b.likely);
        let label = if right + w < WIDTH_MM && !(others_right && left_is_free) {
            Label::new(text, at(right, y)).anchor(Anchor::Start, Stand::Middle)
        } else {
            Label::new(text, at(x_mm(b.low).min(x) - 2.0, y)).anchor(Anchor::End, Stand::Middle)
        };
        front.text(Role::Text, label.halo());
    }
}
