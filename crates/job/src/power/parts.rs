//! What to buy for the circuits.

use quantity::{Dim, Place, Step, Text, Value};
use room::{Connection, WiringRules};

use super::{Branch, GroundFault, Power};
use crate::parts::Part;

/// Lengths already hold bends and tails; they are rounded up to the metre.
fn length(m: f64) -> Value {
    Value::new(m.ceil(), Dim::Length).digits(4)
}

fn part(what: &'static str, size: Text, amount: Value, place: &str) -> Part {
    Part {
        step: Step::Power,
        what: what.into(),
        size,
        amount,
        place: Place::new(place.to_owned()),
    }
}

fn count(n: usize) -> Value {
    Value::new(n as f64, Dim::Count)
}

fn amps(a: f64) -> Value {
    Value::new(a, Dim::Current).digits(3)
}

pub(super) fn parts(rules: WiringRules, power: &Power) -> Vec<Part> {
    let mut all: Vec<Part> = power
        .branches
        .iter()
        .flat_map(|b| branch(rules, b))
        .collect();
    for restart in &power.restarts {
        let relays = restart
            .events
            .iter()
            .map(|e| e.tags.len().saturating_sub(1))
            .sum();
        if 0 < relays {
            all.push(part(
                "delay-on-make relay, or a step of the controller",
                Text::from("each at least ")
                    .value(Value::new(restart.apart_s, Dim::Duration).digits(2))
                    .words(" after the one before"),
                count(relays),
                &restart.panel,
            ));
        }
    }
    all
}

fn branch(rules: WiringRules, b: &Branch) -> Vec<Part> {
    let place = b.tag.clone();
    let poles = format!("{}-pole, ", b.hookup.poles);
    let kind = match rules {
        WiringRules::Nec2023 => "inverse-time, HACR type",
        WiringRules::Iec60364 => "for motor starts, type C or D",
    };
    let mut all = vec![part(
        "circuit breaker",
        Text::from(poles.clone())
            .value(amps(b.device_a))
            .words(format!(", {kind}, by the panel's maker")),
        count(1),
        &place,
    )];
    match b.connection {
        Connection::HardWired => all.push(part(
            "disconnect, lockable open",
            Text::from(poles)
                .words("at least ")
                .value(amps(b.device_a))
                .words(", enclosure for the surroundings"),
            count(1),
            &place,
        )),
        Connection::Cord => all.push(part(
            "receptacle and cover",
            Text::new()
                .value(amps(b.device_a))
                .words(match b.ground_fault {
                    GroundFault::None => ", for the surroundings",
                    GroundFault::ClassA => ", behind Class A ground-fault protection",
                    GroundFault::Residual30 => ", behind a 30 mA residual current device",
                }),
            count(1),
            &place,
        )),
    }
    if let Some(run) = &b.run {
        all.push(part(
            "copper conductor",
            Text::from(b.size.name),
            length(f64::from(b.conductors) * run.conductor_m),
            &place,
        ));
        all.push(part(
            "copper grounding conductor",
            Text::from(b.ground.unwrap_or("by the electrician")),
            length(run.conductor_m),
            &place,
        ));
        all.push(part(
            "raceway or cable support",
            Text::from("for the conductors, with a flexible end at the unit"),
            length((1.0 + super::route::BENDS) * run.length_m),
            &place,
        ));
    }
    all
}
