//! Tables of the power sheet.

use job::power::motor::{DeviceRule, MotorCurrents, max_protection_a, min_circuit_a};
use job::power::restart::Event;
use job::power::route::Sight;
use job::power::schedule::{LEGS, PanelSchedule, RowKind, legs_in_letters};
use job::power::supply::unbalance;
use job::power::{Branch, GeneratorStart, Power, Restart, SizedBy, SupplyDip};
use quantity::{Dim, Text, Value};
use room::{Connection, LoadTime};

use crate::report::{Cell, Column, Table};

fn amps(a: f64) -> Value {
    Value::new(a, Dim::Current)
}

fn text(words: impl Into<String>) -> Cell {
    Cell::Text(Text::from(words.into()))
}

/// Panel schedule.
pub(in crate::sheets) fn schedule(panel: &PanelSchedule) -> Table {
    let legs = panel.supply.legs.clamp(1, 3) as usize;
    let mut columns = vec![
        Column::words("Circuit"),
        Column::words("Kind"),
        Column::of("Device", Dim::Current),
        Column::words("Legs"),
    ];
    columns.extend(
        LEGS[..legs]
            .iter()
            .map(|leg| Column::of(format!("Leg {leg}"), Dim::Current)),
    );
    let rows = panel
        .rows
        .iter()
        .map(|row| {
            let kind = match row.kind {
                RowKind::Unit => "dehumidifier",
                RowKind::Other(LoadTime::Continuous) => "other, continuous",
                RowKind::Other(LoadTime::Short) => "other",
            };
            let mut cells = vec![
                text(row.name.clone()),
                kind.into(),
                row.device_a
                    .map_or(Cell::Unknown, |a| amps(a).digits(2).into()),
                text(legs_in_letters(&row.legs)),
            ];
            cells.extend((0..legs).map(|leg| {
                if row.legs.contains(&leg) {
                    amps(row.current_a).into()
                } else {
                    Cell::NotApplicable
                }
            }));
            cells
        })
        .collect();
    let mut total = vec![text("Sum"), Cell::Blank, Cell::Blank, Cell::Blank];
    total.extend((0..legs).map(|leg| amps(panel.leg_a[leg]).into()));
    Table {
        caption: Text::from(format!("Panel schedule of {}, ", panel.name))
            .value(Value::new(panel.supply.volts, Dim::Voltage))
            .words(format!(
                ", {} phase{}, {:.0} Hz",
                panel.supply.phases,
                if panel.supply.phases == 1 { "" } else { "s" },
                panel.supply.hertz
            )),
        columns,
        rows,
        total: Some(total),
    }
}

/// What a panel still gives, in a sentence.
pub(in crate::sheets) fn capacity(panel: &PanelSchedule) -> Text {
    let mut said =
        Text::from("Continuous loads and the largest motor at 125 %: the fullest leg carries ")
            .value(amps(panel.fullest_a()));
    said = match panel.left_a() {
        Some(left) if left >= 0.0 => said.words(", ").value(amps(left)).words(" are left"),
        Some(left) => said.words(", ").value(amps(-left)).words(" too much"),
        None => said.words("; what the panel can give was not surveyed"),
    };
    if panel.supply.legs > 1 {
        said = said
            .words(". Legs differ from their mean by at most ")
            .value(Value::new(panel.unbalance(), Dim::Fraction).digits(2));
    }
    let free = panel.free_spaces.map_or_else(
        || "; free ones were not surveyed".to_owned(),
        |n| format!(", {n} are free"),
    );
    said.words(format!(". The units need {} poles{free}.", panel.poles))
}

/// Conductors: plate, device, size.
pub(super) fn conductors(power: &Power) -> Table {
    let rows = power
        .branches
        .iter()
        .map(|b| {
            let size = match b.sized_by {
                SizedBy::Current => b.size.name.to_owned(),
                SizedBy::Drop => format!("{} (for the drop)", b.size.name),
            };
            vec![
                text(b.tag.clone()),
                text(plate(b)),
                amps(b.plate.min_circuit_a).into(),
                amps(b.plate.max_protection_a).into(),
                amps(b.device_a).digits(2).into(),
                text(format!("{} × {size}", b.conductors)),
                text(b.ground.unwrap_or("ask")),
                amps(b.ampacity.allowed_a).into(),
            ]
        })
        .collect();
    Table {
        caption: "Circuits: plate, protective device, copper conductors".into(),
        columns: vec![
            Column::words("Unit"),
            Column::words("Plate"),
            Column::of("Circuit, least", Dim::Current),
            Column::of("Device, most", Dim::Current),
            Column::of("Device", Dim::Current),
            Column::words("Conductors"),
            Column::words("Ground"),
            Column::of("Carries here", Dim::Current),
        ],
        rows,
        total: None,
    }
}

/// The plate's supply: "208/240 V, 1 ph, 60 Hz".
pub(super) fn plate(b: &Branch) -> String {
    let low = b
        .plate
        .low_volts
        .map(|v| format!("{v:.0}/"))
        .unwrap_or_default();
    format!(
        "{low}{:.0} V, {} ph, {:.0} Hz",
        b.plate.volts, b.plate.phases, b.plate.hertz
    )
}

/// Plates against their motors, and the current at a start.
pub(super) fn plates(power: &Power) -> Table {
    let known = |a: Option<f64>| a.map_or(Cell::Unknown, |a| amps(a).into());
    let rows = power
        .branches
        .iter()
        .map(|b| {
            let motors = MotorCurrents::of(&b.plate);
            let from = if b.plate.locked_rotor_a.is_some() {
                "plate"
            } else {
                "assumed, 6 × full load"
            };
            vec![
                text(b.tag.clone()),
                known(b.plate.compressor_a),
                amps(b.plate.min_circuit_a).into(),
                known(motors.map(min_circuit_a)),
                amps(b.plate.max_protection_a).into(),
                known(motors.map(|m| max_protection_a(m, DeviceRule::WillNotStart))),
                amps(b.locked_rotor_a).into(),
                text(from),
            ]
        })
        .collect();
    Table {
        caption: "Plates held against their motors (unknown where the plate does not state the compressor's current), and the current with the rotor locked".into(),
        columns: vec![
            Column::words("Unit"),
            Column::of("Compressor", Dim::Current),
            Column::of("Circuit, least", Dim::Current),
            Column::of("by motors", Dim::Current),
            Column::of("Device, most", Dim::Current),
            Column::of("by motors", Dim::Current),
            Column::of("Locked rotor", Dim::Current),
            Column::words("From"),
        ],
        rows,
        total: None,
    }
}

/// Voltages between the phases, in a sentence, where they were measured.
pub(super) fn voltages(panel: &PanelSchedule) -> Option<Text> {
    let [ab, bc, ca] = panel.between_v?;
    let volts = |v: f64| Value::new(v, Dim::Voltage).digits(4);
    Some(
        Text::from(format!(
            "Panel {}, measured between phases: AB ",
            panel.name
        ))
        .value(volts(ab))
        .words(", BC ")
        .value(volts(bc))
        .words(", CA ")
        .value(volts(ca))
        .words("; unbalance ")
        .value(Value::new(unbalance([ab, bc, ca]), Dim::Fraction).digits(2))
        .words("."),
    )
}

/// What starts do to the voltage of a panel, in a sentence.
pub(super) fn dip(panel: &str, dip: &SupplyDip) -> Text {
    let share = |x: f64| Value::new(x, Dim::Fraction).digits(2);
    Text::from(format!("Panel {panel} gives "))
        .value(amps(dip.fault_a))
        .words(" into a short circuit: units that start together dip its voltage by ")
        .value(share(dip.together))
        .words(", the largest alone by ")
        .value(share(dip.one))
        .words(".")
}

/// Ways: length, drop, disconnect.
pub(super) fn ways(power: &Power) -> Table {
    let rows = power
        .branches
        .iter()
        .map(|b| {
            let known = |value: Option<Value>| value.map_or(Cell::Unknown, Cell::from);
            let run = b.run.as_ref();
            let seen = match (b.connection, b.disconnect.sight) {
                (Connection::Cord, _) => "plug".to_owned(),
                (Connection::HardWired, Sight::Clear) => "in sight".to_owned(),
                (Connection::HardWired, Sight::Blocked) => "hidden".to_owned(),
            };
            let distance = match b.connection {
                Connection::HardWired => {
                    Cell::from(Value::new(b.disconnect.distance_m, Dim::Length))
                }
                Connection::Cord => b
                    .cord_m
                    .map_or(Cell::Unknown, |m| Value::new(m, Dim::Length).into()),
            };
            vec![
                text(b.tag.clone()),
                text(b.panel.clone().unwrap_or_else(|| "none".to_owned())),
                known(run.map(|r| Value::new(r.length_m, Dim::Length))),
                known(run.map(|r| Value::new(r.conductor_m, Dim::Length))),
                known(run.map(|r| Value::new(r.drop_v, Dim::Voltage).digits(2))),
                known(run.map(|r| Value::new(r.drop, Dim::Fraction).digits(2))),
                text(seen),
                distance,
            ]
        })
        .collect();
    Table {
        caption: "Ways of the circuits, voltage drop at full load, and the disconnect".into(),
        columns: vec![
            Column::words("Unit"),
            Column::words("Panel"),
            Column::mixed("Route"),
            Column::mixed("Conductor, one way"),
            Column::of("Drop", Dim::Voltage),
            Column::of("Drop", Dim::Fraction),
            Column::words("Disconnect"),
            Column::mixed("From it to the unit"),
        ],
        rows,
        total: None,
    }
}

/// Starts after an outage, as the delays are and one after the other.
pub(super) fn restart(power: &Power, restart: &Restart) -> Table {
    let row = |how: &'static str, event: &Event| {
        let rotor: f64 = power
            .branches
            .iter()
            .filter(|b| event.tags.contains(&b.tag))
            .map(|b| b.locked_rotor_a)
            .sum();
        vec![
            how.into(),
            Value::new(event.at_s, Dim::Duration).into(),
            text(event.tags.join(", ")),
            amps(rotor).into(),
            amps(event.peak_a).into(),
        ]
    };
    let rows = restart
        .events
        .iter()
        .map(|e| row("as delays are", e))
        .chain(restart.staggered.iter().map(|e| row("staggered", e)))
        .collect();
    Table {
        caption: Text::from(format!(
            "Restart on panel {}: starts after power comes back. Equal delays part nothing; steps of a control or delay relays do, at least ",
            restart.panel
        ))
        .value(Value::new(restart.apart_s, Dim::Duration).digits(2))
        .words(" apart"),
        columns: vec![
            Column::words("How"),
            Column::mixed("After"),
            Column::words("Units that start"),
            Column::of("Locked rotors", Dim::Current),
            Column::of("Fullest leg", Dim::Current),
        ],
        rows,
        total: None,
    }
}

/// What a start does to the generator, in sentences.
pub(in crate::sheets) fn generator(g: &GeneratorStart) -> Text {
    let share = |x: f64| Value::new(x, Dim::Fraction);
    Text::from("Generator of ")
        .value(Value::new(g.rating_va, Dim::ApparentPower))
        .words(": units that start together dip it by ")
        .value(share(g.dip))
        .words(" (linear; ")
        .value(share(g.dip_divider))
        .words(" as a divider), one after the other by ")
        .value(share(g.staggered_dip))
        .words("; running they draw ")
        .value(Value::new(g.running_va, Dim::ApparentPower))
        .words(".")
}
