//! The card for the wall: what to do when, setpoints, what to mind.

use super::{HandOver, maintenance_table, setpoint_table};
use crate::report::{Block, Cell, Column, Level, Report, Table, TitleBlock};

/// The maintenance card as a report of one page or two.
pub fn card(of: &HandOver<'_>) -> Report {
    let mut report = Report::new(TitleBlock {
        sheet_prefix: "MC".into(),
        ..of.title.clone()
    });
    let tags: Vec<&str> = of
        .built
        .placement
        .units
        .iter()
        .map(|u| u.tag.as_str())
        .collect();
    report.blocks = vec![
        Block::Title {
            title: "Maintenance card".into(),
            subtitle: format!("{} · {}: {}", of.title.job, of.title.room, tags.join(", ")).into(),
        },
        Block::Heading(Level::One, "What to do when".into()),
        Block::Table(maintenance_table(of)),
        Block::Remark(
            "Intervals: common practice, no published source; the machine's instructions rule."
                .into(),
        ),
        Block::Heading(Level::One, "Setpoints".into()),
        Block::Table(setpoint_table(of)),
        Block::Cautions(vec![
            "Lock out and prove dead before a panel is opened; a unit starts by itself when its delay is over.".into(),
            "Never bridge a float or pressure switch. Water from a cabinet: switch the unit off, look at trap and pan.".into(),
            "Refrigerant circuit, wiring and what carries the units: licensed trades only.".into(),
        ]),
        Block::Heading(Level::One, "Done".into()),
        Block::Table(Table {
            columns: ["date", "what", "by", "remarks"].map(Column::words).into(),
            rows: vec![vec![Cell::Blank; 4]; 8],
            ..Table::default()
        }),
    ];
    report
}
