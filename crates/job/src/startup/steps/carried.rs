//! How a unit came, how it is carried, and whether it is level.

use quantity::{Dim, Text, Value};

use super::{Scene, ids};
use crate::hanging::Way;
use crate::startup::accept::Acceptance;
use crate::startup::ask::{Entry, Quantity, usual};
use crate::startup::hazards::{HEIGHT, LIFTING, STRUCTURE};
use crate::startup::instruments::Instrument;
use crate::startup::step::{Kind, Step};

pub(super) fn steps(scene: &Scene<'_>) -> Vec<Step> {
    let mut steps = vec![delivered(scene)];
    let Some(carried) = scene
        .built
        .hanging
        .units
        .iter()
        .find(|u| u.tag == scene.unit.tag)
    else {
        return steps;
    };
    let mass = Value::new(carried.wet_kg, Dim::Mass);
    let hung = scene.step(
        Kind::Carried,
        match carried.way {
            Way::Stand => "See that the stand is firm and bolted",
            Way::Outside => "See that the unit stands firm where it is",
            Way::Rods | Way::RodsFromStrut | Way::Trapeze => {
                "See that every rod carries and every nut is locked"
            }
        },
        Text::from("it weighs ")
            .value(mass)
            .words(" with its pan full, and shakes for years"),
    );
    let mut entries = Vec::new();
    match carried.way {
        Way::Stand => entries.push(
            Entry::yes(
                "bolted",
                "stand bolted or weighted, nothing rocks",
                "bolt the feet, shim under them, look again",
            )
            .stops(),
        ),
        Way::Outside => entries.push(
            Entry::yes(
                "firm",
                "firm, level ground, nothing rocks",
                "bolt or shim it",
            )
            .stops(),
        ),
        Way::Rods | Way::RodsFromStrut | Way::Trapeze => {
            let size = carried.rods.first().map_or("", |r| r.rod.word());
            entries.push(
                Entry::yes(
                    "rods",
                    format!("{} rods {size} as drawn, all in tension", carried.rods.len()),
                    "take the weight off with a lift, put the drawn rod in, share the load with the nuts",
                )
                .stops(),
            );
            entries.push(
                Entry::yes(
                    "locked",
                    "two nuts locked against each other at every rod end",
                    "lock each pair; look again after a day under load",
                )
                .stops(),
            );
            if carried.sway.is_some() {
                entries.push(Entry::yes(
                    "braced",
                    "braced against sway both ways, where the drawing has braces",
                    "fit the braces of the hanging sheet before ducts are joined",
                ));
            }
        }
    }
    steps.push(hung.hazards(&[LIFTING, HEIGHT, STRUCTURE]).asks(entries));
    if let Some(levelling) = carried.levelling {
        let slope = |id, title: &'static str| {
            Entry::number(
                id,
                title,
                Quantity {
                    dim: Dim::Slope,
                    allowed: [-0.5, 0.5],
                    plausible: [-0.03, 0.03],
                    instrument: Instrument::Level,
                },
            )
        };
        steps.push(
            scene
                .step(
                    Kind::Level,
                    "Level it both ways",
                    "its pan falls to the outlet only while the cabinet does not lean the other way",
                )
                .hazards(&[LIFTING, HEIGHT])
                .asks([
                    slope(ids::TILT_FRONT, "slope back to front, plus where the front is low"),
                    slope(ids::TILT_LEFT, "slope right to left, plus where the left is low"),
                ])
                .needs([scene.id(Kind::Carried)])
                .accepts(Acceptance::Level(levelling)),
        );
    }
    steps
}

fn delivered(scene: &Scene<'_>) -> Step {
    scene
        .step(
            Kind::Delivered,
            "See how it came, and let it stand",
            "on its side, oil leaves the compressor; it needs time to run back",
        )
        .hazards(&[LIFTING])
        .asks([
            Entry::choice(
                ids::CAME,
                "how it travelled",
                vec![ids::UPRIGHT, ids::LAID, ids::UNKNOWN],
            ),
            Entry::number(
                ids::STOOD,
                "time since then, standing upright",
                usual::duration([600.0, 30.0 * 86_400.0], Instrument::Watch),
            ),
            Entry::yes(
                "whole",
                "no dents, no oil, nothing loose",
                "photograph it, tell the carrier today, have a technician look before power is on",
            )
            .stops(),
        ])
        .accepts(Acceptance::Stood)
}
