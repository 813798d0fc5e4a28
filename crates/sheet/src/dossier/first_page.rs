//! One page that a customer understands, findings first.

use job::Design;
use job::selection::{ModelCapacity, Moment};
use quantity::{Dim, Finding, Severity, Text, UnitSystem, Value};
use room::{Period, Room};

use super::{figures, verdict};
use crate::report::{Block, Cell, Column, KeyFigure, KeyUnits, Table};

pub(super) fn blocks(room: &Room, design: &Design, units: UnitSystem) -> Vec<Block> {
    let mut blocks = vec![Block::Title {
        title: Text::from(format!(
            "{}: water, dehumidifiers, a proven day",
            room.name.value
        )),
        subtitle: Text::from(verdict(design)),
    }];
    let all = Finding::together(design.findings());
    let count = all.len();
    let pressing: Vec<Finding> = all
        .into_iter()
        .filter(|f| f.severity != Severity::Note)
        .collect();
    blocks.push(in_short(pressing, count));
    blocks.push(Block::KeyFigures(key_figures(design)));
    blocks.push(Block::Table(capacities(design, units)));
    blocks.push(Block::Figure {
        drawing: figures::capacity(design, units),
        caption: caption(design),
    });
    blocks
}

/// What asks for action, worst first and no more than one page holds beside
/// the figures; all findings stand in full at the end.
fn in_short(mut pressing: Vec<Finding>, all: usize) -> Block {
    const MOST: usize = 3;
    pressing.sort_by_key(|f| std::cmp::Reverse(f.severity));
    let remarks = match all - pressing.len() {
        0 => String::new(),
        1 => "one remark further on".to_owned(),
        n => format!("{n} remarks further on"),
    };
    let note = match (pressing.len(), remarks.is_empty()) {
        (0, true) => "Nothing asks for action.".to_owned(),
        (0, false) => format!("Nothing asks for action; {remarks}."),
        (n, _) if MOST < n => format!(
            "And {} more; each stands in full with its sheet or at the end.",
            n - MOST
        ),
        (_, true) => "In full with its sheet or at the end.".to_owned(),
        (_, false) => format!("In full with its sheet or at the end; {remarks}."),
    };
    pressing.truncate(MOST);
    Block::FindingsInShort {
        findings: pressing,
        note: note.into(),
    }
}

/// Why rated is not real, and what the coils take of the load.
fn caption(design: &Design) -> Text {
    let text = Text::from(
        "Rated capacity is measured at one warm, humid state; the room's air gives more or less. \
         Cooling coils dry the air too; the units need to remove only the rest of the load. \
         Coils remove",
    );
    let taken: Vec<(Period, f64)> = on_and_off(design)
        .map(|p| (p, figures::coil_water_kg_per_s(design, p)))
        .filter(|(_, coils)| 0.0 < *coils)
        .collect();
    let single = on_and_off(design).count() == 1;
    match taken.as_slice() {
        [] => Text::from(
            "Rated capacity is measured at one warm, humid state; the room's air gives more or less.",
        ),
        all => all
            .iter()
            .enumerate()
            .fold(text.words(" "), |text, (i, (p, coils))| {
                text.words(if i == 0 { "" } else { ", " })
                    .value(Value::new(*coils, Dim::WaterRate).digits(2))
                    .words(match p {
                        _ if single => "",
                        Period::LightsOn => " with lights on",
                        Period::Transition | Period::LightsOff => " with lights off",
                    })
            })
            .words(", on a typical day."),
    }
}

/// Lights-on and lights-off, as far as the room has them.
pub(super) fn on_and_off(design: &Design) -> impl Iterator<Item = Period> + '_ {
    [Period::LightsOn, Period::LightsOff]
        .into_iter()
        .filter(|p| design.load.period(*p).is_some())
}

fn key_figures(design: &Design) -> Vec<KeyFigure> {
    let set = design.selection.design_set();
    let judged = &design.day.judged;
    let per_day = |kg: f64| Value::new(kg / 86_400.0, Dim::WaterRate);
    let mut figures = vec![
        KeyFigure {
            label: "Water into the air".into(),
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
            label: "Drawn days held".into(),
            value: Value::new(judged.held_share(), Dim::Fraction).digits(2),
            units: KeyUnits::Reader,
            note: Text::from(format!(
                "{} of {} days; spreads assumed",
                judged.held_days, judged.days
            )),
        },
    ];
    figures.push(KeyFigure {
        label: "Electricity a day".into(),
        value: Value::new(judged.units_j_per_day.likely, Dim::Energy).digits(2),
        units: KeyUnits::Reader,
        note: "of the units, on a likely day".into(),
    });
    figures
}

/// Rated capacity beside capacity at room air, in the reader's units and in
/// the others.
fn capacities(design: &Design, units: UnitSystem) -> Table {
    let both = match units {
        UnitSystem::Us => [UnitSystem::Us, UnitSystem::Metric],
        UnitSystem::Metric => [UnitSystem::Metric, UnitSystem::Us],
    };
    let periods: Vec<Period> = on_and_off(design).collect();
    let heads = std::iter::once("Rated").chain(periods.iter().map(|p| match p {
        _ if periods.len() == 1 => "At room air",
        Period::LightsOn => "Lights on",
        Period::Transition | Period::LightsOff => "Lights off",
    }));
    let mut columns = vec![Column::words("Units"), Column::words("Rated at")];
    for system in both {
        columns.extend(
            heads
                .clone()
                .map(|head| Column::of(head, Dim::WaterRate).in_units(system)),
        );
    }
    let row = |name: String, rated_at: String, removals: &[f64]| {
        let twice = removals.iter().chain(removals);
        [Cell::from(name), Cell::from(rated_at)]
            .into_iter()
            .chain(twice.map(|kg_per_s| Cell::from(Value::new(*kg_per_s, Dim::WaterRate))))
            .collect::<Vec<_>>()
    };
    let set = design.selection.design_set();
    let mut sums = vec![0.0; 1 + periods.len()];
    let mut rows = Vec::new();
    for (code, count) in set.groups() {
        let Some(one) = design.selection.capacities.iter().find(|c| c.code == *code) else {
            continue;
        };
        let removals: Vec<f64> = std::iter::once(one.rated_kg_per_s)
            .chain(periods.iter().map(|p| moment(one, *p).removal_kg_per_s))
            .map(|kg_per_s| kg_per_s * f64::from(*count))
            .collect();
        for (sum, x) in sums.iter_mut().zip(&removals) {
            *sum += x;
        }
        rows.push(row(
            format!("{count} × {code}"),
            one.rated_at.clone(),
            &removals,
        ));
    }
    Table {
        caption: "What the units remove: as rated, and at this room's air".into(),
        columns,
        rows,
        total: (1 < set.groups().len()).then(|| row("All".into(), String::new(), &sums)),
    }
}

/// One unit of a model in a period.
pub(super) fn moment(capacity: &ModelCapacity, period: Period) -> &Moment {
    match period {
        Period::LightsOn => &capacity.lights_on,
        Period::Transition | Period::LightsOff => &capacity.lights_off,
    }
}
