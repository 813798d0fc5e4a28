//! Sheet of the step "control": terminal diagrams, schedule of terminals,
//! set-up in order, setpoints, a blank as-wired list.

mod diagram;
mod tables;

use equipment::Catalog;
use job::control::DeviceKind;
use job::{Control, Placement};
use quantity::{Text, UnitSystem};
use room::Room;

use crate::report::{Block, Level};

pub use diagram::{pages, terminal_diagram};

/// Drawings, tables and findings of this step, in reading order.
pub fn blocks(
    _room: &Room,
    _catalog: &Catalog,
    _placement: &Placement,
    control: &Control,
    _units: UnitSystem,
) -> Vec<Block> {
    let mut blocks = vec![Block::Heading(Level::One, "Control".into())];
    if control.devices.is_empty() {
        blocks.push(Block::Paragraph("There are no units to control.".into()));
    } else {
        blocks.push(tables::assignment(control));
        blocks.push(Block::Remark(
            "Power off until the as-wired list is filled in and checked. Land every conductor by the name of the terminal at both ends, never by its colour: names of data lines differ between makers, so read each device's own sheet."
                .into(),
        ));
        diagrams(control, &mut blocks);
        if !control.wires.is_empty() {
            blocks.push(Block::Heading(Level::Two, "Cables and conductors".into()));
            blocks.push(tables::cables(control));
            if control.lines.iter().any(|l| l.current_a.is_some()) {
                blocks.push(tables::lines(control));
            }
            blocks.push(tables::schedule(control));
        }
    }
    blocks.push(Block::Heading(Level::Two, "Setpoints".into()));
    blocks.push(tables::settings(control));
    blocks.push(tables::sensor(control));
    if !control.devices.is_empty() {
        blocks.push(Block::Heading(Level::Two, "Set-up, in order".into()));
        blocks.extend(tables::set_up(control));
    }
    if !control.wires.is_empty() {
        blocks.push(Block::Heading(Level::Two, "As wired".into()));
        blocks.push(tables::as_wired(control));
        blocks.push(Block::Remark(
            "Typed as lines such as \"D1:V+ - C1:PWR+\", this list is checked by the program before power goes on: it says what is crossed, missing, doubled or harmful."
                .into(),
        ));
    }
    blocks.push(Block::Heading(Level::Two, "Findings of the control".into()));
    blocks.push(Block::Findings(control.findings.clone()));
    blocks.push(Block::Cautions(tables::cautions()));
    blocks
}

/// The terminal diagrams of every controller, then of devices without one.
fn diagrams(control: &Control, blocks: &mut Vec<Block>) {
    let mut tags: Vec<Option<&str>> = control
        .assignment
        .served
        .iter()
        .filter(|s| !s.units.is_empty())
        .map(|s| Some(s.controller.as_str()))
        .collect();
    let alone = control.devices.iter().any(|d| {
        d.kind == DeviceKind::FloatSwitch
            && control
                .assignment
                .served
                .iter()
                .all(|s| !s.units.iter().any(|u| d.tag == format!("FS-{u}")))
    });
    if alone {
        tags.push(None);
    }
    for tag in tags {
        let sheets = pages(control, tag);
        let count = sheets.len();
        for (i, devices) in sheets.iter().enumerate() {
            let name = tag.unwrap_or("devices without a controller");
            let of = if 1 < count {
                format!(", part {} of {count}", i + 1)
            } else {
                String::new()
            };
            blocks.push(Block::Figure {
                drawing: terminal_diagram(control, tag, devices),
                caption: Text::from(format!(
                    "Terminal diagram of {name}{of}. The number at a terminal is the number of its wire; one number is one net."
                )),
            });
        }
    }
}
