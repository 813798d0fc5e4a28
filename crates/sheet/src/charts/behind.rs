//! The numbers behind a chart: a table, and where on paper each of its rows
//! stands. The table under a chart and the read-out on it come from here.

use quantity::{Dim, Value};

use super::day::DayChart;
use super::kit::{Area, TimeAxis, clock};
use super::load::LoadChart;
use super::psychrometric::PathPoint;
use super::{Hours, Period, Series};
use crate::drawing::{PaperPoint, at};
use crate::report::{Cell, Column, Table};

/// Time between rows of a day \[h\]: as fine as machines that switch are shown.
const STEP_H: f64 = 0.25;
/// Round times between rows, or between ticks \[h\], from a minute to a week.
pub(super) const STEPS_H: [f64; 12] = [
    1.0 / 60.0,
    1.0 / 12.0,
    STEP_H,
    0.5,
    1.0,
    2.0,
    3.0,
    6.0,
    12.0,
    24.0,
    48.0,
    168.0,
];
/// Most rows that a person looks through.
const MOST_ROWS: f64 = 120.0;

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
    /// What part of the time it shows, where it has a time axis.
    pub time: Option<TimeSpan>,
}

/// The part of a time axis that a chart shows.
#[derive(Clone, Debug, PartialEq)]
pub struct TimeSpan {
    /// All that there is \[h\].
    pub whole: Hours,
    /// What is shown \[h\].
    pub shown: Hours,
    /// From when to when that is, in words.
    pub words: String,
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

/// Time between rows \[h\]: the finest of which there are not too many.
fn step(hours: Hours) -> f64 {
    let span = hours.to_h - hours.from_h;
    let fits = |s: &f64| span / s <= MOST_ROWS;
    STEPS_H.into_iter().find(fits).unwrap_or(span / MOST_ROWS)
}

/// Times of the rows: every step from the beginning, both ends included.
fn times(hours: Hours, step: f64) -> impl Iterator<Item = f64> {
    let steps = ((hours.to_h - hours.from_h) / step + 1e-9) as u32;
    (0..=steps).map(move |i| hours.from_h + f64::from(i) * step)
}

/// The value of a curve at its point nearest to a time; none farther away than
/// one step.
fn nearest(series: &Series, hour: f64, step: f64) -> Option<f64> {
    let known = series.points.iter().filter(|p| p.1.is_finite());
    let distance = |p: &(f64, f64)| (p.0 - hour).abs();
    known
        .min_by(|a, b| distance(a).total_cmp(&distance(b)))
        .filter(|p| distance(p) <= step)
        .map(|p| p.1)
}

/// Lowest and highest value of a curve in the step that begins at a time.
fn between(series: &Series, hour: f64, step: f64) -> Option<(f64, f64)> {
    let from = series.points.partition_point(|p| p.0 < hour - 1e-9);
    let inside = series.points.get(from..).unwrap_or_default().iter();
    inside
        .take_while(|p| p.0 < hour + step - 1e-9)
        .map(|p| p.1)
        .filter(|y| y.is_finite())
        .fold(None, |so_far, y| {
            let (low, high) = so_far.unwrap_or((y, y));
            Some((y.min(low), y.max(high)))
        })
}

/// As many digits as the axis tells apart.
fn known(si: f64, dim: Dim) -> Cell {
    let digits = match dim {
        Dim::Temperature => 3,
        _ => 2,
    };
    Cell::from(Value::new(si, dim).digits(digits))
}

/// A day: a row for each quarter of an hour. Of longer times a row tells what
/// was lowest and highest in it, so that nothing is lost between rows.
pub(super) fn of_day(chart: &DayChart, whole: &TimeAxis, time: &TimeAxis, area: &Area) -> Behind {
    let step = step(time.hours);
    let is_coarse = STEP_H < step;
    let mut columns = vec![Column::words(time.name())];
    for panel in &chart.panels {
        for series in &panel.series {
            let head = match panel.series.len() {
                1 => panel.name.clone(),
                _ => format!("{}: {}", panel.name, series.name),
            };
            if is_coarse {
                columns.push(Column::of(format!("{head}, lowest"), panel.dim));
                columns.push(Column::of(format!("{head}, highest"), panel.dim));
            } else {
                columns.push(Column::of(head, panel.dim));
            }
        }
    }
    if !chart.runs.is_empty() {
        columns.push(Column::words("Running"));
    }
    let row = |h: f64| {
        let mut cells = vec![Cell::from(time.moment(h))];
        for panel in &chart.panels {
            let cell = |si: Option<f64>| si.map_or(Cell::Blank, |si| known(si, panel.dim));
            for series in &panel.series {
                if is_coarse {
                    let both = between(series, h, step);
                    cells.extend([cell(both.map(|b| b.0)), cell(both.map(|b| b.1))]);
                } else {
                    cells.push(cell(nearest(series, h, STEP_H.max(step))));
                }
            }
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
    let rows = times(time.hours, step);
    over_time(columns, rows, row, whole, time, area)
}

/// Loads: a row for each hour of the chart.
pub(super) fn of_load(
    chart: &LoadChart,
    hours: &[f64],
    whole: &TimeAxis,
    time: &TimeAxis,
    area: &Area,
) -> Behind {
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
    over_time(columns, hours.iter().copied(), row, whole, time, area)
}

fn over_time(
    columns: Vec<Column>,
    times: impl Iterator<Item = f64>,
    row: impl Fn(f64) -> Vec<Cell>,
    whole: &TimeAxis,
    time: &TimeAxis,
    area: &Area,
) -> Behind {
    let hours = time.hours;
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
        time: Some(TimeSpan {
            whole: whole.hours,
            shown: hours,
            words: format!(
                "{} to {}",
                time.moment(hours.from_h),
                time.moment(hours.to_h)
            ),
        }),
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
        time: None,
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
        time: None,
    }
}
