//! The proven day: curves, psychrometric path, days that go wrong.

use job::day::{Scenario, path_word};
use job::{Day, Design};
use quantity::{Dim, Text, UnitSystem, Value};
use room::Room;
use roomsim::{Period, WaterPath};

use super::figures;
use super::loads::period_words;
use crate::charts::Hours;
use crate::report::{Block, Cell, Column, Level, Table};

/// Its blocks in reading order; the curves over the day or a part of it.
pub fn blocks(room: &Room, design: &Design, shown: Option<Hours>, units: UnitSystem) -> Vec<Block> {
    let day = &design.day;
    vec![
        Block::PageBreak,
        Block::Heading(Level::One, "The day, minute by minute".into()),
        Block::Paragraph(Text::from(format!(
            "Simulated with {} in steps of one minute, one day to settle and one day counted. The curves are a typical drawn day; the pale band holds eight of ten drawn days.",
            day.units.words()
        )).and(&places(day))),
        Block::Figure {
            drawing: figures::day(room, design, shown, units),
            caption: if figures::nights(room).is_empty() {
                "Target as a band; time outside it hatched.".into()
            } else {
                "Night shaded; target as a band; time outside it hatched.".into()
            },
        },
        Block::Table(periods(room, design)),
        Block::Table(scenarios(&day.scenarios)),
        Block::Table(water(design)),
        Block::Figure {
            drawing: figures::psychrometric(room, design, units),
            caption: "The typical day as it moves through air states, and the targets that it should stay in.".into(),
        },
    ]
}

/// What the units breathe in their places, once they have some.
fn places(day: &Day) -> Text {
    let Some((first, others)) = day.in_place.split_first() else {
        return Text::from("");
    };
    let list = others.iter().fold(first.words(), |list, unit| {
        list.words(", ").and(&unit.words())
    });
    Text::from(" Part of the air at each inlet was dried before, by its place: ")
        .and(&list)
        .words(".")
}

const PERIODS: [(Period, room::Period); 3] = [
    (Period::LightsOn, room::Period::LightsOn),
    (Period::Transition, room::Period::Transition),
    (Period::LightsOff, room::Period::LightsOff),
];

fn periods(room: &Room, design: &Design) -> Table {
    let day = &design.day;
    let rows = PERIODS
        .into_iter()
        .filter_map(|(period, surveyed)| {
            let p = day.summary.period(period);
            let held = day.judged.held_days_by_period[period as usize]?;
            let share = |s: f64| Cell::from(Value::new(s / p.time_s, Dim::Fraction).digits(2));
            let rh = |x: f64| Cell::from(Value::new(x, Dim::RelHumidity).digits(2));
            Some(vec![
                Cell::from(period_words(room, surveyed)),
                Cell::from(Value::new(p.mean_dry_bulb_c, Dim::Temperature)),
                rh(p.mean_rel_humidity),
                rh(p.highest_rel_humidity.value),
                Cell::from(clock(p.highest_rel_humidity.at_s)),
                Cell::from(Value::new(p.lowest_vpd_pa.value, Dim::VapourPressure).digits(2)),
                share(p.humidity_in_band_s),
                share(p.too_humid_s),
                Cell::from(format!("{held} of {}", day.judged.days)),
            ])
        })
        .collect();
    Table {
        caption: "The typical day by period, and how many drawn days hold".into(),
        columns: vec![
            Column::words("Period"),
            Column::of("Mean dry bulb", Dim::Temperature),
            Column::of("Mean RH", Dim::RelHumidity),
            Column::of("Highest RH", Dim::RelHumidity),
            Column::words("at"),
            Column::of("Least VPD", Dim::VapourPressure),
            Column::of("In band", Dim::Fraction),
            Column::of("Too wet", Dim::Fraction),
            Column::words("Days held"),
        ],
        rows,
        total: None,
    }
}

fn clock(at_s: f64) -> String {
    let minutes = (at_s.rem_euclid(86_400.0) / 60.0).round() as u32 % 1440;
    format!("{:02}:{:02}", minutes / 60, minutes % 60)
}

/// Where the water of the typical day came from and went to.
fn water(design: &Design) -> Table {
    let summary = &design.day.summary;
    let days = f64::from(summary.days);
    let moved = WaterPath::ALL
        .iter()
        .map(|path| summary.water_kg(*path).abs() / days)
        .sum::<f64>()
        / 2.0;
    let (columns, row) = WaterPath::ALL
        .into_iter()
        .filter_map(|path| {
            let kg = summary.water_kg(path) / days;
            // A part in a thousand of what moves is nothing to act on.
            (0.001 * moved < kg.abs()).then(|| {
                let digits = if kg.abs() < 0.1 * moved { 2 } else { 3 };
                let value = Value::new(kg / 86_400.0, Dim::WaterRate).digits(digits);
                (Column::mixed(path_word(path)), Cell::from(value))
            })
        })
        .unzip();
    Table {
        caption: "Water of the typical day: into the air, and (negative) out of it".into(),
        columns,
        rows: vec![row],
        total: None,
    }
}

fn scenarios(scenarios: &[Scenario]) -> Table {
    let rows = scenarios
        .iter()
        .map(|s| {
            let highest = PERIODS
                .iter()
                .map(|(p, _)| s.summary.period(*p))
                .filter(|p| 0.0 < p.time_s)
                .map(|p| p.highest_rel_humidity.value)
                .fold(0.0, f64::max);
            let back = s
                .summary
                .recoveries
                .first()
                .map_or(Cell::NotApplicable, |r| {
                    r.in_band_after_s.map_or(Cell::from("not that day"), |t| {
                        Cell::from(Value::new(t, Dim::Duration).digits(2))
                    })
                });
            let margin = s
                .summary
                .least_surface_margin_k
                .map_or(Cell::NotApplicable, |m| {
                    Cell::from(Value::new(m.value, Dim::TemperatureDifference).digits(2))
                });
            vec![
                Cell::from(s.kind.words()),
                Cell::from(if s.holds_all() { "yes" } else { "no" }),
                Cell::from(Value::new(highest, Dim::RelHumidity).digits(2)),
                back,
                margin,
            ]
        })
        .collect();
    Table {
        caption: "The typical day when something goes wrong, and in winter".into(),
        columns: vec![
            Column::words("Case"),
            Column::words("Dry side held"),
            Column::of("Highest RH", Dim::RelHumidity),
            Column::mixed("Back inside both limits after"),
            Column::mixed("Coldest surface above dew point"),
        ],
        rows,
        total: None,
    }
}
