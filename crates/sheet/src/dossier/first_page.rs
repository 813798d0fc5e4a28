//! One page that a customer understands, findings first.

use job::selection::{ModelCapacity, Moment};
use job::{Design, UnitSet};
use quantity::{Dim, Finding, Severity, Text, UnitSystem, Value};
use room::{Period, Room};

use super::{figures, verdict};
use crate::report::{Block, Cell, Column, KeyFigure, KeyUnits, Table};

pub(super) fn blocks(room: &Room, design: &Design, units: UnitSystem) -> Vec<Block> {
    let mut blocks = vec![
        Block::Title {
            title: Text::from(format!(
                "{}: water, dehumidifiers, a proven day",
                room.name.value
            )),
            subtitle: Text::from(verdict(design)),
        },
        Block::KeyFigures(key_figures(design)),
    ];
    let pressing: Vec<Finding> = design
        .findings()
        .into_iter()
        .filter(|f| f.severity != Severity::Note)
        .cloned()
        .collect();
    blocks.push(if pressing.is_empty() {
        let remarks = design.findings().len();
        Block::Paragraph(Text::from(match remarks {
            0 => "Nothing asks for action.".to_owned(),
            1 => "Nothing asks for action; one remark at the end.".to_owned(),
            n => format!("Nothing asks for action; {n} remarks at the end."),
        }))
    } else {
        Block::Findings(pressing)
    });
    blocks.push(Block::Table(capacities(design)));
    blocks.push(Block::Figure {
        drawing: figures::capacity(design, units),
        caption: caption(design),
    });
    blocks
}

/// Why rated is not real, and what the coils take.
fn caption(design: &Design) -> Text {
    let text = Text::from(
        "Rated capacity is measured in warm, humid air; the room is cooler and drier, most of all at night.",
    );
    let coils = figures::coil_water_kg_per_s(design, Period::LightsOn);
    if coils <= 0.0 {
        return text;
    }
    text.words(" With lights on the cooling coils take ")
        .value(Value::new(coils, Dim::WaterRate).digits(2))
        .words(" beside the units.")
}

fn key_figures(design: &Design) -> Vec<KeyFigure> {
    let set = design.selection.design_set();
    let judged = &design.day.judged;
    let per_day = |kg: f64| Value::new(kg / 86_400.0, Dim::WaterRate);
    let mut figures = vec![
        KeyFigure {
            label: "Water into the air, a day".into(),
            value: per_day(design.load.water_kg_per_day.likely),
            units: KeyUnits::Both,
            note: Text::from("9 of 10 drawn days below ")
                .value(per_day(design.load.water_kg_per_day.high)),
        },
        KeyFigure {
            label: "Units".into(),
            value: Value::new(f64::from(set.count()), Dim::Count),
            units: KeyUnits::Reader,
            note: set.words().into(),
        },
        KeyFigure {
            label: "Drawn days that hold".into(),
            value: Value::new(judged.held_share(), Dim::Fraction).digits(2),
            units: KeyUnits::Reader,
            note: Text::from(format!(
                "{} of {} days; spreads assumed",
                judged.held_days, judged.days
            )),
        },
    ];
    figures.push(KeyFigure {
        label: "Electricity of the units, a day".into(),
        value: Value::new(judged.units_j_per_day.likely, Dim::Energy).digits(2),
        units: KeyUnits::Reader,
        note: "likely day".into(),
    });
    figures
}

/// Rated capacity beside capacity at room air, in litres and in pints.
fn capacities(design: &Design) -> Table {
    let set = design.selection.design_set();
    let water =
        |head: &'static str, units: UnitSystem| Column::of(head, Dim::WaterRate).in_units(units);
    let capacity = |code: &str| design.selection.capacities.iter().find(|c| c.code == code);
    let row = |name: String, rated_at: String, three: [f64; 3]| {
        let mut cells = vec![Cell::from(name), Cell::from(rated_at)];
        for _ in [UnitSystem::Metric, UnitSystem::Us] {
            cells.extend(three.map(|kg_per_s| Cell::from(Value::new(kg_per_s, Dim::WaterRate))));
        }
        cells
    };
    let rows = set
        .groups()
        .iter()
        .filter_map(|(code, count)| {
            let one = capacity(code)?;
            Some(row(
                format!("{count} × {code}"),
                one.rated_at.clone(),
                three(one, *count),
            ))
        })
        .collect();
    let total = sums(&set, &capacity);
    Table {
        caption: "What the units remove: as rated, and at this room's air".into(),
        columns: vec![
            Column::words("Units"),
            Column::words("Rated at"),
            water("Rated", UnitSystem::Metric),
            water("Lights on", UnitSystem::Metric),
            water("Lights off", UnitSystem::Metric),
            water("Rated", UnitSystem::Us),
            water("Lights on", UnitSystem::Us),
            water("Lights off", UnitSystem::Us),
        ],
        rows,
        total: (1 < set.groups().len()).then(|| row("All".into(), String::new(), total)),
    }
}

fn three(one: &ModelCapacity, count: u32) -> [f64; 3] {
    [
        one.rated_kg_per_s,
        one.lights_on.removal_kg_per_s,
        one.lights_off.removal_kg_per_s,
    ]
    .map(|kg_per_s| kg_per_s * f64::from(count))
}

fn sums<'a>(set: &UnitSet, capacity: &dyn Fn(&str) -> Option<&'a ModelCapacity>) -> [f64; 3] {
    set.groups()
        .iter()
        .fold([0.0; 3], |mut sum, (code, count)| {
            if let Some(one) = capacity(code) {
                for (s, x) in sum.iter_mut().zip(three(one, *count)) {
                    *s += x;
                }
            }
            sum
        })
}

/// One unit of a model in a period.
pub(super) fn moment(capacity: &ModelCapacity, period: Period) -> &Moment {
    match period {
        Period::LightsOn => &capacity.lights_on,
        Period::Transition | Period::LightsOff => &capacity.lights_off,
    }
}
