//! What a machine removes over dry bulb, a curve for each relative humidity,
//! with the points of its datasheet.

use std::fmt::Write;

use quantity::{Dim, UnitSystem, Value};

use super::WIDTH_MM;
use super::behind;
use super::kit::{Area, Axis, Scale, TITLE_MM, figure_title};
use crate::drawing::{Anchor, Drawing, Label, Letters, Mark, Role, Shape, Size, Stand, View, at};
use crate::report::{Cell, Column};

/// A machine's map.
#[derive(Clone, Debug, PartialEq)]
pub struct MapChart {
    /// What the reader shall see, in a line.
    pub title: String,
    /// What it is, in a line; may be empty.
    pub subtitle: String,
    /// Curves, the most humid first.
    pub curves: Vec<MapCurve>,
    /// Points of the datasheet.
    pub points: Vec<MapPoint>,
}

/// Removal at one relative humidity.
#[derive(Clone, Debug, PartialEq)]
pub struct MapCurve {
    /// Relative humidity, 0 to 1.
    pub rel_humidity: f64,
    /// Dry bulb \[°C\] and removal \[kg/s\].
    pub states: Vec<(f64, f64)>,
}

/// A point of a datasheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MapPoint {
    /// Dry bulb \[°C\].
    pub dry_bulb_c: f64,
    /// Relative humidity, 0 to 1.
    pub rel_humidity: f64,
    /// Removal \[kg/s\].
    pub removal_kg_per_s: f64,
}

const LEFT_MM: f64 = 16.0;
const RIGHT_MM: f64 = WIDTH_MM - 22.0;
const HEIGHT_MM: f64 = 92.0;

/// Draws the chart.
pub fn map(chart: &MapChart, units: UnitSystem) -> Drawing {
    let area = Area {
        left: LEFT_MM,
        top: TITLE_MM + 5.0,
        right: RIGHT_MM,
        bottom: HEIGHT_MM - 12.0,
    };
    let size = Size {
        width_mm: WIDTH_MM,
        height_mm: HEIGHT_MM,
    };
    let mut drawing = Drawing::new(size, chart.title.clone());
    let (warmth, water) = (
        Scale::of(Dim::Temperature, units),
        Scale::of(Dim::WaterRate, units),
    );
    let of_curves = chart.curves.iter().flat_map(|c| c.states.iter().copied());
    let of_points = chart
        .points
        .iter()
        .map(|p| (p.dry_bulb_c, p.removal_kg_per_s));
    let all: Vec<(f64, f64)> = of_curves.chain(of_points).collect();
    let x = Axis::around(all.iter().map(|s| warmth.show(s.0)), 8);
    let y = Axis::around(all.iter().map(|s| water.show(s.1)).chain([0.0]), 7);
    let transform = area.transform((x.low, x.high), (y.low, y.high));
    let mut back = View::paper("frame");
    let mut curves = View::new("map", transform);
    let mut front = View::paper("labels");
    figure_title(&mut back, &chart.title, &chart.subtitle);
    axes(&mut back, &area, (&x, &y), (&warmth, &water));
    let shown = |(t, m): (f64, f64)| at(warmth.show(t), water.show(m));
    for curve in &chart.curves {
        let points: Vec<_> = curve.states.iter().map(|s| shown(*s)).collect();
        if let Some(end) = points.last() {
            let end = transform.to_paper(*end);
            front.text(
                Role::Text,
                Label::new(
                    format!("{:.0} % RH", 100.0 * curve.rel_humidity),
                    at(end.x_mm + 1.5, end.y_mm),
                )
                .anchor(Anchor::Start, Stand::Middle),
            );
        }
        curves.push(Role::LightsOn, Shape::Polyline(points));
    }
    for point in &chart.points {
        let p = shown((point.dry_bulb_c, point.removal_kg_per_s));
        curves.mark(Role::Outline, Mark::Ring, p);
        front.text(
            Role::Text,
            Label::new(
                format!("{:.0} %", 100.0 * point.rel_humidity),
                at(
                    transform.to_paper(p).x_mm + 1.6,
                    transform.to_paper(p).y_mm - 1.2,
                ),
            )
            .letters(Letters::Note)
            .anchor(Anchor::Start, Stand::Base)
            .halo(),
        );
    }
    let columns = vec![
        Column::of("Inlet dry bulb", Dim::Temperature),
        Column::of("RH", Dim::RelHumidity),
        Column::of("Removal", Dim::WaterRate),
    ];
    let of_curves = chart
        .curves
        .iter()
        .flat_map(|c| c.states.iter().map(|s| (s.0, c.rel_humidity, s.1)));
    let of_sheet = chart
        .points
        .iter()
        .map(|p| (p.dry_bulb_c, p.rel_humidity, p.removal_kg_per_s));
    let points = of_sheet.chain(of_curves).map(|(t, rh, m)| {
        let cells = vec![
            Cell::from(Value::new(t, Dim::Temperature)),
            Cell::from(Value::new(rh, Dim::RelHumidity).digits(2)),
            Cell::from(Value::new(m, Dim::WaterRate)),
        ];
        (cells, transform.to_paper(shown((t, m))))
    });
    drawing.behind = Some(Box::new(behind::of_points(columns, points)));
    drawing.alt = alt(chart, units);
    drawing.views = vec![back, curves, front];
    drawing
}

fn axes(back: &mut View, area: &Area, (x, y): (&Axis, &Axis), (warmth, water): (&Scale, &Scale)) {
    let t = area.transform((x.low, x.high), (y.low, y.high));
    for tick in x.ticks() {
        let p = t.to_paper(at(tick, y.low));
        back.line(Role::Grid, at(p.x_mm, area.top), at(p.x_mm, area.bottom));
        back.text(
            Role::Text,
            Label::new(x.label(tick), at(p.x_mm, area.bottom + 2.0))
                .anchor(Anchor::Middle, Stand::Top),
        );
    }
    for tick in y.ticks() {
        let p = t.to_paper(at(x.low, tick));
        back.line(Role::Grid, at(area.left, p.y_mm), at(area.right, p.y_mm));
        back.text(
            Role::Text,
            Label::new(y.label(tick), at(area.left - 1.5, p.y_mm))
                .anchor(Anchor::End, Stand::Middle),
        );
    }
    back.text(
        Role::Text,
        Label::new(
            format!("Inlet dry bulb, {}", warmth.unit),
            at((area.left + area.right) / 2.0, area.bottom + 6.0),
        )
        .letters(Letters::Note)
        .anchor(Anchor::Middle, Stand::Top),
    );
    back.text(
        Role::Text,
        Label::new(
            format!(
                "Water removed, {}; rings are points of the datasheet with their relative humidity",
                water.unit
            ),
            at(0.0, area.top - 2.0),
        )
        .letters(Letters::Note)
        .anchor(Anchor::Start, Stand::Base),
    );
}

fn alt(chart: &MapChart, units: UnitSystem) -> String {
    let mut alt = format!("{}.", chart.title.trim_end_matches('.'));
    for curve in &chart.curves {
        if let (Some(first), Some(last)) = (curve.states.first(), curve.states.last()) {
            let show = |(t, m): (f64, f64)| {
                (
                    Value::new(t, Dim::Temperature).show(units),
                    Value::new(m, Dim::WaterRate).show(units),
                )
            };
            let ((t_0, m_0), (t_1, m_1)) = (show(*first), show(*last));
            // Writing to a String cannot fail.
            let _ = write!(
                alt,
                " At {:.0} % RH: {m_0} at {t_0}, {m_1} at {t_1}.",
                100.0 * curve.rel_humidity
            );
        }
    }
    alt
}
