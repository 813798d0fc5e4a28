//! Water and heat by source, and the lines to judge them by.

use job::Design;
use job::load::{LoadSpan, PeriodLoad};
use quantity::{Band, Dim, Text, UnitSystem, Value};
use room::{Period, Room};

use super::figures;
use crate::charts::Hours;
use crate::report::{Block, Cell, Column, Level, Table};

/// Its blocks in reading order; the chart over all hours or a part of them.
pub fn blocks(room: &Room, design: &Design, shown: Option<Hours>, units: UnitSystem) -> Vec<Block> {
    let load = &design.load;
    let mut blocks = vec![
        Block::PageBreak,
        Block::Heading(Level::One, "Water and heat given to the room".into()),
        Block::Figure {
            drawing: figures::load(room, design, shown, units),
            caption: "Mean of the drawn days, the room at its targets on the summer design day."
                .into(),
        },
        Block::Figure {
            drawing: figures::ranges(room, design, units),
            caption: "Low and high are the 10th and 90th percentile of the drawn days.".into(),
        },
        Block::Table(by_source(room, &load.periods)),
        Block::Table(trust(design)),
    ];
    if let Some(measured) = &load.measured {
        let per_day = |kg: f64| Value::new(kg / 86_400.0, Dim::WaterRate);
        blocks.push(Block::Paragraph(
            Text::from("Water fed less runoff leaves ")
                .value(per_day(measured.vapour_kg_per_day.low))
                .words(" to ")
                .value(per_day(measured.vapour_kg_per_day.high))
                .words(" for the air; the crop model alone gives ")
                .value(per_day(measured.drawn_kg_per_day.low))
                .words(" to ")
                .value(per_day(measured.drawn_kg_per_day.high))
                .words(if measured.agrees {
                    ". Drawn days that agree with the measurement weigh more in all results."
                } else {
                    ". The two do not agree: the drawn days stand unweighted, see the finding."
                }),
        ));
    }
    blocks
}

/// Period words as tables and charts use them.
pub(crate) fn period_words(room: &Room, period: Period) -> &'static str {
    match period {
        _ if room.light.is_none() => "all day",
        Period::LightsOn => "lights on",
        Period::Transition => "transition",
        Period::LightsOff => "lights off",
    }
}

fn by_source(room: &Room, periods: &[PeriodLoad]) -> Table {
    let mut columns = vec![Column::words("Source")];
    for p in periods {
        let head = |what: &str| Text::from(format!("{what}, {}", period_words(room, p.period)));
        columns.push(Column::of(head("Water"), Dim::WaterRate));
        columns.push(Column::of(head("Heat"), Dim::Power));
    }
    let cells = |span: &LoadSpan, i: usize| {
        let s = &span.sources[i];
        [
            part(s.water_kg_per_s.likely, Dim::WaterRate),
            part(s.mean_sensible_w, Dim::Power),
        ]
    };
    let count = periods.first().map_or(0, |p| p.mean.sources.len());
    let rows = (0..count)
        .map(|i| {
            let name = periods[0].mean.sources[i].source.word();
            std::iter::once(Cell::from(name))
                .chain(periods.iter().flat_map(|p| cells(&p.mean, i)))
                .collect()
        })
        .collect();
    let total = std::iter::once(Cell::from("All, likely"))
        .chain(periods.iter().flat_map(|p| {
            [
                Cell::from(Value::new(p.mean.water_kg_per_s.likely, Dim::WaterRate)),
                Cell::from(Value::new(p.mean.sensible_w.likely, Dim::Power)),
            ]
        }))
        .collect();
    Table {
        caption: "By source: mean rate over each period, likely case; parts need not add up to the median of the sum".into(),
        columns,
        rows,
        total: Some(total),
    }
}

/// A part of a sum; "–" where it is nothing but rounding.
fn part(x: f64, dim: Dim) -> Cell {
    let rounding = if dim == Dim::Power { 0.5 } else { 1e-9 };
    if x.abs() < rounding {
        Cell::NotApplicable
    } else {
        Cell::from(Value::new(x, dim).digits(2))
    }
}

/// The trust lines of the trade.
fn trust(design: &Design) -> Table {
    let trust = &design.load.trust;
    let row = |name: &'static str, band: Band, dim: Dim, note: &'static str| {
        let value = |x: f64| Cell::from(Value::new(x, dim).digits(2));
        vec![
            Cell::from(name),
            value(band.low),
            value(band.likely),
            value(band.high),
            Cell::from(note),
        ]
    };
    let mut rows = Vec::new();
    if 0.0 < trust.per_canopy_kg_per_m2_day.high {
        rows.push(row(
            "per canopy area",
            trust.per_canopy_kg_per_m2_day.map(|x| x / 86_400.0),
            Dim::WaterFlux,
            "compare with the crop's usual band",
        ));
    }
    if let Some(share) = trust.share_of_water_fed {
        rows.push(row(
            "share of the water fed",
            share,
            Dim::Fraction,
            "the rest is runoff and new growth",
        ));
    }
    if let Some(per_light) = trust.per_light_energy_kg_per_j {
        rows.push(row(
            "per light energy",
            per_light,
            Dim::WaterPerEnergy,
            "water that each kWh of light sets free",
        ));
    }
    if let Some(night) = trust.night_share {
        rows.push(row(
            "night rate over day rate",
            night,
            Dim::Fraction,
            "the least known number of the job",
        ));
    }
    rows.push(row(
        "all sources",
        design.load.water_kg_per_day.map(|x| x / 86_400.0),
        Dim::WaterRate,
        "a day",
    ));
    Table {
        caption: "Lines to judge the load by".into(),
        columns: vec![
            Column::words("Line"),
            Column::mixed("Low"),
            Column::mixed("Likely"),
            Column::mixed("High"),
            Column::words("What it says"),
        ],
        rows,
        total: None,
    }
}
