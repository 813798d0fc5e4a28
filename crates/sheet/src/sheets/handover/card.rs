//! The card for the wall: what to do when, setpoints, what to mind.

use super::{HandOver, maintenance, setpoint_table};
use crate::drawing::{Drawing, Label, Letters, Role, Shape, Size, View, at};
use crate::numbers;
use crate::report::{Block, Report, Table, TitleBlock};

/// Whose intervals these are.
const RULES: &str =
    "Intervals: common practice, no published source; the machine's instructions rule.";

/// The maintenance card: one page for the wall.
pub fn card(of: &HandOver<'_>) -> Report {
    let mut report = Report::new(TitleBlock {
        sheet_prefix: numbers::CARD.into(),
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
        Block::Table(maintenance::with_dates(of)),
        Block::Remark(
            match maintenance::handed_over_ms(of) {
                Some(at) => format!(
                    "Handed over {}; dates count from what was done at the start-up. {RULES}",
                    (of.day)(at, 0)
                ),
                None => RULES.to_owned(),
            }
            .into(),
        ),
    ];
    if !of.built.control.settings.is_empty() {
        report.push(Block::Table(Table {
            caption: "Setpoints".into(),
            ..setpoint_table(of)
        }));
    }
    report.blocks.extend([
        Block::Cautions(vec![
            "Lock out and prove dead before a panel is opened; a unit starts by itself when its delay is over.".into(),
            "Never bridge a float or pressure switch. Water from a cabinet: switch the unit off, look at trap and pan.".into(),
            "Refrigerant circuit, wiring and what carries the units: licensed trades only.".into(),
        ]),
        Block::Figure {
            drawing: log(),
            caption: "".into(),
        },
    ]);
    report
}

/// Rows to write down what was done, by hand.
fn log() -> Drawing {
    const SIZE: Size = Size {
        width_mm: 176.0,
        height_mm: 44.0,
    };
    const COLUMNS: [(&str, f64); 4] = [
        ("date", 0.0),
        ("what", 28.0),
        ("by", 98.0),
        ("remarks", 122.0),
    ];
    const ROW_MM: f64 = 9.0;
    let mut view = View::paper("log");
    let mut line = |from, to| view.push(Role::Frame, Shape::Line { from, to });
    let mut y_mm = 7.0;
    while y_mm < SIZE.height_mm {
        line(at(0.0, y_mm), at(SIZE.width_mm, y_mm));
        y_mm += ROW_MM;
    }
    for (_, x_mm) in COLUMNS.into_iter().skip(1) {
        line(at(x_mm, 1.0), at(x_mm, SIZE.height_mm - 1.0));
    }
    for (head, x_mm) in COLUMNS {
        view.text(
            Role::TextStrong,
            Label::new(head, at(x_mm + 1.5, 5.0)).letters(Letters::Note),
        );
    }
    Drawing {
        size: SIZE,
        title: "Log".into(),
        alt: "Empty rows for date, what was done, by whom, remarks.".into(),
        views: vec![view],
        notes: Vec::new(),
        behind: None,
    }
}
