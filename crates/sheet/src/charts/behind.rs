//! The numbers behind a chart: a table, and where on paper each of its rows
//! stands. The table under a chart and the read-out on it come from here.

use quantity::{Dim, Value};

use super::day::DayChart;
use super::kit::{Area, clock};
use super::load::LoadChart;
use super::psychrometric::PathPoint;
use super::{Hours, Period, Series};
use crate::drawing::{PaperPoint, at};
use crate::report::{Cell, Column, Table};

/// Time between rows of a day \[h\]: as fine as machines that switch are shown.
const STEP_H: f64 = 0.25;

/// Numbers behind a chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Behind {
    /// The numbers.
    pub table: Table,
    /// Where each row of it stands on the paper.
    pub spots: Vec<Spot>,
    /// Top of what a line through a spot runs over \[mm\].
    pub top_mm: f64,
    /// Its bottom \[mm\].
    pub bottom_mm: f64,
}

/// A place on the paper of a chart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// From the left edge \[mm\].
    pub x_mm: f64,
    /// From the top \[mm\]; `None` where a row stands for all that is above and
    /// below it, as a time of day does.
    pub y_mm: Option<f64>,
}

/// Times of the rows: every step from the beginning, both ends included.
fn times(hours: Hours) -> impl Iterator<Item = f64> {
    let steps = ((hours.to_h - hours.from_h) / STEP_H).clamp(0.0, 2000.0) as u32;
    (0..=steps).map(move |i| hours.from_h + f64::from(i) * STEP_H)
}

/// The value of a curve at its point nearest to a time; none farther away than
/// one step.
fn nearest(series: &Series, hour: f64) -> Option<f64> {
    let known = series.points.iter().filter(|p| p.1.is_finite());
    let distance = |p: &(f64, f64)| (p.0 - hour).abs();
    known
        .min_by(|a, b| distance(a).total_cmp(&distance(b)))
        .filter(|p| distance(p) <= STEP_H)
        .map(|p| p.1)
}

/// As many digits as the axis tells apart.
fn known(si: f64, dim: Dim) -> Cell {
    let digits = match dim {
        Dim::Temperature => 3,
        _ => 2,
    };
    Cell::from(Value::new(si, dim).digits(digits))
}

/// A day: a row for each quarter of an hour.
pub(super) fn of_day(chart: &DayChart, hours: Hours, area: &Area) -> Behind {
    let mut columns = vec![Column::words("Time of day")];
    for panel in &chart.panels {
        for series in &panel.series {
            let head = match panel.series.len() {
                1 => panel.name.clone(),
                _ => format!("{}: {}", panel.name, series.name),
            };
            columns.push(Column::of(head, panel.dim));
        }
    }
    if !chart.runs.is_empty() {
        columns.push(Column::words("Running"));
    }
    let row = |h: f64| {
        let mut cells = vec![Cell::from(clock(h + chart.start_clock_h))];
        for panel in &chart.panels {
            cells.extend(panel.series.iter().map(|s| match nearest(s, h) {
                Some(si) => known(si, panel.dim),
                None => Cell::Blank,
            }));
        }
        if !chart.runs.is_empty() {
            let runs = |all: &[Hours]| all.iter().any(|r| r.from_h <= h && h < r.to_h);
            let tags: Vec<&str> = chart
                .runs
                .iter()
                .filter(|r| runs(&r.running))
                .map(|r| r.tag.as_str())
                .collect();
            cells.push(match tags.is_empty() {
                true => Cell::from("none"),
                false => Cell::from(tags.join(", ")),
            });
        }
        cells
    };
    over_time(columns, times(hours), row, hours, area)
}

/// Loads: a row for each hour of the chart.
pub(super) fn of_load(chart: &LoadChart, hours: &[f64], span: Hours, area: &Area) -> Behind {
    let signed = [(&chart.parts, 1.0), (&chart.taken, -1.0)];
    let mut columns = vec![Column::words("Time of day")];
    for (parts, _) in signed {
        columns.extend(parts.iter().map(|p| Column::of(p.name.clone(), chart.dim)));
    }
    columns.push(Column::of(chart.total.clone(), chart.dim));
    let at_hour = |h: f64| hours.iter().position(|known| *known == h);
    let row =
        |h: f64| {
            let mut cells = vec![Cell::from(clock(h + chart.start_clock_h))];
            let value = |values: &[f64]| at_hour(h).and_then(|i| values.get(i)).copied();
            for (parts, sign) in signed {
                cells.extend(parts.iter().map(|p| {
                    value(&p.values).map_or(Cell::Blank, |si| known(sign * si, chart.dim))
                }));
            }
            let total: f64 = chart.parts.iter().filter_map(|p| value(&p.values)).sum();
            cells.push(known(total, chart.dim));
            cells
        };
    over_time(columns, hours.iter().copied(), row, span, area)
}

fn over_time(
    columns: Vec<Column>,
    times: impl Iterator<Item = f64>,
    row: impl Fn(f64) -> Vec<Cell>,
    hours: Hours,
    area: &Area,
) -> Behind {
    let along = area.transform((hours.from_h, hours.to_h), (0.0, 1.0));
    let (rows, spots) = times
        .map(|h| {
            let spot = Spot {
                x_mm: along.to_paper(at(h, 0.0)).x_mm,
                y_mm: None,
            };
            (row(h), spot)
        })
        .unzip();
    Behind {
        table: Table {
            columns,
            rows,
            ..Table::default()
        },
        spots,
        top_mm: area.top,
        bottom_mm: area.bottom,
    }
}

/// A path through air states: a row for each of its points.
pub(super) fn of_path(path: &[PathPoint], shown: impl Fn(&PathPoint) -> PaperPoint) -> Behind {
    let known_points = path
        .iter()
        .filter(|p| p.dry_bulb_c.is_finite() && p.humidity_ratio.is_finite());
    let (rows, spots) = known_points
        .map(|p| {
            let lights = match p.period {
                Period::LightsOn => "on",
                Period::LightsOff => "off",
            };
            let cells = vec![
                Cell::from(clock(p.clock_h)),
                Cell::from(lights),
                Cell::from(Value::new(p.dry_bulb_c, Dim::Temperature)),
                Cell::from(Value::new(p.humidity_ratio, Dim::HumidityRatio)),
            ];
            let on_paper = shown(p);
            let spot = Spot {
                x_mm: on_paper.x_mm,
                y_mm: Some(on_paper.y_mm),
            };
            (cells, spot)
        })
        .unzip();
    Behind {
        table: Table {
            columns: vec![
                Column::words("Time of day"),
                Column::words("Lights"),
                Column::of("Dry bulb", Dim::Temperature),
                Column::of("Humidity ratio", Dim::HumidityRatio),
            ],
            rows,
            ..Table::default()
        },
        spots,
        top_mm: 0.0,
        bottom_mm: 0.0,
    }
}

/// Points of a chart, each with its cells.
pub(super) fn of_points(
    columns: Vec<Column>,
    points: impl Iterator<Item = (Vec<Cell>, PaperPoint)>,
) -> Behind {
    let (rows, spots) = points
        .map(|(cells, p)| {
            let spot = Spot {
                x_mm: p.x_mm,
                y_mm: Some(p.y_mm),
            };
            (cells, spot)
        })
        .unzip();
    Behind {
        table: Table {
            columns,
            rows,
            ..Table::default()
        },
        spots,
        top_mm: 0.0,
        bottom_mm: 0.0,
    }
}
