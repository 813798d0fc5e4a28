//! Control conductors, set-up by the records, setpoint for the test.

use equipment::ControlFamily;
use quantity::{Dim, Text, Value};

use super::{Scene, id, ids, of_kinds, step};
use crate::control::{Device, DeviceKind, Setting};
use crate::startup::Built;
use crate::startup::accept::{Acceptance, Greater};
use crate::startup::ask::{Entry, Quantity};
use crate::startup::hazards::{ELECTRICITY, HEIGHT, STARTS};
use crate::startup::instruments::Instrument;
use crate::startup::step::{Kind, Step};

/// Pulling and matching, where the unit has control conductors.
pub(super) fn wires(scene: &Scene<'_>) -> Option<Step> {
    let tag = &scene.unit.tag;
    let control = scene.built.control;
    let count = control
        .wires
        .iter()
        .filter(|w| w.from.device == *tag || w.to.device == *tag)
        .count();
    if count == 0 {
        return None;
    }
    let mut entries = vec![
        Entry::yes(
            "pulled",
            format!("{count} conductors landed; each pulled, none comes out"),
            "strip to the mark, tighten to the terminal's torque, pull again",
        ),
        Entry::yes(
            "matched",
            "each matched by the name of the terminal at both ends, not by colour",
            "hold the as-wired list against the drawing and move what is wrong, power off",
        )
        .stops(),
    ];
    match scene.model.control.family {
        ControlFamily::PoweredBus | ControlFamily::DataPair => entries.push(
            Entry::yes(
                "polarity",
                "power off: supply conductors not joined to each other, to data or to ground",
                "find the joint or the nail in the cable; a supply on a data terminal destroys it",
            )
            .stops(),
        ),
        ControlFamily::DryContact | ControlFamily::ZeroToTenVolt => entries.push(
            Entry::yes(
                "no_voltage",
                "no foreign voltage on the unit's control terminals",
                "take the foreign conductor off; a dry contact brings a closure and no voltage",
            )
            .stops(),
        ),
        ControlFamily::OnBoard => {}
    }
    Some(
        scene
            .step(
                Kind::ControlWires,
                "Pull and match the control conductors",
                "most faults at the first power-up are conductors on the wrong terminal",
            )
            .hazards(&[ELECTRICITY, HEIGHT])
            .asks(entries),
    )
}

/// Set-up of a unit, and the setpoint that makes it run.
pub(super) fn of_unit(scene: &Scene<'_>, before: &[Step]) -> Vec<Step> {
    let tag = &scene.unit.tag;
    let control = scene.built.control;
    let mut steps = Vec::new();
    if let Some(device) = control.device(tag).filter(|d| !d.set_up.is_empty()) {
        steps.push(
            set_up(device, Some(tag)).needs(of_kinds(before, &[Kind::PowerOn, Kind::Rotation])),
        );
    }
    let served = control
        .assignment
        .served
        .iter()
        .find(|s| s.units.contains(tag));
    let call = scene
        .step(
            Kind::Call,
            match served {
                Some(s) => format!("Set {} below what the room has", s.controller),
                None => "Set the unit below what the room has".to_owned(),
            },
            "only a unit that is asked to run shows that it does",
        )
        .hazards(&[STARTS])
        .needs(of_kinds(before, &[Kind::PowerOn, Kind::Rotation]))
        .needs(of_kinds(&steps, &[Kind::SetUp]))
        .needs(served.map(|s| id(&s.controller, Kind::SetUp)));
    steps.push(match control.settings.first() {
        Some(setting) => asks_setpoint(call, setting),
        None => call.asks([Entry::yes(
            "asked",
            "the control asks the unit to run",
            "set it ten percent drier than the room shows, or link the run contact at the unit",
        )]),
    });
    steps
}

/// Reading and setpoint in the quantity that the design sets.
fn asks_setpoint(call: Step, setting: &Setting) -> Step {
    let (allowed, plausible, greater) = match setting.setpoint.dim {
        Dim::VapourPressure => ([0.0, 10_000.0], [100.0, 4_000.0], Greater::Drier),
        Dim::Temperature => ([-40.0, 60.0], [-5.0, 30.0], Greater::Damper),
        _ => ([0.0, 1.0], [0.15, 0.95], Greater::Damper),
    };
    let quantity = Quantity {
        dim: setting.setpoint.dim,
        allowed,
        plausible,
        instrument: Instrument::Told,
    };
    call.asks([
        Entry::number(
            ids::ROOM_SHOWS,
            "what the control shows of the room",
            quantity,
        ),
        Entry::number(ids::SET_TO, "what it is set to, for the test", quantity),
    ])
    .accepts(Acceptance::Call {
        deadband: setting.deadband.si,
        greater,
    })
}

/// Set-up of controllers, once what they serve has power.
pub(super) fn of_controllers(built: Built<'_>) -> Vec<Step> {
    let control = built.control;
    control
        .devices
        .iter()
        .filter(|d| d.kind == DeviceKind::Controller && !d.set_up.is_empty())
        .map(|device| {
            let served = control
                .assignment
                .served
                .iter()
                .filter(|s| s.controller == device.tag)
                .flat_map(|s| &s.units)
                .map(|unit| id(unit, Kind::PowerOn));
            set_up(device, None).needs(served)
        })
        .collect()
}

/// What the record of a device lists, line by line.
fn set_up(device: &Device, unit: Option<&str>) -> Step {
    let lines = device.set_up.iter().enumerate().map(|(i, line)| {
        Entry::yes(
            format!("line_{}", i + 1),
            line.clone(),
            "do the line as the record says; if it cannot be done, the record is of another machine",
        )
    });
    step(
        id(&device.tag, Kind::SetUp),
        unit,
        Kind::SetUp,
        format!("Set {} up by its record", device.tag),
        Text::from(format!("{} is set up in this order", device.model)),
    )
    .hazards(&[ELECTRICITY, STARTS])
    .asks(lines)
}

/// Where and to what a setpoint is set back.
pub(super) fn setpoint_quantity(setpoint: Value) -> Quantity {
    let reach = 0.3 * setpoint.si.abs().max(0.1);
    Quantity {
        dim: setpoint.dim,
        allowed: match setpoint.dim {
            Dim::VapourPressure => [0.0, 10_000.0],
            Dim::Temperature => [-40.0, 60.0],
            _ => [0.0, 1.0],
        },
        plausible: [setpoint.si - reach, setpoint.si + reach],
        instrument: Instrument::Told,
    }
}
