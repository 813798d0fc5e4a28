//! Steps of the whole room: sensor, starts one after the other, setpoints,
//! hand-over.

use quantity::{Dim, Text, Value};
use room::{Period, Room};

use super::control::setpoint_quantity;
use super::{id, ids, of_kinds, step};
use crate::acceptance::salts;
use crate::control::Setting;
use crate::startup::Built;
use crate::startup::accept::{Acceptance, WantedSetpoint};
use crate::startup::ask::{Entry, Quantity, usual};
use crate::startup::hazards::{ELECTRICITY, HEIGHT, STARTS, WATER};
use crate::startup::instruments::Instrument;
use crate::startup::step::{Kind, Step};

const ROOM: &str = "room";

pub(super) fn steps(room: &Room, built: Built<'_>, before: &[Step], pressure_pa: f64) -> Vec<Step> {
    let mut steps = vec![
        sensor_salts(),
        sensor_in_place(&room.control.sensor_place.value, pressure_pa),
    ];
    steps.extend(stagger(built, before));
    steps.extend(setpoints(built, before));
    let all = before.iter().chain(&steps).map(|s| s.id.clone());
    let hand_over = hand_over().needs(all.collect::<Vec<_>>());
    steps.push(hand_over);
    steps
}

fn sensor_salts() -> Step {
    let shown = |plausible: [f64; 2]| Quantity {
        plausible,
        ..usual::humidity(Instrument::Told)
    };
    step(
        id(ROOM, Kind::SensorSalts),
        None,
        Kind::SensorSalts,
        "Hold the humidity sensor over two salts",
        "the units dry to what the sensor shows",
    )
    .how(
        Text::from("stir each salt with a little clean water to a wet slurry in which crystals stay, in a jar of its own; hang the sensor above it, where no salt touches it, and close the jar; keep jar, slurry and sensor at one temperature, away from lamps and jets (1 K between them is 5 %RH over NaCl); wait for ")
            .value(Value::new(salts::LEAST_SETTLED_S, Dim::Duration).digits(2))
            .words(" at least, and until the reading no longer moves; let the sensor dry in the room, then the other jar"),
    )
    .hazards(&[WATER])
    .asks([
        Entry::number(
            ids::JAR_T,
            "temperature in the jar",
            usual::dry_bulb(Instrument::Thermometer),
        ),
        Entry::number(
            ids::SETTLED,
            "time in each jar, the shorter one",
            usual::duration([salts::LEAST_SETTLED_S, 86_400.0], Instrument::Watch),
        ),
        Entry::number(
            ids::OVER_NACL,
            "it shows over table salt (NaCl)",
            shown([0.6, 0.9]),
        ),
        Entry::number(
            ids::OVER_MGCL2,
            "it shows over magnesium chloride (MgCl2)",
            shown([0.2, 0.5]),
        ),
    ])
    .accepts(Acceptance::Salts)
}

fn sensor_in_place(where_it_hangs: &str, pressure_pa: f64) -> Step {
    step(
        id(ROOM, Kind::SensorInPlace),
        None,
        Kind::SensorInPlace,
        format!("Compare the sensor where it hangs ({where_it_hangs})"),
        "in the sun of the lamps or in a jet, a good sensor reads the wrong air",
    )
    .hazards(&[HEIGHT])
    .asks([
        Entry::number(
            ids::DRY,
            "psychrometer beside it, dry",
            usual::dry_bulb(Instrument::Psychrometer),
        ),
        Entry::number(
            ids::WET,
            "psychrometer beside it, wet",
            usual::dry_bulb(Instrument::Psychrometer),
        ),
        Entry::number(
            ids::SENSOR_SHOWS,
            "the sensor shows",
            usual::humidity(Instrument::Told),
        ),
        Entry::yes(
            "aspirated",
            "shaded and aspirated, at the top of the canopy, out of every jet",
            "shade it, give it a fan, move it where the placement sheet has it",
        ),
    ])
    .accepts(Acceptance::SensorInPlace { pressure_pa })
}

/// Where several units start on one panel or generator.
fn stagger(built: Built<'_>, before: &[Step]) -> Option<Step> {
    let restarts = &built.power.restarts;
    let apart_s = restarts
        .iter()
        .filter(|r| 1 < r.events.iter().map(|e| e.tags.len()).sum::<usize>())
        .map(|r| r.apart_s)
        .reduce(f64::max)?;
    Some(
        step(
            id(ROOM, Kind::Stagger),
            None,
            Kind::Stagger,
            "See the units start one after the other",
            Text::from("starting currents add up: ")
                .value(Value::new(apart_s, Dim::Duration).digits(2))
                .words(" between two starts are designed"),
        )
        .hazards(&[ELECTRICITY, STARTS])
        .asks([Entry::number(
            ids::APART,
            "least time between two starts after a power cut of the whole panel",
            usual::duration([0.0, 600.0], Instrument::Watch),
        )])
        .needs(of_kinds(before, &[Kind::Restart]))
        .accepts(Acceptance::Stagger { apart_s }),
    )
}

/// Each place where a setpoint is set: controllers, and units with their own.
fn setpoints(built: Built<'_>, before: &[Step]) -> Vec<Step> {
    let control = built.control;
    if control.settings.is_empty() {
        return Vec::new();
    }
    let served = &control.assignment.served;
    let at_controllers = served
        .iter()
        .map(|s| (s.controller.as_str(), s.units.as_slice()));
    let alone: Vec<&String> = built
        .placement
        .units
        .iter()
        .map(|u| &u.tag)
        .filter(|tag| control.controller_of(tag).is_none())
        .collect();
    let at_units = alone
        .iter()
        .map(|tag| (tag.as_str(), std::slice::from_ref(*tag)));
    at_controllers
        .chain(at_units)
        .map(|(place, units)| {
            let unit = alone.iter().any(|t| *t == place).then_some(place);
            let tests = before.iter().filter(|s| {
                s.unit.as_ref().is_some_and(|u| units.contains(u))
                    && matches!(
                        s.kind,
                        Kind::Amps | Kind::Air | Kind::Condensate | Kind::Overflow | Kind::Restart
                    )
            });
            let wanted: Vec<WantedSetpoint> = control.settings.iter().map(wanted).collect();
            step(
                id(place, Kind::Setpoints),
                unit,
                Kind::Setpoints,
                format!("Set {place} back to the design"),
                "a test setpoint that stays dries the crop and the meter",
            )
            .asks(control.settings.iter().zip(&wanted).map(|(setting, want)| {
                Entry::number(
                    &want.entry,
                    format!("setpoint, {}", setting.when),
                    setpoint_quantity(setting.setpoint),
                )
            }))
            .needs(tests.map(|s| s.id.clone()).collect::<Vec<_>>())
            .accepts(Acceptance::Setpoints(wanted))
        })
        .collect()
}

/// Entry of a period's setpoint in the record.
const fn entry(period: Period) -> &'static str {
    match period {
        Period::LightsOn => "set_lights_on",
        Period::Transition => "set_lights_just_off",
        Period::LightsOff => "set_lights_off",
    }
}

fn wanted(setting: &Setting) -> WantedSetpoint {
    WantedSetpoint {
        entry: entry(setting.period).to_owned(),
        value: setting.setpoint,
        // A quarter of what switches on and off: no more than rounding.
        within: 0.25 * setting.deadband.si,
    }
}

fn hand_over() -> Step {
    step(
        id(ROOM, Kind::HandOver),
        None,
        Kind::HandOver,
        "Hand the plant over",
        "who runs it must know what it does, what it needs and what is still open",
    )
    .asks([
        Entry::yes(
            "shown",
            "shown to who runs it: switching off, filter, trap, alarm, setpoints",
            "walk through it once more together",
        ),
        Entry::yes(
            "open_told",
            "what is open or was left out has been told and is on the sheet",
            "read the open findings out and write down who mends what by when",
        ),
        Entry::yes(
            "card",
            "maintenance card on the wall, labels on the units",
            "print and hang them",
        ),
    ])
}
