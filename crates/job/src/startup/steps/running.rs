//! From waiting out the delay to the restart after a power cut.

use equipment::{ControlFamily, FanHabit};
use quantity::{Dim, Text, Value};

use super::{Scene, id, ids, of_kinds};
use crate::acceptance::condensate::{LEAST_OVER_S, least_before_s};
use crate::acceptance::steadiness::FEWEST;
use crate::control::DeviceKind;
use crate::drain::Overflow;
use crate::startup::accept::{Acceptance, Machine};
use crate::startup::ask::{Entry, Quantity, usual};
use crate::startup::hazards::{ELECTRICITY, HEIGHT, REFRIGERANT, ROTATING, STARTS, WATER};
use crate::startup::instruments::Instrument;
use crate::startup::step::{Kind, Step, Wait, WaitFrom};

/// When the air is read after the start \[s\]. Common practice, no published
/// source.
const AIR_AFTER_S: [f64; 3] = [900.0, 1_800.0, 3_600.0];

pub(super) fn steps(scene: &Scene<'_>, before: &[Step]) -> Vec<Step> {
    let mut steps = vec![delay(scene, before), running(scene)];
    steps.push(amps(scene));
    for (i, after_s) in AIR_AFTER_S.into_iter().enumerate() {
        steps.push(air(scene, after_s, i + 1 == AIR_AFTER_S.len()));
    }
    steps.push(condensate(scene));
    steps.extend(overflow(scene));
    steps.push(restart(scene));
    steps
}

fn machine(scene: &Scene<'_>) -> Machine {
    Machine {
        model: Box::new(scene.model.clone()),
        pressure_pa: scene.pressure_pa,
        ducted_m3_per_s: scene.unit.air().ducted_m3_per_s,
    }
}

fn delay(scene: &Scene<'_>, before: &[Step]) -> Step {
    let lasts_s = scene.model.delays.restart_s;
    // Setting up may stop it, and the delay begins anew.
    let mut from = of_kinds(before, &[Kind::PowerOn, Kind::Rotation, Kind::SetUp]);
    let control = scene.built.control;
    from.extend(
        control
            .controller_of(&scene.unit.tag)
            .map(|c| id(c, Kind::SetUp)),
    );
    Step {
        wait: Some(Wait {
            lasts_s,
            from: WaitFrom::Steps(from),
        }),
        ..scene
            .step(
                Kind::Delay,
                "Wait out the delay",
                Text::from("its control waits ")
                    .value(Value::new(lasts_s, Dim::Duration).digits(2))
                    .words(" after power-up or a stop, until pressures are equal: that it does not start before is right"),
            )
            .hazards(&[STARTS])
            .needs(of_kinds(before, &[Kind::PowerOn, Kind::Call]))
    }
}

fn running(scene: &Scene<'_>) -> Step {
    let shows = match scene.model.control.family {
        ControlFamily::OnBoard => "its own display says so",
        ControlFamily::DataPair | ControlFamily::PoweredBus => {
            "the remote control lists it as running"
        }
        ControlFamily::DryContact | ControlFamily::ZeroToTenVolt => {
            "it answers the contact or the signal"
        }
    };
    let heard = match scene.model.fan_habit {
        FanHabit::FollowsCompressor => "fan and compressor are heard",
        FanHabit::Continuous => "the compressor is heard: the fan runs anyway and shows nothing",
    };
    let not_running = "look in this order: is its delay over; is the setpoint below what the room has; is the remote enable closed; is the float switch closed, no water under it; are the control conductors on their terminals; are mode and master on; then measure the volts at the terminals";
    scene
        .step(
            Kind::Running,
            "See that it runs",
            "what follows is measured on a running unit",
        )
        .hazards(&[STARTS, ROTATING])
        .asks([
            Entry::yes("shows", shows, not_running).stops(),
            Entry::yes("heard", heard, not_running).stops(),
            Entry::yes(
                "quiet",
                "no rattle, no rubbing, no swinging",
                "tighten panels; free the fan; brace the unit; take shipping brackets out",
            ),
        ])
        .needs([scene.id(Kind::Delay), scene.id(Kind::Call)])
}

fn amps(scene: &Scene<'_>) -> Step {
    let branch = scene.branch();
    let rated_v = branch.map_or(scene.model.plate.volts, |b| b.hookup.rated_v);
    let plate = scene.model.plate;
    // A single-phase unit on two live legs has one current.
    let legs = if plate.phases == 3 { 3 } else { 1 };
    let mut entries: Vec<Entry> = ids::AMPS[..legs]
        .iter()
        .enumerate()
        .map(|(i, id)| {
            let title = if legs == 1 {
                "amps, one live conductor in the clamp".to_owned()
            } else {
                format!("amps of leg {}", i + 1)
            };
            Entry::number(id, title, usual::amps(plate.full_load_a, Instrument::Clamp))
        })
        .collect();
    entries.push(Entry::number(ids::VOLTS[0], "volts meanwhile", usual::volts(rated_v)).optional());
    entries.extend(inlet_entries().map(Entry::optional));
    scene
        .step(
            Kind::Amps,
            "Clamp the amps",
            Text::from("the plate says ")
                .value(Value::new(plate.full_load_a, Dim::Current))
                .words("; too many overload, too few do no work"),
        )
        .hazards(&[ELECTRICITY, REFRIGERANT])
        .asks(entries)
        .needs([scene.id(Kind::Running)])
        .accepts(Acceptance::Amps {
            machine: machine(scene),
            rated_v,
        })
}

fn inlet_entries() -> impl Iterator<Item = Entry> {
    [
        Entry::number(
            ids::INLET_T,
            "dry bulb at the inlet",
            usual::dry_bulb(Instrument::Thermometer),
        ),
        Entry::number(
            ids::INLET_RH,
            "relative humidity at the inlet",
            usual::humidity(Instrument::Hygrometer),
        ),
    ]
    .into_iter()
}

fn discharge_entries() -> impl Iterator<Item = Entry> {
    [
        Entry::number(
            ids::DISCHARGE_T,
            "dry bulb of the discharge",
            usual::discharge(),
        ),
        Entry::number(
            ids::DISCHARGE_RH,
            "relative humidity of the discharge",
            usual::humidity(Instrument::Hygrometer),
        ),
    ]
    .into_iter()
}

fn air(scene: &Scene<'_>, after_s: f64, last: bool) -> Step {
    let minutes = (after_s / 60.0).round();
    let mut entries: Vec<Entry> = inlet_entries().chain(discharge_entries()).collect();
    if last {
        entries.push(Entry::number(
            ids::ROOM_T,
            "dry bulb of the room, away from every jet, with the same thermometer",
            usual::dry_bulb(Instrument::Thermometer),
        ));
    }
    Step {
        id: format!("{}-{minutes}", scene.id(Kind::Air)),
        wait: Some(Wait {
            lasts_s: after_s,
            from: WaitFrom::Steps(vec![scene.id(Kind::Running)]),
        }),
        ..scene
            .step(
                Kind::Air,
                format!("Read the air in and out after {minutes} min"),
                if last {
                    "steady by now: it shows whether the unit breathes its own discharge"
                } else {
                    "how it comes into its stride is compared later"
                },
            )
            .hazards(&[HEIGHT, ROTATING])
            .asks(entries)
            .needs([scene.id(Kind::Running)])
            .accepts(Acceptance::Air {
                designed_share: last.then_some(scene.unit.short_circuit),
                pressure_pa: scene.pressure_pa,
            })
    }
}

fn condensate(scene: &Scene<'_>) -> Step {
    let drains = &scene.built.drain.units;
    let peak_kg_per_s = drains
        .iter()
        .find(|d| d.tag == scene.unit.tag)
        .map(|d| d.water.removal_kg_per_s);
    let most_kg = peak_kg_per_s.map_or(20.0, |peak| peak * 2.0 * LEAST_OVER_S);
    let before_s = least_before_s(peak_kg_per_s.unwrap_or(0.0));
    let mut entries: Vec<Entry> = inlet_entries().map(|e| e.series(FEWEST)).collect();
    entries.push(Entry::number(
        ids::WATER,
        "water caught",
        usual::water([0.02 * most_kg, 3.0 * most_kg]),
    ));
    entries.push(
        Entry::number(
            ids::OVER,
            "time of catching, if another watch took it",
            usual::duration([0.5 * LEAST_OVER_S, 6.0 * 3600.0], Instrument::Watch),
        )
        .optional(),
    );
    entries.push(
        Entry::number(
            ids::CYCLES,
            "whole cycles, from start to start, if it stopped meanwhile or defrosted",
            Quantity {
                dim: Dim::Count,
                allowed: [0.0, 100.0],
                plausible: [0.0, 20.0],
                instrument: Instrument::Told,
            },
        )
        .optional(),
    );
    entries.extend(discharge_entries().map(Entry::optional));
    Step {
        wait: Some(Wait {
            lasts_s: LEAST_OVER_S,
            from: WaitFrom::Hand,
        }),
        ..scene
            .step(
                Kind::Condensate,
                "Time the condensate",
                "water in a jug is the surest proof of what it removes",
            )
            .how(
                Text::from("let it run for ")
                    .value(Value::new(before_s, Dim::Duration).digits(2))
                    .words(" at least before (longer in dry air), then catch for ")
                    .value(Value::new(LEAST_OVER_S, Dim::Duration).digits(2))
                    .words(" at least and read the inlet air meanwhile, spread over that time; no test that stops it until then"),
            )
            .hazards(&[HEIGHT, WATER])
            .asks(entries)
            .needs([scene.id(Kind::Running)])
            .accepts(Acceptance::Condensate(machine(scene)))
    }
}

fn overflow(scene: &Scene<'_>) -> Option<Step> {
    let tag = &scene.unit.tag;
    let drain = scene.built.drain.units.iter().find(|d| d.tag == *tag)?;
    let float = scene
        .built
        .control
        .devices
        .iter()
        .any(|d| d.kind == DeviceKind::FloatSwitch);
    let (terminal, wanted) = match &drain.overflow {
        Overflow::Terminal(mark) => (format!(" at terminal {mark}"), true),
        Overflow::NoTerminal => (String::new(), float || drain.over.is_some()),
    };
    wanted.then(|| {
        scene
            .step(
                Kind::Overflow,
                "Try the overflow switch",
                match &drain.over {
                    Some(thing) => Text::from(format!("under the unit is {thing}: water would harm it")),
                    None => "a blocked drain must stop the unit, not the room".into(),
                },
            )
            .hazards(&[ELECTRICITY, WATER, STARTS])
            .asks([
                Entry::yes(
                    "stops",
                    format!("float lifted{terminal}: compressor stops"),
                    "free the float; wire it to open when lifted, in the unit's own circuit and not only in an alarm; try again",
                )
                .stops(),
                Entry::yes(
                    "back",
                    "float let go: it starts again after its delay",
                    "wait out the delay; then reset as the record says",
                ),
            ])
            .needs([scene.id(Kind::Running)])
    })
}

fn restart(scene: &Scene<'_>) -> Step {
    let delay_s = scene.model.delays.restart_s;
    scene
        .step(
            Kind::Restart,
            "Cut the power for a minute",
            "after every power cut the unit must come back by itself, and not before its delay",
        )
        .hazards(&[ELECTRICITY, STARTS])
        .asks([
            Entry::number(
                ids::BACK_AFTER,
                "time from power-up until the compressor ran",
                usual::duration([0.3 * delay_s, 3.0 * delay_s + 120.0], Instrument::Watch),
            ),
            Entry::yes(
                "by_itself",
                "it came back by itself, with its settings",
                "set what happens after a power cut, at unit and controller; renew a flat memory battery",
            ),
        ])
        .needs([scene.id(Kind::Running)])
        .accepts(Acceptance::Restart { delay_s })
}
