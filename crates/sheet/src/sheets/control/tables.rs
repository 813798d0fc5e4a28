//! Tables and lists of the control sheet.

use job::Control;
use job::control::{CableUse, ChosenBy, Device, DeviceKind};
use quantity::{Dim, Text, Value};

use crate::report::{Block, Cell, Column, Table};

/// Which control serves which units.
pub(super) fn assignment(control: &Control) -> Block {
    let a = &control.assignment;
    let mut rows: Vec<Vec<Cell>> = a
        .served
        .iter()
        .map(|s| {
            let by = match s.by {
                ChosenBy::Survey => "room file",
                ChosenBy::Catalogue => "chosen, not surveyed",
            };
            let units = if s.units.is_empty() {
                "none".to_owned()
            } else {
                s.units.join(", ")
            };
            vec![
                s.controller.clone().into(),
                s.model.clone().into(),
                units.into(),
                by.into(),
            ]
        })
        .collect();
    if !a.on_board.is_empty() {
        rows.push(vec![
            "in the unit".into(),
            "on-board humidistat".into(),
            a.on_board.join(", ").into(),
            Cell::NotApplicable,
        ]);
    }
    if !a.unserved.is_empty() {
        rows.push(vec![
            "none".into(),
            Cell::Blank,
            a.unserved.join(", ").into(),
            "no controller fits".into(),
        ]);
    }
    table(
        "What tells which units to run",
        vec![
            Column::words("control"),
            Column::words("record"),
            Column::words("units"),
            Column::words("from"),
        ],
        rows,
    )
}

/// Cables with length and gauge.
pub(super) fn cables(control: &Control) -> Block {
    let rows = control
        .cables
        .iter()
        .map(|c| {
            vec![
                c.tag.clone().into(),
                c.from.clone().into(),
                c.to.clone().into(),
                c.of.words().into(),
                Value::new(f64::from(c.cores), Dim::Count).into(),
                format!("{} AWG", c.gauge).into(),
                Value::new(c.length_m, Dim::Length).into(),
            ]
        })
        .collect();
    table(
        "Cables, with make-up at both ends",
        vec![
            Column::words("cable"),
            Column::words("from"),
            Column::words("to"),
            Column::words("what"),
            Column::of("conductors", Dim::Count),
            Column::words("gauge"),
            Column::of("length", Dim::Length),
        ],
        rows,
    )
}

/// Voltage drop and reach of each line.
pub(super) fn lines(control: &Control) -> Block {
    let cell = |x: Option<f64>, dim| x.map_or(Cell::Unknown, |x| Value::new(x, dim).into());
    let rows = control
        .lines
        .iter()
        .filter(|l| !matches!(l.of, CableUse::Alarm | CableUse::Float))
        .map(|l| {
            vec![
                l.name.clone().into(),
                cell(l.current_a, Dim::Current),
                Value::new(l.length_m, Dim::Length).into(),
                cell(l.drop_v, Dim::Voltage),
                cell(l.allowed_v, Dim::Voltage),
                cell(l.longest_m, Dim::Length),
            ]
        })
        .collect();
    table(
        "Voltage drop out and back in a warm room; reach is the longest cable of that gauge",
        vec![
            Column::words("line"),
            Column::of("current", Dim::Current),
            Column::of("length", Dim::Length),
            Column::of("drop", Dim::Voltage),
            Column::of("allowed", Dim::Voltage),
            Column::of("reach", Dim::Length),
        ],
        rows,
    )
}

/// Every conductor, both ends by name.
pub(super) fn schedule(control: &Control) -> Block {
    let used = |device: &str, mark: &str| {
        control
            .device(device)
            .and_then(|d| d.terminal(mark))
            .map_or(String::new(), |t| t.used_for.clone())
    };
    let gauge = |tag: &str| {
        control
            .cables
            .iter()
            .find(|c| c.tag == tag)
            .map_or(String::new(), |c| format!("{} AWG", c.gauge))
    };
    let rows = control
        .wires
        .iter()
        .map(|w| {
            vec![
                Value::new(f64::from(w.net), Dim::Count).into(),
                w.from.words().into(),
                used(&w.from.device, &w.from.terminal).into(),
                w.to.words().into(),
                used(&w.to.device, &w.to.terminal).into(),
                w.signal.into(),
                format!("{}, {}", w.cable, gauge(&w.cable)).into(),
            ]
        })
        .collect();
    table(
        "Terminal schedule: one number is one net, the same at every terminal that it lands on",
        vec![
            Column::of("wire", Dim::Count),
            Column::words("from"),
            Column::words("which is"),
            Column::words("to"),
            Column::words("which is"),
            Column::words("signal"),
            Column::words("cable"),
        ],
        rows,
    )
}

/// Setpoints by period.
pub(super) fn settings(control: &Control) -> Block {
    let rows = control
        .settings
        .iter()
        .map(|s| {
            let band = s.band.map_or(Cell::NotApplicable, |[low, high]| {
                Text::new().value(low).words(" to ").value(high).into()
            });
            vec![
                s.when.into(),
                s.setpoint.into(),
                s.deadband.into(),
                s.on_at.into(),
                s.off_at.into(),
                band,
            ]
        })
        .collect();
    table(
        "What to set at the control",
        vec![
            Column::words("period"),
            Column::mixed("setpoint"),
            Column::mixed("deadband, whole width"),
            Column::mixed("units start at"),
            Column::mixed("units stop at"),
            Column::words("target"),
        ],
        rows,
    )
}

/// Where the sensor hangs.
pub(super) fn sensor(control: &Control) -> Block {
    let [x, y, z] = control.sensor_m.map(|m| Value::new(m, Dim::Length));
    Block::Paragraph(
        Text::from(format!("Sensor: {}, at ", control.sensor_place))
            .value(x)
            .words(" from the door wall, ")
            .value(y)
            .words(" along it, ")
            .value(z)
            .words(" above the floor. In a shaded housing with a fan; out of the discharge of units and of cold supply, away from lamps, doors, walls and humidifiers. A sensor that reads 1 K warm reads about 6 % of its value too dry."),
    )
}

/// What to do at set-up: before power, then each device as its record says.
pub(super) fn set_up(control: &Control) -> Vec<Block> {
    let mut blocks = vec![list("Before power goes on", before_power(control))];
    let of = |kind| control.devices.iter().filter(move |d| d.kind == kind);
    // Devices of one model are set up alike: their steps stand once.
    let mut alike: Vec<(String, &Device)> = Vec::new();
    for d in of(DeviceKind::Controller).chain(of(DeviceKind::Unit)) {
        let known = alike.iter_mut().find(|(_, first)| {
            first.kind == d.kind && first.model == d.model && first.set_up == d.set_up
        });
        match known {
            Some((tags, _)) => {
                tags.push_str(", ");
                tags.push_str(&d.tag);
            }
            None if d.set_up.is_empty() => {}
            None => alike.push((d.tag.clone(), d)),
        }
    }
    for (tags, d) in alike {
        let title = if tags == d.tag {
            format!("{tags}, {}", d.model)
        } else {
            format!("{tags}, {}: at each", d.model)
        };
        blocks.push(list(&title, d.set_up.clone()));
    }
    blocks
}

/// A line to tick on: the typeface has no box.
fn tick_here() -> Cell {
    "____".into()
}

fn before_power(control: &Control) -> Vec<String> {
    let mut steps = vec![
        "Lock out the power of all units and controls; see with a meter that it is off.".to_owned(),
        "Pull control cable apart from power: never in one raceway, box or cable; 50 mm (2 in) from open power conductors; 6 mm (1/4 in) inside an enclosure where both connect.".to_owned(),
        "Mark each conductor at both ends with the number of its wire.".to_owned(),
        "Fill in the as-wired list from what is landed, not from this sheet, and have it checked.".to_owned(),
    ];
    for l in &control.lines {
        let along = l.order.join(", ");
        match l.of {
            CableUse::Bus => {
                let ends = match (l.order.first(), l.order.last()) {
                    (Some(a), Some(b)) => format!("{a} and {b}"),
                    _ => String::new(),
                };
                steps.push(format!(
                    "{}: one cable from device to device in the order {along}; no stars, no rings. One twisted pair for data, the other for supply. Close the line with 120 ohm at {ends} and nowhere else. Ground the screen at one end, and carry it through all boxes.",
                    l.name
                ));
                if let Some(source) = only_source(control, &l.order) {
                    steps.push(format!(
                        "{}: supply + is landed at {source} and at the control alone. Leave it empty at the other units and cap the conductor: two supplies are never joined.",
                        l.name
                    ));
                }
                steps.push(format!(
                    "{}: power off, see that supply + and supply - are not joined. Power on with the data plugs out: supply + is positive at {}. Then data + stands above data - by more than 0.2 V at rest, and each data line within 0 and 5 V of supply -.",
                    l.name,
                    l.order.first().map_or("", String::as_str)
                ));
            }
            CableUse::Pair => steps.push(format!(
                "{}: one pair in the order {along}. See with a meter that its two conductors are not joined.",
                l.name
            )),
            CableUse::Contact => steps.push(format!(
                "{}: the unit feeds its own voltage; bring none. See that the contact opens and closes the circuit, and that the float switch opens it.",
                l.name
            )),
            CableUse::Signal => steps.push(format!(
                "{}: screened pair in the order {along}; screen at the controller's end only.",
                l.name
            )),
            CableUse::Alarm | CableUse::Float => {}
        }
    }
    steps
}

/// The unit that feeds a bus on which others are not joined to its supply.
fn only_source<'a>(control: &Control, order: &'a [String]) -> Option<&'a String> {
    let [first, second, _, ..] = order else {
        return None;
    };
    let fed = control
        .wires
        .iter()
        .filter(|w| w.signal == "supply +" && w.from.device == *first)
        .any(|w| w.to.device == *second);
    let on = control
        .wires
        .iter()
        .any(|w| w.signal == "supply +" && w.from.device == *second);
    (fed && !on).then_some(second)
}

fn list(title: &str, steps: Vec<String>) -> Block {
    let rows = steps
        .into_iter()
        .enumerate()
        .map(|(i, step)| vec![format!("{}", i + 1).into(), step.into(), tick_here()])
        .collect();
    table(
        title,
        vec![
            Column::words("no."),
            Column::words("what to do"),
            Column::words("done"),
        ],
        rows,
    )
}

/// The blank list, one row for each conductor.
pub(super) fn as_wired(control: &Control) -> Block {
    const BLANK: &str = "________ : ______";
    let rows = control
        .wires
        .iter()
        .map(|w| {
            vec![
                tick_here(),
                Value::new(f64::from(w.net), Dim::Count).into(),
                w.cable.clone().into(),
                w.signal.into(),
                BLANK.into(),
                BLANK.into(),
            ]
        })
        .collect();
    table(
        "As wired: write the device and terminal that each end is landed on, read at the terminal",
        vec![
            Column::words("seen"),
            Column::of("wire", Dim::Count),
            Column::words("cable"),
            Column::words("signal"),
            Column::words("one end, device : terminal"),
            Column::words("other end, device : terminal"),
        ],
        rows,
    )
}

/// What can hurt.
pub(super) fn cautions() -> Vec<Text> {
    [
        "Units start by themselves when power comes back or a contact closes. Lock out and see that it is off before a cover is opened.",
        "Power and control share enclosures: line voltage lies beside these terminals. Wiring is the work of a licensed electrician; local codes decide.",
        "Bring no voltage into an input for a dry contact. Do not join two control supplies, not even of one voltage.",
        "Do not bridge a float switch, not even for a day.",
    ]
    .into_iter()
    .map(Text::from)
    .collect()
}

fn table(caption: &str, columns: Vec<Column>, rows: Vec<Vec<Cell>>) -> Block {
    Block::Table(Table {
        caption: Text::from(caption.to_owned()),
        columns,
        rows,
        total: None,
    })
}
