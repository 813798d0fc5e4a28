//! Hours of many days as cells: a row a day, a column an hour of the clock.

use quantity::{Dim, UnitSystem, Value};

use super::WIDTH_MM;
use super::kit::{TITLE_MM, figure_title};
use crate::drawing::{Anchor, Drawing, Label, Letters, Role, Size, Stand, View, at};

/// Days over hours.
#[derive(Clone, Debug, PartialEq)]
pub struct HoursChart {
    /// What the reader shall see, in a line.
    pub title: String,
    /// What it is, in a line; may be empty.
    pub subtitle: String,
    /// Rows from the top.
    pub rows: Vec<HoursRow>,
}

/// One day.
#[derive(Clone, Debug, PartialEq)]
pub struct HoursRow {
    /// Its date.
    pub name: String,
    /// Hours 0 to 23; `None` where nothing is known.
    pub cells: [Option<HourCell>; 24],
}

/// One hour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HourCell {
    /// Mean relative humidity, 0 to 1.
    pub rel_humidity: f64,
    /// Share of the hour outside the target on the humid side, 0 to 1.
    pub too_humid: f64,
}

const LEFT_MM: f64 = 20.0;
const ROW_MM: f64 = 4.0;
const HEAD_MM: f64 = 6.0;
const FOOT_MM: f64 = 7.0;

/// What a cell is, by how much of its hour is too humid.
const fn role(too_humid: f64) -> Role {
    if too_humid < 0.05 {
        Role::BarRated
    } else if too_humid < 0.5 {
        Role::Layer(2)
    } else {
        Role::Layer(0)
    }
}

/// Draws the chart.
pub fn hours(chart: &HoursChart, units: UnitSystem) -> Drawing {
    let cell_mm = (WIDTH_MM - LEFT_MM) / 24.0;
    let top = TITLE_MM + HEAD_MM;
    let bottom = top + ROW_MM * chart.rows.len() as f64;
    let size = Size {
        width_mm: WIDTH_MM,
        height_mm: bottom + FOOT_MM,
    };
    let mut drawing = Drawing::new(size, chart.title.clone());
    let mut cells = View::paper("cells");
    let mut front = View::paper("labels");
    figure_title(&mut cells, &chart.title, &chart.subtitle);
    for hour in (0..24).step_by(2) {
        let x = LEFT_MM + (f64::from(hour) + 0.5) * cell_mm;
        front.text(
            Role::Text,
            Label::new(format!("{hour:02}"), at(x, top - 1.0)).anchor(Anchor::Middle, Stand::Base),
        );
    }
    for (n, row) in chart.rows.iter().enumerate() {
        let y = top + ROW_MM * n as f64;
        front.text(
            Role::Text,
            Label::new(row.name.clone(), at(LEFT_MM - 1.5, y + ROW_MM / 2.0))
                .anchor(Anchor::End, Stand::Middle),
        );
        for (hour, cell) in row.cells.iter().enumerate() {
            let Some(cell) = cell else { continue };
            let x = LEFT_MM + hour as f64 * cell_mm;
            cells.rect(role(cell.too_humid), at(x, y), at(x + cell_mm, y + ROW_MM));
            front.text(
                Role::Text,
                Label::new(
                    format!("{:.0}", 100.0 * cell.rel_humidity),
                    at(x + cell_mm / 2.0, y + ROW_MM / 2.0),
                )
                .anchor(Anchor::Middle, Stand::Middle)
                .halo(),
            );
        }
    }
    for (x, too_humid, words) in [
        (LEFT_MM, 0.0, "in target"),
        (LEFT_MM + 28.0, 0.3, "too humid for part of the hour"),
        (LEFT_MM + 88.0, 1.0, "too humid for half of it or more"),
    ] {
        cells.rect(
            role(too_humid),
            at(x, bottom + 2.0),
            at(x + 4.0, bottom + 5.0),
        );
        front.text(
            Role::Text,
            Label::new(words, at(x + 5.0, bottom + 3.5))
                .letters(Letters::Note)
                .anchor(Anchor::Start, Stand::Middle),
        );
    }
    drawing.alt = alt(chart, units);
    drawing.views = vec![cells, front];
    drawing
}

fn alt(chart: &HoursChart, units: UnitSystem) -> String {
    let worst = chart
        .rows
        .iter()
        .flat_map(|r| r.cells.iter().enumerate().map(move |(h, c)| (r, h, c)))
        .filter_map(|(r, h, c)| c.map(|c| (r, h, c)))
        .max_by(|a, b| a.2.rel_humidity.total_cmp(&b.2.rel_humidity));
    let title = chart.title.trim_end_matches('.');
    match worst {
        None => format!("{title}. Nothing is known."),
        Some((row, hour, cell)) => format!(
            "{title}. {} days; the most humid hour is {hour:02}:00 on {}, {}.",
            chart.rows.len(),
            row.name,
            Value::new(cell.rel_humidity, Dim::RelHumidity)
                .digits(2)
                .show(units)
        ),
    }
}
