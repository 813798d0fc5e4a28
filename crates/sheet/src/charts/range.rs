//! Low, likely and high of one quantity in several cases.

use std::fmt::Write;

use quantity::{Band, Dim, UnitSystem, Value};

use super::WIDTH_MM;
use super::behind;
use super::kit::{Area, Axis, Scale, TITLE_MM, figure_title};
use crate::drawing::{
    Anchor, Drawing, Label, Letters, PaperPoint, Role, Size, Stand, View, at, font,
};
use crate::report::{Cell, Column};
use crate::shown::pad_decimals;

/// Ranges on one axis.
#[derive(Clone, Debug, PartialEq)]
pub struct RangeChart {
    /// What the reader shall see, in a line.
    pub title: String,
    /// What it is, in a line; may be empty.
    pub subtitle: String,
    /// Name of the quantity ("Water given off").
    pub quantity: String,
    /// Its kind.
    pub dim: Dim,
    /// Cases from the top.
    pub rows: Vec<RangeRow>,
}

/// One case.
#[derive(Clone, Debug, PartialEq)]
pub struct RangeRow {
    /// Its name ("lights on").
    pub name: String,
    /// Low, likely, high in SI.
    pub band: Band,
}

const LEFT_MM: f64 = 44.0;
const RIGHT_MM: f64 = WIDTH_MM - 44.0;
const ROW_MM: f64 = 7.0;

/// Draws the chart.
pub fn range(chart: &RangeChart, units: UnitSystem) -> Drawing {
    let top = TITLE_MM + 4.0;
    let bottom = top + ROW_MM * chart.rows.len().max(1) as f64;
    let size = Size {
        width_mm: WIDTH_MM,
        height_mm: bottom + 10.5,
    };
    let mut drawing = Drawing::new(size, chart.title.clone());
    let mut back = View::paper("frame");
    let mut front = View::paper("ranges");
    figure_title(&mut back, &chart.title, &chart.subtitle);
    let scale = Scale::of(chart.dim, units);
    let axis = Axis::around(
        chart
            .rows
            .iter()
            .flat_map(|r| [r.band.low, r.band.likely, r.band.high])
            .map(|v| scale.show(v))
            .chain([0.0]),
        7,
    );
    let area = Area {
        left: LEFT_MM,
        top,
        right: RIGHT_MM,
        bottom,
    };
    let transform = area.transform((axis.low, axis.high), (0.0, 1.0));
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
            format!("{}, {}", chart.quantity, scale.unit),
            at((area.left + area.right) / 2.0, area.bottom + 6.0),
        )
        .letters(Letters::Note)
        .anchor(Anchor::Middle, Stand::Top),
    );
    let columns = [RIGHT_MM + 13.0, RIGHT_MM + 28.0, WIDTH_MM - 1.0];
    for (x, word) in columns.iter().zip(["low", "likely", "high"]) {
        front.text(
            Role::TextQuiet,
            Label::new(word, at(*x, area.top - 1.4)).anchor(Anchor::End, Stand::Base),
        );
    }
    let mut printed: Vec<Vec<String>> = chart
        .rows
        .iter()
        .map(|r| {
            [r.band.low, r.band.likely, r.band.high]
                .map(|v| Value::new(v, chart.dim).number(units))
                .to_vec()
        })
        .collect();
    for k in 0..columns.len() {
        pad_decimals(printed.iter_mut().map(|r| &mut r[k]).collect());
    }
    let mut alt = format!("{}.", chart.title.trim_end_matches('.'));
    for (i, row) in chart.rows.iter().enumerate() {
        let y = area.top + ROW_MM * (i as f64 + 0.5);
        let name = font::shortened(&row.name, LEFT_MM - 3.0, Letters::Note, Role::Text);
        front.text(
            Role::Text,
            Label::new(name, at(0.0, y))
                .letters(Letters::Note)
                .anchor(Anchor::Start, Stand::Middle),
        );
        let all = [row.band.low, row.band.likely, row.band.high];
        let x = all.map(|v| transform.to_paper(at(scale.show(v), 0.0)).x_mm);
        if x.iter().all(|x| x.is_finite()) {
            front.rect(Role::Spread, at(x[0], y - 1.8), at(x[2], y + 1.8));
            front.line(Role::Total, at(x[1], y - 2.4), at(x[1], y + 2.4));
        }
        for (x, number) in columns.iter().zip(&printed[i]) {
            front.text(
                Role::Text,
                Label::new(number, at(*x, y)).anchor(Anchor::End, Stand::Middle),
            );
        }
        let show = |v: f64| Value::new(v, chart.dim).show(units);
        let _ = write!(
            alt,
            " {}: {}, from {} to {}.",
            row.name,
            show(row.band.likely),
            show(row.band.low),
            show(row.band.high)
        );
    }
    front.line(
        Role::Axis,
        at(area.left, area.top),
        at(area.left, area.bottom),
    );
    let mut columns = vec![Column::words("")];
    columns.extend(["Low", "Likely", "High"].map(|head| Column::of(head, chart.dim)));
    let points = chart.rows.iter().enumerate().map(|(i, row)| {
        let all = [row.band.low, row.band.likely, row.band.high];
        let numbers = all.map(|si| Cell::from(Value::new(si, chart.dim)));
        let cells = std::iter::once(Cell::from(row.name.clone())).chain(numbers);
        let likely = transform
            .to_paper(at(scale.show(row.band.likely), 0.0))
            .x_mm;
        let y_mm = area.top + ROW_MM * (i as f64 + 0.5);
        (cells.collect(), PaperPoint { x_mm: likely, y_mm })
    });
    drawing.behind = Some(Box::new(behind::of_points(columns, points)));
    drawing.alt = alt;
    drawing.views = vec![back, front];
    drawing
}
