//! Sheet of what the rooms of a job share: panels, generators and drain mains.

use job::shared::{Shared, SharedMain, SharedPanel};
use quantity::{Dim, Text, Value};

use super::power::tables;
use crate::report::{Block, Cell, Column, Level, Table};

/// Tables and findings, in reading order; empty where nothing is shared.
pub fn blocks(shared: &Shared) -> Vec<Block> {
    if shared.panels.is_empty() && shared.generators.is_empty() && shared.mains.is_empty() {
        return Vec::new();
    }
    let mut out = vec![
        Block::Heading(Level::One, "What the rooms share".into()),
        Block::Paragraph(
            "Each room's own sheets are right for the room alone. Here all rooms that name one panel, one generator or one drain main are added up; where the two differ, this sheet governs.".into(),
        ),
    ];
    for panel in &shared.panels {
        out.push(Block::Table(tables::schedule(&panel.schedule)));
        out.push(Block::Remark(tables::capacity(&panel.schedule)));
        out.push(Block::Remark(at_restart(panel)));
    }
    for set in &shared.generators {
        out.push(Block::Remark(
            Text::from(format!("{} together. ", set.rooms.join(", ")))
                .and(&tables::generator(&set.start)),
        ));
    }
    if !shared.mains.is_empty() {
        out.push(Block::Table(mains(&shared.mains)));
    }
    out.push(Block::Heading(Level::Two, "Findings".into()));
    out.push(Block::Findings(shared.findings.clone()));
    out.push(Block::Cautions(vec![
        "Load calculations and mains are the licensed electrician's and plumber's: the authority having jurisdiction decides.".into(),
    ]));
    out
}

fn at_restart(panel: &SharedPanel) -> Text {
    let amps = |a: f64| Value::new(a, Dim::Current);
    let said = Text::from("When the supply comes back to all rooms, a leg carries ")
        .value(amps(panel.restart.peak_a))
        .words(" for a moment");
    if panel.restart.events.iter().any(|e| 1 < e.tags.len()) {
        said.words("; one after the other it would be ")
            .value(amps(panel.restart.staggered_peak_a))
            .words(".")
    } else {
        said.words(": no two units start together.")
    }
}

fn mains(mains: &[SharedMain]) -> Table {
    let rows = mains
        .iter()
        .map(|m| {
            vec![
                Cell::from(m.name.clone()),
                m.rooms.join(", ").into(),
                Value::new(m.demand.flow_kg_per_s, Dim::WaterRate).into(),
                Value::new(m.day_kg / 86_400.0, Dim::WaterRate).into(),
                m.least
                    .map_or(Cell::Text("ask".into()), |size| size.word().into()),
                m.surveyed_m
                    .map_or(Cell::Unknown, |x| Value::new(x, Dim::Length).into()),
            ]
        })
        .collect();
    Table {
        caption: "Drain mains: all rooms' units at once, and over a day".into(),
        columns: vec![
            Column::words("Main"),
            Column::words("Rooms"),
            Column::of("Peak", Dim::WaterRate),
            Column::of("Of a day", Dim::WaterRate),
            Column::words("Least size"),
            Column::mixed("Surveyed"),
        ],
        rows,
        total: None,
    }
}
